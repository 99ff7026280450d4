import type { LineCourse, Period } from '../audit/line-course.ts';
import { bloodOfAnimal } from '../blood/blood-loss.ts';
import { dutiesOfLine } from '../duties/duties-of-line.ts';
import { catDwell } from '../duties/dwell.ts';
import { type Caution, withImplied } from '../placing/screening.ts';
import { graceOf, type WardPolicy } from '../policy/ward-policy.ts';
import { endOf, targetsInForce } from '../reading/targets.ts';
import type { LineState } from '../record/line-state.ts';
import { failureOf } from '../record/removal-reasons.ts';
import { minuteMs } from '../time.ts';
import { type CareOfShift, lateCare } from './late-care.ts';
import { byGravity, type Trouble } from './trouble.ts';
import { findingsOf, pressureOf } from './what-was-found.ts';

/** What is asked of one line: its course and state at one instant, and the shifts before and after that instant. */
export interface LineHandedOver {
  /** At the instant of the handover, with what its animal's other lines say. */
  line: LineState;
  /** The same line's own log up to then. */
  course: LineCourse;
  care: readonly CareOfShift[];
  /** The shift that is handed over, up to the instant of the handover. */
  worked: Period;
  /** The shift it is handed to. */
  coming: Period;
}

/**
 * All of one line that belongs into *Watch*, gravest first; empty for a line of which nothing went wrong and nothing ends.
 *
 * What goes in: findings at the site or the limb, though clear now; pressures beyond targets or limits; each fault with its
 * outcome; care that was late or is not done past the nurse's grace; a puncture nobody looked at after its hold; a line lost; blood spilt, or more than the ward's limit;
 * a cat's limit that has passed or ends in the coming shift; waivers and targets that run out in it; cautions. That it is a
 * cat is no caution here: her limit says it.
 */
export function troublesOf(handed: LineHandedOver, policyAt: (at: number) => WardPolicy): Trouble[] {
  const { line, course, care, worked } = handed;
  const now = worked.toMs;
  const policy = policyAt(now);
  const troubles: (Trouble | null)[] = [
    ...findingsOf(course, worked),
    line.tipMissing ? { what: 'piece missing', at: line.tipMissing.at } : null,
    pressureOf(course, line, policyAt, worked),
    faultOf(line, worked),
    // A limit that has passed is named as one.
    ...lateCare(care, course, policy, now).filter((one) => !(one.kind === 'dwellLimit' && one.isOpen)),
    holdOf(line, policy, now),
    dwellOf(handed, policy),
    lostOf(line, worked),
    bloodOf(handed, policy),
    ...waiversEnding(handed, policy),
    targetsEnding(handed),
    cautionsOf(line),
  ];
  return troubles.filter((one) => one !== null).toSorted(byGravity);
}

function faultOf(line: LineState, { fromMs }: Period): Trouble | null {
  const { faults, faultLeft, removed } = line;
  const isLeft = ({ sign, closedAt, resolved }: (typeof faults)[number]) =>
    faultLeft !== null && sign === faultLeft.sign && closedAt !== null && !resolved;
  const ofShift = faults.filter((fault) => (fault.closedAt ?? fromMs) >= fromMs || isLeft(fault));
  const worst = ofShift
    .map((fault) => ({ fault, left: !removed && fault === faults.findLast(isLeft) }))
    .toSorted(
      (a, b) =>
        Number(b.left) - Number(a.left) ||
        Number(b.fault.closedAt === null) - Number(a.fault.closedAt === null) ||
        b.fault.at - a.fault.at,
    )[0];
  if (!worst) return null;
  // A line that is out has no fault left to solve.
  if (removed && worst.fault.closedAt === null) return null;
  return { what: 'fault', ...worst, others: ofShift.length - 1 };
}

/** The look after a hold is on no visit: late, it is said where it is read first. */
function holdOf(line: LineState, policy: WardPolicy, now: number): Trouble | null {
  const hold = dutiesOfLine(line, policy, now).find(({ kind }) => kind === 'hold');
  const graceMs = graceOf(policy, 'hold').nurse * minuteMs;
  return hold && hold.dueAt + graceMs <= now ? { what: 'hold late', dueAt: hold.dueAt } : null;
}

function dwellOf({ line, worked, coming }: LineHandedOver, policy: WardPolicy): Trouble | null {
  if (line.removed) return null;
  const limit = catDwell(line, policy).find(({ kind }) => kind === 'dwellLimit');
  if (!limit || limit.dueAt >= coming.toMs) return null;
  return { what: 'dwell', limitAt: limit.dueAt, hasPassed: limit.dueAt <= worked.toMs };
}

function lostOf({ removed }: LineState, { fromMs }: Period): Trouble | null {
  if (!removed || removed.told < fromMs) return null;
  const reason = failureOf(removed.reason);
  return reason ? { what: 'lost', at: removed.at, reason } : null;
}

function bloodOf({ line, worked }: LineHandedOver, policy: WardPolicy): Trouble | null {
  const { percent } = bloodOfAnimal(line, worked.toMs);
  const spiltMl = line.samples
    .filter(({ isSpilt, at }) => isSpilt && at >= worked.fromMs)
    .reduce((sum, { volumeMl }) => sum + volumeMl, 0);
  const isMuch = percent > policy.bloodWarnPercent;
  return isMuch || spiltMl > 0 ? { what: 'blood', spiltMl, percent, isMuch } : null;
}

/** What a clinician let go, and is due again in the coming shift; "still needed?" is answered, not let go. */
function waiversEnding({ line, worked, coming }: LineHandedOver, policy: WardPolicy): Trouble[] {
  return dutiesOfLine(line, policy, worked.toMs).flatMap(({ kind, dueAt }): Trouble[] => {
    const waived = line.marks[kind]?.waived;
    if (!waived || kind === 'stillNeeded' || waived.until !== dueAt) return [];
    const isAhead = dueAt > worked.toMs && dueAt < coming.toMs;
    return isAhead ? [{ what: 'waiver ends', kind, waived }] : [];
  });
}

function targetsEnding({ line, worked, coming }: LineHandedOver): Trouble | null {
  const targets = line.removed ? null : targetsInForce(line, worked.toMs);
  return targets && endOf(targets) < coming.toMs ? { what: 'targets end', targets } : null;
}

function cautionsOf({ removed, screening, patient }: LineState): Trouble | null {
  if (removed) return null;
  const found = withImplied(screening?.cautions ?? [], patient).filter((one: Caution) => one !== 'cat');
  return found.length > 0 ? { what: 'caution', cautions: found } : null;
}
