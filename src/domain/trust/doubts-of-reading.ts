import { minuteMs } from '../duties/duty.ts';
import { levelErrorMmHg } from '../level/level-error.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { Cause, LineState } from '../record/line-state.ts';
import { shiftAt } from '../shifts/shift-calendar.ts';

/** A reason not to believe a reading as it stands. */
export type Doubt =
  | { doubt: 'never zeroed' }
  | { doubt: 'not zeroed since'; why: Cause['why'] }
  | { doubt: 'not zeroed this shift' }
  /** The next zero found the monitor this far off, open to air; above 0 it had read too high. */
  | { doubt: 'zero was off'; mmHg: number }
  /** The transducer was found this far below the heart (negative: above) afterwards. */
  | { doubt: 'not level'; belowHeartCm: number; errorMmHg: number }
  | { doubt: 'never tested' }
  | { doubt: 'not tested this shift' }
  | { doubt: 'damping'; verdict: 'underdamped' | 'overdamped' | 'cannot tell' };

/**
 * Why the line's latest reading should not be believed as it stands; empty when nothing speaks against it. Derived from
 * what stood behind it when it was read (zero, disturbances, test) and what came to light since (drift, height).
 *
 * Underdamped reads the systolic too high, overdamped too low, the mean hardly changes: Gardner RM, Anesthesiology
 * 1981;54:227-236. Zero drifts by up to ±2 mmHg in 3 h: Gordon VL et al., Med Instrum 1987;21(2):87-91. When to zero and
 * test again is the ward's: common practice, no source.
 */
export function doubtsOfReading({ reading }: Pick<LineState, 'reading'>, policy: WardPolicy): Doubt[] {
  if (reading === null) return [];
  const { zeroedAt, unzeroed, test, zeroAfter, levelAfter } = reading;
  // What was done shortly before a shift counts for it, as it does for the duty.
  const shiftFrom = shiftAt(policy.shifts, reading.at).startMs - policy.shiftEarlyMin * minuteMs;
  const doubts: Doubt[] = [];
  if (zeroedAt === null) doubts.push({ doubt: 'never zeroed' });
  else if (unzeroed !== null) doubts.push({ doubt: 'not zeroed since', why: unzeroed.why });
  else if (zeroedAt < shiftFrom) doubts.push({ doubt: 'not zeroed this shift' });
  const offMmHg = zeroAfter?.openToAirMmHg ?? 0;
  if (Math.abs(offMmHg) > policy.driftLimitMmHg) doubts.push({ doubt: 'zero was off', mmHg: offMmHg });
  if (levelAfter && levelAfter.belowHeartCm !== 0) {
    const { belowHeartCm } = levelAfter;
    doubts.push({ doubt: 'not level', belowHeartCm, errorMmHg: levelErrorMmHg(belowHeartCm) });
  }
  if (test === null) doubts.push({ doubt: 'never tested' });
  else if (test.verdict !== 'normal') doubts.push({ doubt: 'damping', verdict: test.verdict });
  else if (test.at < shiftFrom) doubts.push({ doubt: 'not tested this shift' });
  return doubts;
}
