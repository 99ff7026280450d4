import { isEscorted } from '../away/away.ts';
import { type Duty, isClinicians, minuteMs, saidAfter, type Why } from '../duties/duty.ts';
import { claimOn, marksOn, toldNear } from '../duties/marks-on.ts';
import { graceOf, laterMinOf, type WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';

/** Whys that come with time, not with something a nurse just did. */
const byTheClock: ReadonlySet<Why> = new Set([
  'shift start',
  'interval',
  'dwell',
  'running out',
  'removed',
  'fault open',
]);

/** Who is told of a duty next, and when (ms since the epoch). */
export interface Step {
  duty: Duty;
  to: 'ward' | 'nurse' | 'clinician';
  at: number;
}

/**
 * The steps of a duty's ladder that are not told yet, at most one to each reader: ward at the due time (what is due "at
 * once" a little later, since whoever caused it usually does it), nurse and clinician at their graces, the clinician
 * again every `repeatMin` until claimed or done. `nurse`: who has the line now; where another was told, they are told too.
 *
 * "Later" moves the nurse's step to its end, told before or not, and the clinician's past it by the usual gap, yet by no
 * more than the minutes that "later" buys. "Cannot", an alarming finding, a fault left unresolved and a cat's dwell go to the clinician at once. A claim silences until
 * it ends or somebody says "cannot". News (the dwell warning, the end of a hold) does not climb.
 *
 * Of a patient that is off the ward with somebody named, that person is the nurse and is told when the ward would be: the
 * ward cannot do it. A cat's dwell goes to all three.
 *
 * Example: a flush due 03:00 → ward 03:00, nurse 03:10, clinician 03:20, then 03:50.
 */
export function stepsOf(line: LineState, duty: Duty, policy: WardPolicy, nurse?: string): Step[] {
  const marks = marksOn(line, duty);
  const { snoozed, cannot } = marks;
  const grace = graceOf(policy, duty.kind);
  const dwell = duty.kind === 'dwellLimit' || duty.kind === 'dwellWarning';
  const atOnce = !byTheClock.has(duty.why);
  const putOffUntil = snoozed?.until ?? 0;
  const claimedUntil = claimOn(marks)?.until ?? 0;
  const isTheirs = isClinicians(duty.kind);
  const steps: Step[] = [];
  const add = (to: Step['to'], at: number) => steps.push({ duty, to, at });

  const escorted = isEscorted(line);
  const firstAt = duty.dueAt + (atOnce ? policy.atOnceMin * minuteMs : 0);
  // Whoever saw it told it: a finding or a fault left is not the nurse's to be reminded of.
  if (!isTheirs && (!escorted || dwell) && !toldNear(line, duty, policy, 'nudged')) {
    add('ward', Math.max(firstAt, putOffUntil));
  }
  if (duty.kind === 'hold' && !escorted) return steps;
  const climbs = duty.kind !== 'dwellWarning';
  const isAnothers = nurse !== undefined && marks.nurse?.user !== undefined && marks.nurse.user !== nurse;
  const nurseTold = marks.nurse && !isAnothers && !(snoozed && saidAfter(snoozed, marks.nurse));
  const isNurses = escorted || (climbs && !dwell);
  if (isNurses && !isTheirs && !nurseTold && !cannot) {
    const usual = escorted ? firstAt : duty.dueAt + grace.nurse * minuteMs;
    add('nurse', Math.max(putOffUntil || usual, claimedUntil));
  }
  if (duty.kind === 'hold') return steps;
  const clinician = toldNear(line, duty, policy, 'clinician');
  if (clinician) {
    const news = cannot && saidAfter(cannot, clinician) ? cannot.at : null;
    // News that was only cried out, nobody being on call, still has to reach whoever is put on call.
    const unheard = clinician.user === undefined;
    if (climbs || unheard)
      add('clinician', Math.max(news ?? clinician.at + policy.repeatMin * minuteMs, claimedUntil));
  } else {
    const gapMs = (grace.clinician - grace.nurse) * minuteMs;
    const usual = duty.dueAt + grace.clinician * minuteMs;
    const putOff = Math.min(putOffUntil + gapMs, usual + laterMinOf(policy, duty.kind) * minuteMs);
    const late = putOffUntil > 0 ? Math.max(usual, putOff) : usual;
    const at = dwell || isTheirs ? duty.dueAt : (cannot?.at ?? late);
    add('clinician', Math.max(at, claimedUntil));
  }
  return steps;
}

/** Dwell is not held back by the ward's nudge gap. (A finding or a fault left goes to the clinician, not to the ward.) */
export function isExemptFromGap(duty: Duty): boolean {
  return duty.kind === 'dwellLimit' || duty.kind === 'dwellWarning' || duty.kind === 'hold';
}
