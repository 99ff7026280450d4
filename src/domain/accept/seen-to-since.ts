import { effectiveEntries } from '../record/effective-entries.ts';
import type { Entry, EntryKind } from '../record/entry.ts';
import { futureToleranceMs, type Refusal } from './refusal.ts';

/** What is done to a line only while it is in. A look at the site or the limb, a fault's path and a move go on after it is out. */
const onlyWhileIn: ReadonlySet<EntryKind> = new Set([
  'flushed',
  'zeroed',
  'levelled',
  'fastFlushTested',
  'reading',
  'sampled',
  'sourceChanged',
  'sourceChecked',
  'flushModeChanged',
  'redressed',
  'capped',
  'transducerJoined',
]);

export function isOnlyWhileIn(kind: EntryKind): boolean {
  return onlyWhileIn.has(kind);
}

/**
 * Why a line can't have come out at `at` (ms): somebody recorded that they did something to it later, so one of the two times is
 * wrong. Clocks and fingers differ a little.
 */
export function seenToSince(log: readonly Entry[], at: number): Refusal | null {
  const later = effectiveEntries(log)
    .map(({ entry }) => entry)
    .filter((entry) => isOnlyWhileIn(entry.kind) && entry.at > at + futureToleranceMs)
    .toSorted((a, b) => b.at - a.at)[0];
  return later ? { because: 'seen to since', entry: later } : null;
}
