import { foldLine, foldNumber } from '../domain/fold/fold-line.ts';
import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import type { LineState } from '../domain/record/line-state.ts';
import type { ShiftPlan } from '../domain/shifts/shift-plan.ts';
import { foldWard, newWard, type WardState, wardFoldNumber } from '../domain/ward/ward-state.ts';
import { decodeEntry, decodeWardEntry } from './entry-codec.ts';
import type { WardKeys } from './keys.ts';
import { reach } from './reach.ts';
import type { RecordClient } from './script.ts';
import { tabled, untabled } from './tables.ts';

/**
 * The stored form of a line's state: the fold that made it, the log's length it stands for, and the state. What grows with each flush
 * is written as tables.
 */
export function encodeLine(state: LineState): string {
  const recent = Object.fromEntries(Object.entries(state.recent).map(([kind, done]) => [kind, tabled(done)]));
  const s = { ...state, recent, handFlushes: tabled(state.handFlushes) };
  return JSON.stringify({ f: foldNumber, v: state.version, s });
}

/** The state that `encodeLine` stored, if it was made by this fold from a log of this length; else null. */
export function decodeLine(text: string | null, version: number): LineState | null {
  const stored = trusted<LineState>(text, foldNumber, version);
  if (stored === null) return null;
  const recent = Object.fromEntries(
    Object.entries(stored.recent).map(([kind, done]) => [kind, untabled(done)]),
  ) as LineState['recent'];
  return { ...stored, recent, handFlushes: untabled(stored.handFlushes) as LineState['handFlushes'] };
}

/** The stored form of a ward's own state. */
export function encodeWard(state: WardState): string {
  return JSON.stringify({ f: wardFoldNumber, v: state.version, s: state });
}

/** The state a snapshot holds, if it was made by this fold from a log of this length; else null. */
function trusted<T>(text: string | null, fold: number, version: number): T | null {
  if (text === null) return null;
  try {
    const { f, v, s } = JSON.parse(text) as { f?: unknown; v?: unknown; s?: T };
    return f === fold && v === version && s ? s : null;
  } catch {
    return null;
  }
}

/**
 * Ward states read lately, by ward, with the text they were read from. A state is never changed but replaced by another, so a
 * text that is the same as before is not parsed again, and what is remembered of its shift plan outlives the reading.
 */
class KeptWards {
  private readonly wards = new Map<string, { text: string; state: WardState | null }>();
  private readonly plans = new Map<string, ShiftPlan>();

  read(wardId: string, text: string | null, version: number): WardState | null {
    const known = this.wards.get(wardId);
    this.wards.delete(wardId);
    if (text === null) return null;
    const state =
      known?.text === text ? known.state : this.ownPlan(trusted<WardState>(text, wardFoldNumber, version));
    if (state?.version !== version) return null;
    // Whoever would change it would change it for all who read it after.
    if (state !== known?.state) frozen(state);
    this.wards.set(wardId, { text, state });
    for (const oldest of this.wards.keys()) {
      if (this.wards.size <= mostWardsKept) break;
      this.wards.delete(oldest);
    }
    return state;
  }

  /** Wards that agree on their shifts share one plan, and what is remembered of it. */
  private ownPlan(state: WardState | null): WardState | null {
    if (state === null) return null;
    const { shifts } = state.policy;
    const text = JSON.stringify(shifts);
    const known = this.plans.get(text);
    if (known) return { ...state, policy: { ...state.policy, shifts: known as WardPolicy['shifts'] } };
    if (this.plans.size >= mostPlansKept) this.plans.clear();
    this.plans.set(text, shifts);
    return state;
  }
}

function frozen(value: unknown): void {
  if (typeof value !== 'object' || value === null || Object.isFrozen(value)) return;
  Object.freeze(value);
  for (const part of Object.values(value)) frozen(part);
}

const mostWardsKept = 500;
const mostPlansKept = 500;

/** Where snapshots are read, and made again from the logs where they cannot be trusted. */
export interface Snapshots {
  /** The ward's own state. */
  readWardState(keys: WardKeys, wardId: string): Promise<WardState>;
  /** Lines in the order asked for; ids that no line has are left out. */
  readLines(keys: WardKeys, wardId: string, lineIds: readonly string[]): Promise<LineState[]>;
}

/** Reads states by their snapshots. A ward without a policy of its own has `defaultPolicy`. */
export function snapshots(client: RecordClient, defaultPolicy: WardPolicy): Snapshots {
  const kept = new KeptWards();
  /** Best effort: a snapshot that could not be kept is made again at the next reading. */
  const keep = (key: string, text: string) => {
    client.set(key, text).catch(() => {});
  };

  const foldStoredLine = async (keys: WardKeys, wardId: string, lineId: string) => {
    const log = await reach('reads', () => client.lrange(keys.lineLog(lineId), 0, -1));
    const state = foldLine(
      lineId,
      log.map((text, index) => decodeEntry(text, entryPlace(wardId, lineId, index))),
    );
    keep(keys.line(lineId), encodeLine(state));
    return state;
  };

  const foldStoredWard = async (keys: WardKeys, wardId: string) => {
    const log = await reach('reads', () => client.lrange(keys.wardLog, 0, -1));
    const state = foldWard(
      wardId,
      defaultPolicy,
      log.map((text, index) => decodeWardEntry(text, wardEntryPlace(wardId, index))),
    );
    keep(keys.ward, encodeWard(state));
    return state;
  };

  return {
    async readWardState(keys, wardId) {
      const [text, length] = await reach('reads', () =>
        Promise.all([client.get(keys.ward), client.llen(keys.wardLog)]),
      );
      if (length === 0) return newWard(wardId, defaultPolicy);
      const state = kept.read(wardId, text, length) ?? (await foldStoredWard(keys, wardId));
      // The default may have changed since the snapshot; a log without a policy goes with the default of today.
      return state.policyVersion === 0 ? { ...state, policy: defaultPolicy } : state;
    },

    async readLines(keys, wardId, lineIds) {
      if (lineIds.length === 0) return [];
      const { texts, lengths } = await storedLines(client, keys, lineIds);
      const lines: LineState[] = [];
      for (const [index, id] of lineIds.entries()) {
        const length = lengths[index] ?? 0;
        if (length === 0) continue;
        const state = decodeLine(texts[index] ?? null, length);
        lines.push(state ?? (await foldStoredLine(keys, wardId, id)));
      }
      return lines;
    },
  };
}

/** The snapshot of each line, null where there is none, and how long its log is. */
function storedLines(
  client: RecordClient,
  keys: WardKeys,
  lineIds: readonly string[],
): Promise<{ texts: (string | null)[]; lengths: number[] }> {
  return reach('reads', async () => {
    const replies = await client
      .pipeline([['mget', ...lineIds.map(keys.line)], ...lineIds.map((id) => ['llen', keys.lineLog(id)])])
      .exec();
    const [texts, ...lengths] = (replies ?? []).map(([error, reply]) => {
      if (error) throw error;
      return reply;
    });
    return { texts: texts as (string | null)[], lengths: lengths as number[] };
  });
}

/** How an entry of a line's log is named in an error; `index` counts from 0, entries from 1. */
export function entryPlace(wardId: string, lineId: string, index: number): string {
  return `ward ${wardId}, line ${lineId}: entry ${index + 1}`;
}

/** How an entry of a ward's own log is named in an error. */
export function wardEntryPlace(wardId: string, index: number): string {
  return `ward ${wardId}: entry ${index + 1}`;
}
