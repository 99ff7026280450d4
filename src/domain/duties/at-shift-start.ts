import { dueWithAway } from '../away/away.ts';
import type { DutyKind } from '../duty-kind.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { nextShiftStart } from '../shifts/shift-calendar.ts';
import { minuteMs } from '../time.ts';
import { type Duty, duty } from './duty.ts';

/**
 * A duty due at the start of every shift (common practice, no source). Done up to `shiftEarlyMin` before a shift
 * starts it counts for that shift, so the outgoing nurse's last act is not asked for again at once.
 */
export function atShiftStart(line: LineState, policy: WardPolicy, kind: DutyKind, lastDoneAt: number): Duty {
  const earlyMs = policy.shiftEarlyMin * minuteMs;
  const dueBy = dueWithAway(line, policy, kind, nextShiftStart(policy.shifts, lastDoneAt + earlyMs));
  return duty(line, kind, 'shift start', dueBy, earlyMs);
}
