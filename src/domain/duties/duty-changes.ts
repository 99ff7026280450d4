import type { DutyKind } from '../duty-kind.ts';
import type { Duty } from './duty.ts';

/** What something recorded did to a line's duties; instants in ms. */
export interface DutyChanges {
  /** Done by it: due again later. */
  done: { kind: DutyKind; nextAt: number }[];
  /** Owed no more at all. */
  gone: DutyKind[];
  /** Owed since it, or sooner than before. */
  brought: { kind: DutyKind; dueAt: number }[];
}

/**
 * Compares a line's open duties `before` something was recorded and `after`, in the order of the first list, then the second.
 * Of each kind a line has at most one.
 *
 * Example: a flush at 20:00 of a line whose flush was due 20:00, flushed every 60 min → `done: [flush, 21:00]`.
 */
export function dutyChanges(before: readonly Duty[], after: readonly Duty[]): DutyChanges {
  const changes: DutyChanges = { done: [], gone: [], brought: [] };
  for (const { kind, dueAt } of before) {
    const still = after.find((duty) => duty.kind === kind);
    if (!still) changes.gone.push(kind);
    else if (still.dueAt > dueAt) changes.done.push({ kind, nextAt: still.dueAt });
  }
  for (const { kind, dueAt } of after) {
    const earlier = before.find((duty) => duty.kind === kind);
    if (!earlier || dueAt < earlier.dueAt) changes.brought.push({ kind, dueAt });
  }
  return changes;
}
