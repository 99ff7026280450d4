import type { WardPolicy } from '../policy/ward-policy.ts';
import { minuteMs } from '../time.ts';
import type { Duty, Why } from './duty.ts';

/** Whys that come with time, not with something somebody just did. */
const byTheClock: ReadonlySet<Why> = new Set([
  'shift start',
  'interval',
  'dwell',
  'running out',
  'removed',
  'fault open',
]);

/** Whether something that somebody did made this duty due, there and then. */
export function isAtOnce({ why }: Pick<Duty, 'why'>): boolean {
  return !byTheClock.has(why);
}

/** How long whoever made a duty due "at once" has before it is asked for, ms; 0 for what is due by the clock. */
export function atOnceMs(duty: Pick<Duty, 'why'>, policy: WardPolicy): number {
  return isAtOnce(duty) ? policy.atOnceMin * minuteMs : 0;
}
