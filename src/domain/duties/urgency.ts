import type { DutyKind } from '../duty-kind.ts';
import { type Urgency, usualUrgency } from '../policy/usual-urgency.ts';
import { graceOf, type WardPolicy } from '../policy/ward-policy.ts';
import { isBetweenWallTimes, nextWallTime } from '../shifts/next-wall-time.ts';
import { minuteMs } from '../time.ts';
import { atOnceMs } from './at-once.ts';
import type { Duty } from './duty.ts';

/** How urgent a duty of this kind is on this ward, before its lateness counts. */
export function urgencyOf(policy: WardPolicy, kind: DutyKind): Urgency {
  return policy.dangerFor.includes(kind) ? 'danger' : usualUrgency[kind];
}

/**
 * From when on a duty is a danger, ms; null where it never is. A finding, a fault left and a cat's dwell are from the start; a
 * flush is when it is so late that a clot is likely, a flush source when it has run dry.
 *
 * Example: a flush due 03:00 with 20 min allowed → 03:20.
 */
export function dangerousFrom(duty: Duty, policy: WardPolicy): number | null {
  if (urgencyOf(policy, duty.kind) === 'danger') return duty.dueAt;
  if (duty.kind === 'flush') return duty.dueAt + policy.flushGraceMin.clinician * minuteMs;
  if (duty.kind === 'runOut') return duty.dueAt + policy.runOutMarginMin * minuteMs;
  return null;
}

/**
 * How long after a duty was asked for its nurse is told that it is late, ms: the ward's grace. What somebody made due at once, and
 * what is a danger soon, half the time that is left at the most: the nurse hears of it before the clinician does.
 */
export function nurseGraceMs(duty: Duty, policy: WardPolicy): number {
  const graceMs = graceOf(policy, duty.kind).nurse * minuteMs;
  const askedAfterMs = atOnceMs(duty, policy);
  const danger = dangerousFrom(duty, policy);
  if (askedAfterMs === 0 || danger === null) return graceMs;
  return Math.min(graceMs, Math.max(0, (danger - duty.dueAt - askedAfterMs) / 2));
}

/** The first instant at or after `atMs` (ms) at which care may be told to a clinician. */
export function wakingFrom({ shifts: { zone }, waking }: WardPolicy, atMs: number): number {
  return isBetweenWallTimes(zone, waking.from, waking.to, atMs)
    ? atMs
    : nextWallTime(zone, waking.from, atMs);
}
