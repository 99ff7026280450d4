import { isEscorted } from '../away/away.ts';
import { dutiesOfLine, mayCloseAt, owedLines } from '../duties/duties-of-line.ts';
import { type Duty, minuteMs } from '../duties/duty.ts';
import { claimOn, marksOn, toldNear } from '../duties/marks-on.ts';
import { wardStepsAt } from '../handover/handover-schedule.ts';
import type { Telling } from '../record/entry.ts';
import type { LineState } from '../record/line-state.ts';
import { nextShiftStart, shiftAt } from '../shifts/shift-calendar.ts';
import { type CoverStep, coverStepsAt } from '../ward/cover.ts';
import { nextAuditAt } from '../ward/month-audit.ts';
import { nurseOf, onCallAt, onCallFor } from '../ward/on-call.ts';
import type { WardTelling } from '../ward/ward-entry.ts';
import type { WardState } from '../ward/ward-state.ts';
import { isExemptFromGap, type Step, stepsOf } from './steps.ts';

/** A message the plan asks for: to whom, and of which duties. */
export type PlannedPost =
  | { to: 'ward'; what: 'nudge'; duties: Duty[] }
  | { to: 'nurse' | 'clinician'; what: 'escalation'; user: string; duties: Duty[] }
  | { to: 'ward'; what: 'nobody on call'; duties: Duty[] }
  | { to: 'ward'; what: 'handover'; for: number }
  | { to: 'ward'; what: 'cover'; step: CoverStep }
  | { to: 'ward'; what: 'handover not accepted'; for: number };

/** All that a ward owes its readers at one instant, and what is written down about it. */
export interface WakePlan {
  tellings: { lineId: string; telling: Telling }[];
  wardTellings: WardTelling[];
  posts: PlannedPost[];
}

/**
 * What is to be told at `now` and is not told yet. It looks at nothing but the record, so a wake-up that comes twice,
 * late, early or not at all changes only when this is asked. Steps that passed while nobody looked are all taken, each
 * once; repeats to the clinician are not made up for, and what is late goes to the clinician in one message.
 */
export function planWake(ward: WardState, lines: readonly LineState[], now: number): WakePlan {
  const plan: WakePlan = { tellings: [], wardTellings: [], posts: [] };
  const steps = lines.flatMap((line) => stepsOfLine(line, ward, now));
  const due = steps.filter(({ at }) => at <= now);

  const nudge = roundToNudge(ward, lines, steps, now);
  if (nudge.length > 0) {
    plan.posts.push({ to: 'ward', what: 'nudge', duties: nudge });
    write(plan, nudge, (duties) => ({ kind: 'nudged', body: { duties } }));
  }

  const byId = new Map(lines.map((line) => [line.id, line]));
  const forNurses = Map.groupBy(nursesSteps(ward, byId, steps, now), ({ duty }) => {
    const line = byId.get(duty.lineId);
    return line ? nurseOf(ward, line, now) : '';
  });
  for (const [user, late] of forNurses) {
    const duties = late.map(({ duty }) => duty);
    plan.posts.push({ to: 'nurse', what: 'escalation', user, duties });
    write(plan, duties, (pairs) => ({ kind: 'escalated', body: { duties: pairs, to: 'nurse', user } }));
  }

  if (due.some(({ to }) => to === 'clinician')) {
    const late = steps.filter((step) => isForClinicianNow(step, byId, ward, now)).map(({ duty }) => duty);
    const user = onCallAt(ward, now);
    plan.posts.push(
      user === null
        ? { to: 'ward', what: 'nobody on call', duties: late }
        : { to: 'clinician', what: 'escalation', user, duties: late },
    );
    write(plan, late, (pairs) => ({
      kind: 'escalated',
      body: { duties: pairs, to: 'clinician', ...(user === null ? {} : { user }) },
    }));
  }

  for (const step of wardStepsAt(ward, lines, now).filter(({ at }) => at <= now)) {
    plan.posts.push({ to: 'ward', what: step.what, for: step.for });
    plan.wardTellings.push(
      step.what === 'handover'
        ? {
            kind: 'handedOver',
            body: {
              for: step.for,
              auto: true,
              lines: owedLines(lines, ward.policy, now).length,
            },
          }
        : { kind: 'handoverNudged', body: { for: step.for } },
    );
  }
  for (const step of coverStepsAt(ward.covers, now).filter(({ at }) => at <= now)) {
    plan.posts.push({ to: 'ward', what: 'cover', step });
    plan.wardTellings.push({ kind: 'coverTold', body: { target: step.cover.number, what: step.what } });
  }
  return plan;
}

/**
 * The next instant at which `planWake` may have something to say of this line or its standing changes; null when
 * nothing is owed to it any more. A nudge held back by the ward's gap waits until `heldUntil`.
 */
export function lineWakeAt(line: LineState, ward: WardState, now: number, heldUntil = 0): number | null {
  if (line.inError) return null;
  const closing = mayCloseAt(line);
  const instants = [
    ...stepsOfLine(line, ward, now).map(({ to, at, duty }) =>
      to === 'ward' && !isExemptFromGap(duty) ? Math.max(at, heldUntil) : at,
    ),
    ...dutiesOfLine(line, ward.policy, now).flatMap(({ expiresAt }) =>
      expiresAt === undefined ? [] : [expiresAt],
    ),
    ...(closing !== null && closing > now ? [closing] : []),
    ...line.plannedNurses.flatMap(({ from }) => (from > now ? [from] : [])),
  ];
  return instants.length === 0 ? null : Math.min(...instants);
}

/**
 * The next instant of the ward's own calendar: a handover, a cover's beginning or end, the shift from which another is on call, or the
 * month's audit, which is owed also when no line is in any more; null for a ward that nothing was ever told of.
 */
export function wardWakeAt(ward: WardState, lines: readonly LineState[], now: number): number | null {
  const step = wardStepsAt(ward, lines, now)[0]?.at;
  const isBegun = ward.begunAt !== null || lines.length > 0;
  const covers = ward.covers.flatMap(({ from, until }) => [from, until]).filter((at) => at > now);
  const coming = nextShiftStart(ward.policy.shifts, now);
  const instants = [
    ...(step === undefined ? [] : [step]),
    ...covers,
    ...coverStepsAt(ward.covers, now).map(({ at }) => at),
    ...(isSameCalled(ward, now, coming) ? [] : [coming]),
    ...(isBegun ? [nextAuditAt(ward.policy.shifts, now)] : []),
  ];
  return instants.length === 0 ? null : Math.min(...instants);
}

function stepsOfLine(line: LineState, ward: WardState, now: number): Step[] {
  const onCall = onCallAt(ward, now);
  const nurse = nurseOf(ward, line, now);
  return dutiesOfLine(line, ward.policy, now).flatMap((duty) =>
    stepsOf(line, duty, ward.policy, nurse).map((step) => {
      // Told to another, or cried out while nobody was on call: whoever is on call since hears it at once.
      const told = step.to === 'clinician' ? toldNear(line, duty, ward.policy, 'clinician') : undefined;
      const unheard = told !== undefined && onCall !== null && told.user !== onCall;
      const claimed = (claimOn(marksOn(line, duty))?.until ?? 0) > now;
      return unheard && !claimed ? { ...step, at: Math.min(step.at, now) } : step;
    }),
  );
}

/** What is late already and would climb to the clinician within this is told with what climbs now, ms. */
const climbsTogetherMs = minuteMs;

/**
 * What a message to the clinician takes along besides what is due to be told: everything they were told before that is
 * still open and nobody claimed, and what is late and climbs seconds later. So one message tells all that is late, none
 * waits for another, and the next comes a whole interval after it.
 */
function isForClinicianNow(
  step: Step,
  lines: ReadonlyMap<string, LineState>,
  ward: WardState,
  now: number,
): boolean {
  if (step.to !== 'clinician') return false;
  if (step.at <= now) return true;
  const line = lines.get(step.duty.lineId);
  if (!line || step.at > now + ward.policy.repeatMin * minuteMs) return false;
  const marks = marksOn(line, step.duty);
  if ((claimOn(marks)?.until ?? 0) > now) return false;
  const climbsSoon = step.at < now + climbsTogetherMs && step.duty.dueAt < now;
  return marks.clinician !== undefined || climbsSoon;
}

/**
 * The nurses' steps that are due, and with those of a patient off the ward what is due of it within a round's minutes:
 * there the message to whoever has it is the round.
 */
function nursesSteps(
  { policy }: WardState,
  lines: ReadonlyMap<string, LineState>,
  steps: readonly Step[],
  now: number,
): Step[] {
  const theirs = steps.filter(({ to }) => to === 'nurse');
  const told = new Set(theirs.flatMap(({ at, duty }) => (at <= now ? [duty.lineId] : [])));
  const isNear = ({ at, duty }: Step) => at <= now + policy.roundMin * minuteMs && duty.earliestAt <= now;
  return theirs.filter((step) => {
    if (step.at <= now) return true;
    const line = lines.get(step.duty.lineId);
    return told.has(step.duty.lineId) && line !== undefined && isEscorted(line) && isNear(step);
  });
}

/** How long after an instant at which time alone changed who is told a look still brings the messages up to date, ms. */
const changeSeenMs = 60 * minuteMs;

const isJustPast = (at: number, now: number) => at <= now && now < at + changeSeenMs;

/** Whether a shift has just begun for which the line had been given to somebody. */
export function changesHands({ plannedNurses }: LineState, now: number): boolean {
  return plannedNurses.some(({ from }) => isJustPast(from, now));
}

/** Whether a cover has just begun or ended: any line's nurse, and who is on call, may be another. */
export function changesCover({ covers }: WardState, now: number): boolean {
  return covers.some(({ from, until }) => isJustPast(from, now) || isJustPast(until, now));
}

/** Whether a shift has just begun from which another is on call: whoever was told that they are must read that they were. */
export function changesCall(ward: WardState, now: number): boolean {
  const { startMs } = shiftAt(ward.policy.shifts, now);
  return isJustPast(startMs, now) && !isSameCalled(ward, startMs - 1, startMs);
}

function isSameCalled(ward: WardState, atMs: number, laterMs: number): boolean {
  const [one, other] = [onCallFor(ward, atMs), onCallFor(ward, laterMs)];
  return one?.user === other?.user && one?.insteadOf === other?.insteadOf;
}

/** Duties due now, and with them those due within the round's minutes whose time has come near enough to count. */
function roundToNudge(
  ward: WardState,
  lines: readonly LineState[],
  steps: readonly Step[],
  now: number,
): Duty[] {
  const untold = steps.filter(({ to }) => to === 'ward');
  const due = untold.filter(({ at }) => at <= now);
  const held = now < nudgeHeldUntil(ward, lines);
  const leading = held ? due.filter(({ duty }) => isExemptFromGap(duty)) : due;
  if (leading.length === 0) return [];
  const untilMs = now + ward.policy.roundMin * minuteMs;
  return untold
    .filter(({ at, duty }) => at <= untilMs && duty.earliestAt <= now && duty.kind !== 'hold')
    .concat(leading.filter(({ duty }) => duty.kind === 'hold'))
    .map(({ duty }) => duty);
}

/** A ward is nudged at most every `nudgeGapMin`: the instant from which it may be nudged again. */
export function nudgeHeldUntil(ward: WardState, lines: readonly LineState[]): number {
  const last = lines.flatMap(({ marks }) =>
    Object.values(marks).flatMap(({ nudged }) => (nudged ? [nudged.at] : [])),
  );
  return last.length === 0 ? 0 : Math.max(...last) + ward.policy.nudgeGapMin * minuteMs;
}

function write(
  plan: WakePlan,
  duties: readonly Duty[],
  telling: (pairs: [Duty['kind'], number][]) => Telling,
): void {
  for (const [lineId, mine] of Map.groupBy(duties, (duty) => duty.lineId)) {
    plan.tellings.push({ lineId, telling: telling(mine.map(({ kind, dueAt }) => [kind, dueAt])) });
  }
}
