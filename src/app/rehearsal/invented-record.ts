import { placingOf } from '../../domain/animal/animal.ts';
import { foldLine } from '../../domain/fold/fold-line.ts';
import type { Entry } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import type { WardRecord } from '../ports.ts';

/** A record that lives as long as one press and is written nowhere. */
export interface InventedRecord extends WardRecord {
  /** The logs as they are now, by line id. */
  logs: ReadonlyMap<string, readonly Entry[]>;
  line(id: string): LineState | null;
}

/** What a record that nothing wakes and nothing is sent from says. */
const unwoken = {
  readCopy: async () => null,
  wardIds: async () => [],
  nextWake: async () => null,
  dueNow: async () => [],
  repairWakes: async () => 0,
  takePost: noOutbox,
  postTrying: noOutbox,
  postDone: noOutbox,
  postAgain: noOutbox,
  postLeft: noOutbox,
  readPost: async () => null,
} satisfies Partial<WardRecord>;

async function noOutbox(): Promise<never> {
  throw new Error('a practice has no outbox');
}

/**
 * The record of a practice: the real use cases read it and write to it, and what they write stays in this object. It knows
 * no ward but `ward` and refuses to be asked for any other.
 */
export function inventedRecord(
  ward: WardState,
  begun: ReadonlyMap<string, readonly Entry[]>,
): InventedRecord {
  const logs = new Map([...begun].map(([id, log]) => [id, [...log]]));
  const line = (id: string) => {
    const log = logs.get(id);
    return log && log.length > 0 ? foldLine(id, log) : null;
  };
  const lines = (ids: Iterable<string>) =>
    [...ids].flatMap((id): LineState[] => {
      const found = line(id);
      return found ? [found] : [];
    });
  const own = (wardId: string) => {
    if (wardId !== ward.id) throw new Error(`a practice was asked for the ward ${wardId}`);
  };
  return {
    ...unwoken,
    policyIfNone: ward.policy,
    logs,
    line,
    async readWard(wardId) {
      own(wardId);
      return { ward, lines: lines(logs.keys()) };
    },
    async readWardState(wardId) {
      own(wardId);
      return ward;
    },
    async readLine(wardId, id) {
      own(wardId);
      return line(id);
    },
    async readLines(wardId, ids) {
      own(wardId);
      return lines(ids);
    },
    async readPlacings(wardId) {
      own(wardId);
      return lines(logs.keys()).map(placingOf);
    },
    async readLog(wardId, id) {
      own(wardId);
      return [...(logs.get(id) ?? [])];
    },
    async readWardLog(wardId) {
      own(wardId);
      return [];
    },
    async commit(wardId, change) {
      own(wardId);
      for (const { id, entries } of change.lines) logs.set(id, [...(logs.get(id) ?? []), ...entries]);
      return { is: 'written', armed: null };
    },
  };
}
