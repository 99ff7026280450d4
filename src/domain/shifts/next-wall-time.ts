import { dayMs, minuteMs } from '../time.ts';
import { instantMeantBy } from './wall-instants.ts';
import { minutesAfterMidnight, type WallTime } from './wall-time.ts';
import { zoneOffsetMs } from './zone-offset.ts';

/**
 * The first instant (ms) at or after `fromMs` at which clocks in `zone` show `time`. Skipped or doubled by a clock change it is
 * taken as shift starts are: later by the gap, and the first of two.
 *
 * Example: 09:00 in Berlin at or after 2026-11-24T08:30Z → 2026-11-25T08:00Z.
 */
export function nextWallTime(zone: string, time: WallTime, fromMs: number): number {
  const today = Math.floor((fromMs + zoneOffsetMs(zone, fromMs)) / dayMs);
  for (let day = today - 1; ; day++) {
    const at = instantMeantBy(zone, day * dayMs + minutesAfterMidnight(time) * minuteMs);
    if (at >= fromMs) return at;
  }
}

/** Whether clocks in `zone` show a time from `from` up to, not including, `to` at `atMs`; `to` before `from` runs over midnight. */
export function isBetweenWallTimes(zone: string, from: WallTime, to: WallTime, atMs: number): boolean {
  const shown = ((atMs + zoneOffsetMs(zone, atMs)) % dayMs) / minuteMs;
  const [start, end] = [minutesAfterMidnight(from), minutesAfterMidnight(to)];
  return start <= end ? shown >= start && shown < end : shown >= start || shown < end;
}
