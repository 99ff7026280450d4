import type { Entry } from '../record/entry.ts';
import { hourMs } from '../time.ts';
import type { Attempt } from './attempt.ts';
import { placingOf } from './attempts-of.ts';

/** How long ago one person last tried to place a line. */
export interface Practice {
  by: string;
  /** The latest try or placing recorded of this person, ms. */
  lastAttemptAt: number;
  /** Longer ago at the end of the time looked at than the ward's policy says practice lasts. */
  lapsed: boolean;
}

/**
 * Whose practice has lapsed by `atMs`, in order of names: of everybody with a try recorded, and of whoever is told to have
 * placed a line whose tries were not. A line of which nobody said who placed it is nobody's practice. What happened from
 * `atMs` on is left out.
 *
 * Example: last try 100 days before, `lapsedAfterDays` 90 → lapsed.
 */
export function practiceAt(
  attempts: readonly Attempt[],
  lines: readonly { entries: readonly Entry[] }[],
  { atMs, lapsedAfterDays }: { atMs: number; lapsedAfterDays: number },
): Practice[] {
  const latest = new Map<string, number>();
  const see = (by: string, at: number) => {
    if (at < atMs) latest.set(by, Math.max(latest.get(by) ?? at, at));
  };
  for (const { by, at } of attempts) see(by, at);
  for (const { entries } of lines) {
    const placing = placingOf(entries);
    if (placing?.body.operator !== undefined) see(placing.body.operator, placing.at);
  }
  return [...latest]
    .toSorted(([a], [b]) => (a < b ? -1 : 1))
    .map(([by, lastAttemptAt]) => ({
      by,
      lastAttemptAt,
      lapsed: atMs - lastAttemptAt > lapsedAfterDays * 24 * hourMs,
    }));
}
