import { isEscorted } from '../away/away.ts';
import { dutiesOfLine } from '../duties/duties-of-line.ts';
import { type Duty } from '../duties/duty.ts';
import { claimOn, marksOn } from '../duties/marks-on.ts';
import { dangerousFrom, urgencyOf } from '../duties/urgency.ts';
import { isClinicians, isDwell } from '../duty-kind.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { apartMs, lastVisitAt, spokenForItselfAt } from '../rounds/visit-gap.ts';
import { minuteMs } from '../time.ts';
import { type Reader, ringsForNextPatient, type Step, stampOf } from './steps.ts';

/** What one reader is told of what is late: in a new message, or by adding to the one that stands. */
export interface Notification {
  duties: Duty[];
  /** When the standing message was made that they are added to, ms; absent where a new one is made. */
  joins?: number;
}

/** What is late and climbs to the clinician within this is told with what climbs now, ms. */
const climbsTogetherMs = minuteMs;

/**
 * What a reader is told now. A new message is made for what is more urgent than all that the standing one was made for, for a
 * finding or a fault that somebody just recorded, and once `repeatMin` has passed; else what is due is added to the message that
 * stands, and no phone rings. A new message says all that is open and nobody claimed, so that only one is ever looked at.
 *
 * `steps`: every step to this reader, taken or to come, `user`: who that is, undefined where nobody is.
 */
export function notificationOf(
  to: Reader,
  user: string | undefined,
  steps: readonly Step[],
  lines: readonly LineState[],
  policy: WardPolicy,
  now: number,
): Notification | null {
  const due = steps.filter(({ at }) => at <= now);
  if (due.length === 0) return null;
  const all = notified(to, user, lines, policy, now);
  const open = all.filter(({ isClaimed }) => !isClaimed);
  // Where they took over all that they were told, late care still comes with that message.
  const isCare = due.every(({ duty }) => gravity(duty, policy, now) === 1);
  const stamp = Math.max(0, ...(isCare ? all : open).map(({ madeAt }) => madeAt));
  const standing = all.filter(({ madeAt }) => madeAt === stamp);
  const repeatMs = policy.repeatMin * minuteMs;
  // A flush that is late has its call before it is a danger.
  const mayWait = due.every(({ duty }) => dangerousFrom(duty, policy) === null);
  const isFresh =
    stamp > now - repeatMs ||
    (to === 'nurse' && mayWait && stamp > now - 2 * repeatMs && isJustCalled(lines, policy, now));
  const gravest = Math.max(0, ...standing.map(({ duty }) => gravity(duty, policy, stamp)));
  const known = new Map(lines.map((line) => [line.id, line]));
  const rings = due.some(({ duty }) => {
    if (!isFresh || gravity(duty, policy, now) > gravest || isNotified(open, duty)) return true;
    const line = known.get(duty.lineId);
    // To whoever has a patient off the ward this message is the visit.
    if (to === 'nurse' && line && isEscorted(line)) return true;
    // Added now, it would ring with the very next look.
    const isClinicianThere = to === 'clinician' && user !== undefined;
    if (isClinicianThere && line && ringsForNextPatient(line, duty, policy, stamp, now)) return true;
    // The standing message knows nothing of a line that was registered after it.
    return isClinicians(duty.kind) || (line?.knownSince ?? 0) > stamp;
  });
  if (!rings) return { duties: due.map(({ duty }) => duty), joins: stamp };
  const soon = steps.filter(
    ({ at, duty }) => at > now && at < now + climbsTogetherMs && duty.dueAt < now && to === 'clinician',
  );
  const called = new Set(due.map(({ duty }) => duty.lineId));
  const alongAway = steps.filter(({ at, duty }) => {
    const line = known.get(duty.lineId);
    const isNear = at > now && at <= now + policy.roundMin * minuteMs && duty.earliestAt <= now;
    return to === 'nurse' && isNear && called.has(duty.lineId) && line !== undefined && isEscorted(line);
  });
  const coming = [...due, ...soon, ...alongAway].map(({ duty }) => duty);
  const also = open.filter(({ duty }) => !coming.some((one) => isSame(one, duty))).map(({ duty }) => duty);
  return { duties: [...coming, ...also, ...careAlong(to, [...coming, ...also], lines, policy, now)] };
}

/** Whether the nurse of these lines was called a moment ago for a cat's limit or a visit: late care then waits in their message. */
function isJustCalled(lines: readonly LineState[], policy: WardPolicy, now: number): boolean {
  const limitAt = Math.max(0, ...lines.map(spokenForItselfAt));
  return limitAt > now - policy.repeatMin * minuteMs || lastVisitAt(lines, policy) > now - apartMs;
}

/** What stands open of what this reader was told, with when its message was made (ms) and whether somebody has it. */
function notified(
  to: Reader,
  user: string | undefined,
  lines: readonly LineState[],
  policy: WardPolicy,
  now: number,
): { duty: Duty; madeAt: number; isClaimed: boolean }[] {
  return lines.flatMap((line) =>
    dutiesOfLine(line, policy, now).flatMap((duty) => {
      if (line.marks[duty.kind]?.[to] === undefined) return [];
      const marks = marksOn(line, duty);
      const words = urgencyOf(policy, duty.kind) === 'question' ? undefined : marks[to];
      if (!words || words.user !== user) return [];
      return [{ duty, madeAt: stampOf(words), isClaimed: (claimOn(marks)?.until ?? 0) > now }];
    }),
  );
}

/** Care that is late enough to climb but waits for the morning comes as a line of a message that is sent anyway. */
function careAlong(
  to: Reader,
  said: readonly Duty[],
  lines: readonly LineState[],
  policy: WardPolicy,
  now: number,
): Duty[] {
  if (to !== 'clinician') return [];
  const lateMs = policy.graceMin.clinician * minuteMs;
  return lines.flatMap((line) =>
    dutiesOfLine(line, policy, now).filter(
      (duty) =>
        duty.dueAt + (isDwell(duty.kind) ? 0 : lateMs) <= now &&
        duty.kind !== 'stillNeeded' &&
        duty.kind !== 'hold' &&
        !said.some((one) => isSame(one, duty)) &&
        (claimOn(marksOn(line, duty))?.until ?? 0) <= now,
    ),
  );
}

function isSame(a: Duty, b: Duty): boolean {
  return a.lineId === b.lineId && a.kind === b.kind;
}

function isNotified(open: readonly { duty: Duty }[], duty: Duty): boolean {
  return open.some((one) => isSame(one.duty, duty));
}

/** How grave a duty is at `atMs`: what was seen or has run out of time before a clot that is likely, before late care. */
export function gravity(duty: Duty, policy: WardPolicy, atMs: number): number {
  const danger = dangerousFrom(duty, policy);
  if (danger === null || danger > atMs) return 1;
  return isClinicians(duty.kind) || isDwell(duty.kind) || duty.kind === 'runOut' ? 3 : 2;
}
