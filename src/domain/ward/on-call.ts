import type { LineState } from '../record/line-state.ts';
import { shiftAt } from '../shifts/shift-calendar.ts';
import { lastAccepted, type WardState } from './ward-state.ts';

/**
 * The clinician on call at `now`: whoever was put on call by hand in this shift, else the rota's for this shift, else
 * whoever was put on call last; null when nobody ever was.
 */
export function onCallAt(ward: WardState, now: number): string | null {
  const shift = shiftAt(ward.policy.shifts, now);
  const byHand = ward.onCallSet;
  if (byHand && byHand.at >= shift.startMs) return byHand.user;
  return ward.policy.rota[shift.name] ?? byHand?.user ?? null;
}

/** Whether this person may answer a dwell question or let a duty go: on call now, or a clinician of the ward's policy. */
export function mayDecide(ward: WardState, user: string, now: number): boolean {
  return onCallAt(ward, now) === user || ward.policy.clinicians.includes(user);
}

/** The nurse a line is with: whoever accepted the last handover, unless the line was given to somebody since. */
export function nurseOf(ward: WardState, line: LineState): string {
  const accepted = lastAccepted(ward.handovers)?.accepted;
  return accepted && accepted.at > line.nurseSince ? accepted.by : line.nurse;
}
