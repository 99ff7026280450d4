import type { LineState } from '../record/line-state.ts';
import { shiftAt } from '../shifts/shift-calendar.ts';
import { nurseOf, onCallAt } from '../ward/on-call.ts';
import { isUnreached } from '../ward/unreached.ts';
import type { WardState } from '../ward/ward-state.ts';
import type { People } from './steps.ts';

/** The first of these who is named and whom a direct message may reach at `now`; null where nobody is. */
function firstReached(
  ward: WardState,
  whom: readonly (string | null | undefined)[],
  now: number,
): string | null {
  return whom.find((one): one is string => typeof one === 'string' && !isUnreached(ward, one, now)) ?? null;
}

/** The nurse who is told of a line at `now`; null where a direct message doesn't reach them. */
export function nurseReached(ward: WardState, line: LineState, now: number): string | null {
  return firstReached(ward, [nurseOf(ward, line, now)], now);
}

/** Who leads the nurses of the shift at `now`: the shift's nurse in charge, else the ward's lead; null where neither is reached. */
export function leadAt(ward: WardState, now: number): string | null {
  const { inCharge, lead, shifts } = ward.policy;
  return firstReached(ward, [inCharge[shiftAt(shifts, now).name], lead], now);
}

/**
 * Whom a clinician's message goes to at `now`: whoever is on call, or, where a direct message doesn't reach them, the ward's
 * backup, else its lead. Null where nobody is on call or nobody of them is reached: that is cried out to the ward.
 */
export function calledAt(ward: WardState, now: number): string | null {
  const { backup, lead } = ward.policy;
  const onCall = onCallAt(ward, now);
  return onCall === null ? null : firstReached(ward, [onCall, backup, lead], now);
}

/** Who stands behind whoever is called: the ward's backup, else its lead, where that is somebody else; null where nobody is reached. */
export function backupAt(ward: WardState, now: number): string | null {
  const called = calledAt(ward, now);
  const { backup, lead } = ward.policy;
  return firstReached(
    ward,
    [backup, lead].filter((one) => one !== called),
    now,
  );
}

/** Everybody who may be told of a line at `now`. */
export function peopleOf(ward: WardState, line: LineState, now: number): People {
  const { lead, clinician, backup } = staffOf(ward, now);
  return { nurse: nurseReached(ward, line, now), lead, clinician, backup };
}

type WardStaff = Omit<People, 'nurse'>;

/** Whoever was found last of a state of a ward, which is replaced and never changed: a look asks the same for each line. */
const staffFound = new WeakMap<WardState, { now: number; staff: WardStaff }>();

function staffOf(ward: WardState, now: number): WardStaff {
  const found = staffFound.get(ward);
  if (found?.now === now) return found.staff;
  const staff = { lead: leadAt(ward, now), clinician: calledAt(ward, now), backup: backupAt(ward, now) };
  staffFound.set(ward, { now, staff });
  return staff;
}
