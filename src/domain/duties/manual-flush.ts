import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { type Duty, duty, firstDue, minuteMs } from './duty.ts';

/**
 * Manual flush: `flushEveryMin` after the last flush, in manual mode only; at once after a sample that was not flushed.
 * A change to manual mode counts from the change: until then the source kept the line open. Common practice; veterinary
 * texts give 1 to 4 h.
 */
export function manualFlush(line: LineState, policy: WardPolicy): Duty | null {
  const afterSample = line.flushCause && duty(line, 'flush', line.flushCause.why, line.flushCause.at);
  if (line.flushMode === 'continuous') return afterSample;
  const since = Math.max(line.flushed.at, line.flushModeSince);
  const everyMs = policy.flushEveryMin * minuteMs;
  return firstDue(afterSample, duty(line, 'flush', 'interval', since + everyMs, everyMs / 2));
}
