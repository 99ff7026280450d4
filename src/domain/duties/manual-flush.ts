import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { minuteMs } from '../time.ts';
import { type Duty, duty, firstDue } from './duty.ts';

/**
 * Manual flush: `flushEveryMin` after the last flush, in manual mode only; at once after a sample that was not flushed.
 * It counts from a third of its interval on, so that two lines can always be flushed on one visit. A change to manual mode counts from the change: until then the source kept the line open. Common practice; veterinary
 * texts give 1 to 4 h.
 */
export function manualFlush(line: LineState, policy: WardPolicy): Duty | null {
  const { flushCause, flushed, last } = line;
  const afterSample = flushCause && duty(line, 'flush', flushCause.why, flushCause.at, 0, flushCause.entry);
  if (line.flushMode === 'continuous') return afterSample;
  const since = Math.max(flushed.at, line.flushModeSince);
  const armedBy = flushed.at >= line.flushModeSince ? flushed.entry : last.flushModeChanged?.entry;
  const everyMs = policy.flushEveryMin * minuteMs;
  return firstDue(afterSample, duty(line, 'flush', 'interval', since + everyMs, (everyMs * 2) / 3, armedBy));
}
