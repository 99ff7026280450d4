import type { DutyKind } from '../duty-kind.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { dayMs, hourMs } from '../time.ts';

/** Off the ward with somebody named: that person is asked for what stays due, and the ward is not. */
export function isEscorted({ away }: Pick<LineState, 'away'>): boolean {
  return away !== null && away.with !== null;
}

/**
 * The animal's other line by which it is off the ward, where this one is recorded as on it: it was registered meanwhile, there or
 * after a return that nobody recorded. Null where nothing speaks against the ward. A line out for a day says nothing any more.
 */
export function awayByAnother({ away, animal, placed, removed }: LineState): LineState | null {
  if (away || removed) return null;
  const others = (animal?.others ?? []).filter(
    (other) =>
      other.away !== null &&
      other.inError === null &&
      (other.removed === null ||
        (other.removed.reason !== 'death' &&
          other.removed.reason !== 'transfer' &&
          placed.at - other.removed.at < dayMs)),
  );
  return others.toSorted((a, b) => (b.away?.at ?? 0) - (a.away?.at ?? 0))[0] ?? null;
}

/** The lines whose patients the ward itself goes to. */
export function linesOnWard<L extends Pick<LineState, 'away'>>(lines: readonly L[]): L[] {
  return lines.filter((line) => !isEscorted(line));
}

/**
 * What can wait until a patient is back: nobody redresses or changes a set on a theatre table. Flush, source run-out, site
 * check, zero and level, dwell and findings stay due. Common practice, no source.
 */
const waits: ReadonlySet<DutyKind> = new Set(['redress', 'test', 'source', 'set', 'stillNeeded']);

/**
 * When a duty that falls due at `dueBy` (ms) is due in spite of the patient being away: one that waits, and falls due while
 * the patient is off the ward, is due on return. It waits no longer than the ward's hours for a patient away: one whose
 * return nobody recorded is not forgotten.
 */
export function dueWithAway(
  { awaySpells }: Pick<LineState, 'awaySpells'>,
  { awayAskAfterH }: WardPolicy,
  kind: DutyKind,
  dueBy: number,
): number {
  if (!waits.has(kind)) return dueBy;
  return awaySpells.reduce((dueAt, { from, until }) => {
    const end = Math.min(until ?? Number.POSITIVE_INFINITY, from + awayAskAfterH * hourMs);
    return dueAt >= from && dueAt < end ? end : dueAt;
  }, dueBy);
}

/** Whether a duty still to come waits for the return: it is due when the patient is back, at `dueAt` (ms) at the latest. */
export function isDueOnReturn(
  { away }: Pick<LineState, 'away'>,
  { awayAskAfterH }: WardPolicy,
  { kind, dueAt }: { kind: DutyKind; dueAt: number },
  now: number,
): boolean {
  return away !== null && waits.has(kind) && dueAt > now && dueAt === away.from + awayAskAfterH * hourMs;
}

/** Whether the patient has been away for longer than the ward's hours: is it back, and nobody said so? */
export function isLongAway(
  { away }: Pick<LineState, 'away'>,
  { awayAskAfterH }: WardPolicy,
  now: number,
): boolean {
  return away !== null && now >= away.from + awayAskAfterH * hourMs;
}
