import type { Site } from '../line/anatomy.ts';
import type { Patient } from '../patient/patient.ts';
import { bleedingRisk } from '../placing/bleeding-risk.ts';
import type { Screening } from '../placing/screening.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { hourMs, minuteMs } from '../time.ts';
import { type Duty, duty } from './duty.ts';

/**
 * Minutes the puncture is held after removal: longer in an animal that may bleed, as long as its clotting is not known, or
 * from a large artery, femoral or brachial.
 */
export function holdMinutes(
  line: { patient: Pick<Patient, 'bleeding'>; site: Site; screening?: Pick<Screening, 'cautions'> | null },
  policy: WardPolicy,
): number {
  return bleedingRisk(line) !== null || isLargeArtery(line.site) ? policy.holdBleedingMin : policy.holdMin;
}

/** An artery so large that its puncture is held longer: people's femoral lines; the brachial is common practice. */
export function isLargeArtery(site: Site): boolean {
  return site === 'femoral' || site === 'brachial';
}

/** Whether the animal died, as recorded of this line or of another of its. */
export function hasDied({ removed, animal }: Pick<LineState, 'removed' | 'animal'>): boolean {
  return [{ removed }, ...(animal?.others ?? [])].some((one) => one.removed?.reason === 'death');
}

/** A limb is followed up in an animal that lives and stays. */
export function isFollowedUp(line: LineState): boolean {
  return line.removed !== null && line.removed.reason !== 'transfer' && !hasDied(line);
}

/** Whoever holds a puncture usually says how it ended: the ward is asked this long after, ms. */
export const holdCallMs = 2 * minuteMs;

/**
 * Hold pressure: a message when the minutes are over (at least 4 min in dogs by one reference article; 5 to 10 ship).
 * A message that nobody answered for an hour is over.
 */
export function holdPressure(line: LineState, policy: WardPolicy): Duty | null {
  if (line.holdFrom === null || line.holdEnded || hasDied(line)) return null;
  const holdMs = holdMinutes(line, policy) * minuteMs;
  const hold = duty(line, 'hold', 'removed', line.holdFrom + holdMs, holdMs);
  return { ...hold, expiresAt: hold.dueAt + hourMs };
}

/**
 * Pulse checks after removal: at 1 h and the next day (common practice). In 21 of 94 animals the pulse was absent the
 * next day: JVECC 2017;27:89-95. A check counts for the first from half its time on, for the second from 6 h before. Of a
 * removal that is recorded later than that, the first is due when it is recorded: nobody could be reminded before.
 */
export function pulseChecks(line: LineState, policy: WardPolicy): Duty[] {
  const { removed, last } = line;
  if (!removed || !isFollowedUp(line)) return [];
  const firstMs = policy.pulseFirstH * hourMs;
  const firstAt = Math.max(removed.at + firstMs, removed.told);
  const countsFrom = removed.at + firstMs / 2;
  const owed = [
    duty(line, 'pulse', 'removed', firstAt, firstAt - countsFrom, last.removed?.entry),
    duty(
      line,
      'pulseNextDay',
      'removed',
      removed.at + policy.pulseNextDayH * hourMs,
      6 * hourMs,
      last.removed?.entry,
    ),
  ];
  return owed.filter(({ earliestAt }) => !line.pulsesAfterRemoval.some(({ at }) => at >= earliestAt));
}
