import { dueWithAway } from '../away/away.ts';
import { isCapped, onTransducerSince } from '../level/transducer.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { atShiftStart } from './at-shift-start.ts';
import { type Duty, duty, firstDue } from './duty.ts';

/**
 * Fast-flush test: with the first zero of a line and of each shift, and after a fault or a new set (common practice,
 * no source for the interval). What it tells: Gardner RM, Anesthesiology 1981;54:227-236.
 */
export function fastFlushTest(line: LineState, policy: WardPolicy): Duty | null {
  if (isCapped(line)) return null;
  const { testCause } = line;
  const atOnce =
    testCause &&
    duty(line, 'test', testCause.why, dueWithAway(line, policy, 'test', testCause.at), 0, testCause.entry);
  return firstDue(
    atOnce,
    atShiftStart(line, policy, 'test', Math.max(line.last.fastFlushTested?.at ?? 0, onTransducerSince(line))),
  );
}
