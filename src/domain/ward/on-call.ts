import type { LineState } from '../record/line-state.ts';
import { shiftAt } from '../shifts/shift-calendar.ts';
import { hourMs } from '../time.ts';
import { standInFor } from './cover.ts';
import { handedOverShift } from './handed-over-shift.ts';
import type { WardState } from './ward-state.ts';

/** Who is told now, and for whom, where that person is away and covered; null where it is their own. */
export interface Responsible {
  user: string;
  insteadOf: string | null;
}

function covered(ward: WardState, user: string, now: number): Responsible {
  const standIn = standInFor(ward.covers, user, now);
  return standIn === user ? { user, insteadOf: null } : { user: standIn, insteadOf: user };
}

/**
 * The clinician on call at `now`: whoever was put on call by hand in this shift, else the rota's for this shift, else
 * whoever was put on call last; null when nobody ever was. Whoever covers for that person is on call for them.
 */
export function onCallFor(ward: WardState, now: number): Responsible | null {
  const shift = shiftAt(ward.policy.shifts, now);
  const byHand = ward.onCallSet;
  const user =
    byHand && byHand.at >= shift.startMs
      ? byHand.user
      : (ward.policy.rota[shift.name] ?? byHand?.user ?? null);
  return user === null ? null : covered(ward, user, now);
}

/** How long after a shift began people are still told who is called in it, ms. */
const againToldForMs = hourMs;

/**
 * Whoever was put on call by hand before the shift at `now` and is called again since it began just now, because its rota names
 * nobody and somebody else was called until then; null where that isn't so. `fromMs`: when the shift began.
 */
export function calledAgain(
  ward: WardState,
  now: number,
): (NonNullable<WardState['onCallSet']> & { fromMs: number }) | null {
  const { name, startMs } = shiftAt(ward.policy.shifts, now);
  const set = ward.onCallSet;
  const isByHand = set !== null && set.at < startMs && ward.policy.rota[name] === undefined;
  if (!isByHand || now >= startMs + againToldForMs) return null;
  const before = onCallFor(ward, startMs - 1);
  return (before?.insteadOf ?? before?.user) === set.user ? null : { ...set, fromMs: startMs };
}

/** Whom a clinician's message goes to at `now`; null when nobody is on call. */
export function onCallAt(ward: WardState, now: number): string | null {
  return onCallFor(ward, now)?.user ?? null;
}

/** Whether this person is on call now, or would be were they not covered: they may yet answer what they were told. */
export function isOnCall(ward: WardState, user: string, now: number): boolean {
  const onCall = onCallFor(ward, now);
  return onCall !== null && (onCall.user === user || onCall.insteadOf === user);
}

/** Whether this person may answer a dwell question or let a duty go: on call now, or a clinician of the ward's policy. */
export function mayDecide(ward: WardState, user: string, now: number): boolean {
  return isOnCall(ward, user, now) || ward.policy.clinicians.includes(user);
}

/** Whether there is anybody who may decide at `now`. */
export function anybodyDecides(ward: WardState, now: number): boolean {
  return onCallFor(ward, now) !== null || ward.policy.clinicians.length > 0;
}

/**
 * The nurse a line is with at `now`: whoever has the patient while it is off the ward, where that was recorded; else by what took effect last: it was placed or given to somebody at once; a shift began
 * for which it had been given to somebody; a handover was accepted. An acceptance takes over every line but those that
 * had been given to somebody for the very shift it hands over. Then whoever covers for that nurse has it for them.
 */
export function nurseFor(ward: WardState, line: LineState, now: number): Responsible {
  if (line.away?.with) return covered(ward, line.away.with, now);
  return wardNurseFor(ward, line, now);
}

/** The nurse a line is with on the ward at `now`, whoever has the patient elsewhere: see `nurseFor`. */
export function wardNurseFor(ward: WardState, line: LineState, now: number): Responsible {
  let last = { nurse: line.nurse, at: line.nurseSince };
  const takes = (nurse: string, at: number) => {
    if (at > last.at) last = { nurse, at };
  };
  for (const { nurse, from, told } of line.plannedNurses) if (from <= now) takes(nurse, Math.max(from, told));
  for (const handover of ward.handovers) {
    const { accepted } = handover;
    if (!accepted || accepted.at <= last.at) continue;
    const shift = handedOverShift(ward.policy, handover);
    const isPlanned = line.plannedNurses.some(({ from, told }) => from === shift && told <= accepted.at);
    if (!isPlanned) takes(accepted.by, accepted.at);
  }
  return covered(ward, last.nurse, now);
}

/**
 * Whether the shift that runs at `now` has not been taken over yet, so that nobody of it has this line: the handover to it waits
 * to be accepted, and the line was given to nobody for it.
 */
export function awaitsTakeover(ward: WardState, line: LineState, now: number): boolean {
  const { startMs } = shiftAt(ward.policy.shifts, now);
  const isOpen = ward.handovers.some((one) => one.for === startMs && one.accepted === null);
  const isGiven = line.nurseSince >= startMs || line.plannedNurses.some(({ from }) => from === startMs);
  const isSoon = now < startMs + ward.policy.handoverAcceptMin * 60_000;
  return isOpen && isSoon && !isGiven && !line.away?.with;
}

/** The nurse who is told of a line at `now`: see `nurseFor`. */
export function nurseOf(ward: WardState, line: LineState, now: number): string {
  return nurseFor(ward, line, now).user;
}
