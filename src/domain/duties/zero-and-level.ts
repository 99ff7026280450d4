import { isCapped, onTransducerSince } from '../level/transducer.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { atShiftStart } from './at-shift-start.ts';
import { type Duty, duty, firstDue } from './duty.ts';

/**
 * Zero and level: at the start of every shift; at once after placing, a disturbance, a redress, a sample, a fault
 * closed, a new set, a transducer joined, a move off the ward and back; none of a capped line. Common practice, no source for animals; that zero drifts and must be checked before treating on
 * a number: Gordon VL et al., Med Instrum 1987;21(2):87-91.
 */
export function zeroAndLevel(line: LineState, policy: WardPolicy): Duty | null {
  if (isCapped(line)) return null;
  const { zeroCause } = line;
  const atOnce = zeroCause && duty(line, 'zero', zeroCause.why, zeroCause.at, 0, zeroCause.entry);
  return firstDue(
    atOnce,
    atShiftStart(line, policy, 'zero', Math.max(line.last.zeroed?.at ?? 0, onTransducerSince(line))),
  );
}
