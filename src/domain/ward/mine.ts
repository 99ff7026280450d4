import { dutiesOfLine } from '../duties/duties-of-line.ts';
import type { Duty } from '../duties/duty.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { minuteMs } from '../time.ts';
import { nurseFor } from './on-call.ts';
import type { WardState } from './ward-state.ts';

/** A line with what is owed to it now, and what comes first after that. */
export interface OwnLine {
  line: LineState;
  /** What is due, or so soon that the same visit takes it along. */
  now: Duty[];
  next: Duty | null;
}

/**
 * The lines that `user` is asked for at `at` (ms): their own and those of whoever they cover for. What is due longest comes
 * first, then what comes first; lines to which nothing is owed are left out.
 */
export function ownLines(ward: WardState, lines: readonly LineState[], user: string, at: number): OwnLine[] {
  const theirs = lines.filter((line) => nurseFor(ward, line, at).user === user);
  return owedOf(theirs, ward.policy, at);
}

/** What is owed to each of these lines at `at` (ms), in the order of `ownLines`. */
export function owedOf(lines: readonly LineState[], policy: WardPolicy, at: number): OwnLine[] {
  const soon = at + policy.roundMin * minuteMs;
  return lines
    .flatMap((line) => {
      const duties = dutiesOfLine(line, policy, at);
      if (duties.length === 0) return [];
      const now = duties.filter(({ dueAt }) => dueAt <= soon);
      return [{ line, now, next: duties.find(({ dueAt }) => dueAt > soon) ?? null }];
    })
    .sort((a, b) => firstAt(a) - firstAt(b) || a.line.patient.name.localeCompare(b.line.patient.name, 'en'));
}

function firstAt({ now, next }: OwnLine): number {
  return (now[0] ?? next)?.dueAt ?? Number.POSITIVE_INFINITY;
}
