import { dueWithAway } from '../away/away.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { hourMs } from '../time.ts';
import { type Duty, duty, firstDue } from './duty.ts';

/**
 * Redress: once or twice daily by ward policy, at once when soiled. The CDC 2011 guideline says to change a dressing
 * that is damp, loosened or soiled, and gives longer intervals for people; twice daily is common practice.
 */
export function redress(line: LineState, policy: WardPolicy): Duty {
  const { redressCause } = line;
  const dueBy = (at: number) => dueWithAway(line, policy, 'redress', at);
  const soiled =
    redressCause && duty(line, 'redress', redressCause.why, dueBy(redressCause.at), 0, redressCause.entry);
  const since = line.last.redressed ?? line.placed;
  return firstDue(
    soiled,
    duty(
      line,
      'redress',
      'interval',
      dueBy(since.at + policy.redressEveryH * hourMs),
      2 * hourMs,
      since.entry,
    ),
  );
}
