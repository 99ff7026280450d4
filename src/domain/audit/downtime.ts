import type { WardEntry } from '../ward/ward-entry.ts';
import { isWithin, type Period } from './line-course.ts';

/** When nobody was reminded because the bot was down while lines needed it. */
export interface Downtime {
  ms: number;
  /** Reminders that fell due while it was down, where it was back within the period. */
  missed: number;
  /** It was down at the period's end: what fell due meanwhile is of the period in which it was back. */
  wasDownAtEnd: boolean;
}

/** How long the bot was down in a period, by what it recorded of itself; what it missed counts where it was back. */
export function downtimeOf(wardEntries: readonly WardEntry[], period: Period): Downtime {
  const down: Downtime = { ms: 0, missed: 0, wasDownAtEnd: false };
  for (const entry of wardEntries) {
    if (entry.kind !== 'wasDown') continue;
    const { from, to, missed } = entry.body;
    down.ms += Math.max(0, Math.min(to, period.toMs) - Math.max(from, period.fromMs));
    if (isWithin(to, period)) down.missed += missed;
    if (from < period.toMs && to >= period.toMs) down.wasDownAtEnd = true;
  }
  return down;
}
