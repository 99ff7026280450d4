import { type DutyOutcome, dutyOutcomes } from '../audit/duty-outcomes.ts';
import type { LineCourse, Period } from '../audit/line-course.ts';
import { dutiesOfLine } from '../duties/duties-of-line.ts';
import { marksOn } from '../duties/marks-on.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { Trouble } from './trouble.ts';

/** A duty of the shift and how it ended; `isOpen`: not done to this instant. */
export type CareOfShift = DutyOutcome & { isOpen: boolean };

/**
 * How the line's care of the shift `worked` ended: what was due or done in it, and what is open at its end past its grace
 * however long that has been due. What counts as late is the audit's rule: see `dutyOutcomes`.
 */
export function careOfShift(
  course: LineCourse,
  policyAt: (at: number) => WardPolicy,
  { fromMs, toMs }: Period,
): CareOfShift[] {
  const open = new Set(
    dutiesOfLine(course.last, policyAt(toMs), toMs).map(({ kind, dueAt }) => `${kind} ${dueAt}`),
  );
  return dutyOutcomes(course, policyAt, toMs + 1)
    .map((one) => ({ ...one, isOpen: one.ended === 'not done' && open.has(`${one.kind} ${one.dueAt}`) }))
    .filter(({ dueAt, lateByMs, isOpen }) => isOpen || dueAt + Math.max(0, lateByMs ?? 0) >= fromMs);
}

/** What of a shift's care was late or is not done: one trouble for each kind of duty, named by its worst. */
export function lateCare(
  care: readonly CareOfShift[],
  { last }: Pick<LineCourse, 'last'>,
  policy: WardPolicy,
  now: number,
): (Trouble & { what: 'late' })[] {
  const open = dutiesOfLine(last, policy, now);
  return [...Map.groupBy(care, ({ kind }) => kind).values()].flatMap((all) => {
    const ofKind = all.toSorted((a, b) => a.dueAt - b.dueAt);
    const late = ofKind.filter(({ ended }) => ended === 'late' || ended === 'not done');
    const lateBy = (one: CareOfShift) => one.lateByMs ?? now - one.dueAt;
    const worst = late.toSorted((a, b) => Number(b.isOpen) - Number(a.isOpen) || lateBy(b) - lateBy(a))[0];
    if (!worst) return [];
    const { kind, dueAt, lateByMs } = worst;
    const lastLate = ofKind.findLastIndex((one) => late.includes(one));
    const duty = worst.isOpen ? open.find((one) => one.kind === kind) : undefined;
    return [
      {
        what: 'late' as const,
        kind,
        dueAt,
        doneAt: lateByMs === null ? null : dueAt + lateByMs,
        isOpen: worst.isOpen,
        lateByMs: lateBy(worst),
        times: late.length,
        onTimeSince: ofKind.slice(lastLate + 1).filter(({ ended }) => ended === 'on time').length,
        cannot: (duty && marksOn(last, duty).cannot?.reason) ?? null,
      },
    ];
  });
}
