import { dutiesOfLine } from '../../domain/duties/duties-of-line.ts';
import { type DutyChanges, dutyChanges } from '../../domain/duties/duty-changes.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { Entry } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { AppDeps } from '../app-deps.ts';
import {
  type InventedKind,
  inventedLineId,
  inventedLog,
  inventedWard,
  practisedLineId,
} from './invented-line.ts';
import { type InventedRecord, inventedRecord } from './invented-record.ts';

/** What a practice begins from: how the invented line stands, since when (ms), whom it is with, what was recorded since. */
export interface PracticeBegun {
  kind: InventedKind;
  at: number;
  user: string;
  entries: readonly Entry[];
  /** Who may decide, besides those of the policy. */
  deciding?: readonly string[];
}

/** One practice: what the real use cases run on, and what they did. */
export interface Practice {
  deps: AppDeps;
  record: InventedRecord;
  /** Entries of the invented line recorded since it was invented. */
  entries(): readonly Entry[];
  /** What was done to the duties of the line practised on, at `now` (ms); null when nothing was recorded. */
  changes(now: number): { line: LineState; changes: DutyChanges } | null;
}

/**
 * The real use cases on an invented line: the same checks, the same fold, the same answers, and nothing behind them. Of
 * the real `deps` only the clock is used, and its operator hears of trouble.
 */
export function practiceOn(deps: AppDeps, policy: WardPolicy, begun: PracticeBegun): Practice {
  const { kind, at, user } = begun;
  const log = inventedLog(kind, at, user);
  const ward = inventedWard(policy, at, begun.deciding);
  const record = inventedRecord(
    ward,
    new Map(log.length === 0 ? [] : [[inventedLineId, [...log, ...begun.entries]]]),
  );
  const before = record.line(inventedLineId);
  return {
    record,
    deps: {
      record,
      clock: deps.clock,
      alarm: { wakeAt: async () => {}, postsWaiting: async () => {} },
      watch: {
        entryAccepted() {},
        conflict() {},
        notified() {},
        posted() {},
        repaired() {},
        trouble: (...details) => deps.watch.trouble(...details),
      },
      newId: () => practisedLineId,
    },
    entries: () => (record.logs.get(inventedLineId) ?? []).slice(log.length),
    changes(now) {
      const after = record.line(before ? inventedLineId : practisedLineId);
      if (!after || after.version === before?.version) return null;
      const duties = (line: LineState | null) => (line ? dutiesOfLine(line, ward.policy, now) : []);
      return { line: after, changes: dutyChanges(duties(before), duties(after)) };
    },
  };
}
