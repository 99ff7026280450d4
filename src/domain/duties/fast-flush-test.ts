import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { atShiftStart } from './at-shift-start.ts';
import { type Duty, duty, firstDue } from './duty.ts';

/**
 * Fast-flush test: with the first zero of a line and of each shift, and after a fault or a new set (common practice,
 * no source for the interval). What it tells: Gardner RM, Anesthesiology 1981;54:227-236.
 */
export function fastFlushTest(line: LineState, policy: WardPolicy): Duty | null {
  const { testCause } = line;
  const atOnce = testCause && duty(line, 'test', testCause.why, testCause.at, 0, testCause.entry);
  return firstDue(
    atOnce,
    atShiftStart(line, policy, 'test', line.last.fastFlushTested?.at ?? line.placed.at),
  );
}
