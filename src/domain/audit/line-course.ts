import { type FoldStep, foldSteps } from '../fold/fold-line.ts';
import type { Entry, EntryKind } from '../record/entry.ts';
import type { LineState } from '../record/line-state.ts';
import { hourMs } from '../time.ts';

/** A line of the ward, in or out, with its whole log. */
export interface LoggedLine {
  id: string;
  log: readonly Entry[];
}

/** From `fromMs` up to, not including, `toMs`; ms since the epoch. */
export interface Period {
  fromMs: number;
  toMs: number;
}

/** When a line was in. */
export interface Stay {
  placedAt: number;
  /** When it came out, ms; null where it was still in at the period's end. */
  outAt: number | null;
}

/** What a line went through up to the end of a period. */
export interface LineCourse extends Stay {
  steps: FoldStep[];
  /** The line at the period's end. */
  last: LineState;
}

/** What the bot sent: a third of a log, and nothing in it moves a duty. Its steps are there, its marks are in no state. */
const botEntries: readonly EntryKind[] = ['nudged', 'escalated'];

/**
 * The course of a line up to `toMs`: what happened from then on is left out, whenever it was recorded, and what was amended counts
 * as amended. Its states do not say whom the bot told. Null where it was not yet placed, or registered in error. Throws where the log does not begin
 * with a placing.
 */
export function lineCourse({ id, log }: LoggedLine, toMs: number): LineCourse | null {
  const { first, steps: all } = foldSteps(id, log, botEntries);
  if (first.inError || first.placed.at >= toMs) return null;
  const steps = all.filter(({ entry }) => entry.at < toMs);
  const last = steps.at(-1)?.after ?? first;
  return { placedAt: first.placed.at, outAt: last.removed?.at ?? null, steps, last };
}

/** Whether an instant (ms) lies in a period: its start does, its end doesn’t. */
export function isWithin(at: number, { fromMs, toMs }: Period): boolean {
  return at >= fromMs && at < toMs;
}

/** How long a line was in during a period, ms. */
export function timeInMs({ placedAt, outAt }: Stay, { fromMs, toMs }: Period): number {
  return Math.max(0, Math.min(outAt ?? toMs, toMs) - Math.max(placedAt, fromMs));
}

/** How long lines were in during a period, together, in days. */
export function lineDaysOf(stays: readonly Stay[], period: Period): number {
  return stays.reduce((sum, stay) => sum + timeInMs(stay, period), 0) / (24 * hourMs);
}
