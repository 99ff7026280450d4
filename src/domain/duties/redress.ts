import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { type Duty, duty, firstDue, hourMs } from './duty.ts';

/**
 * Redress: once or twice daily by ward policy, at once when soiled. The CDC 2011 guideline says to change a dressing
 * that is damp, loosened or soiled, and gives longer intervals for people; twice daily is common practice.
 */
export function redress(line: LineState, policy: WardPolicy): Duty | null {
  const soiled = line.redressCause && duty(line, 'redress', line.redressCause.why, line.redressCause.at);
  const since = line.last.redressed?.at ?? line.placed.at;
  return firstDue(soiled, duty(line, 'redress', 'interval', since + policy.redressEveryH * hourMs, 2 * hourMs));
}
