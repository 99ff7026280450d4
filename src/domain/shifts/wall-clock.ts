import { DateTime } from 'luxon';
import { instantsShowing } from './wall-instants.ts';
import { zoneOffsetMs } from './zone-offset.ts';

/** What a clock in `zone` shows at the instant `atMs`: `19:00`. Throws a RangeError on an unknown zone or no date. */
export function wallClock(zone: string, atMs: number): string {
  return reading(zone, atMs).clock;
}

/**
 * The day and the clock in `zone` at the instant `atMs`: `Tue 24 Nov 19:00`.
 *
 * In the night when clocks go back the same reading comes twice; then it says which:
 * `Sun 25 Oct 02:30 (first, UTC+2)` and, an hour later, `Sun 25 Oct 02:30 (second, UTC+1)`.
 * Throws a RangeError on an unknown zone or no date.
 */
export function wallClockWithDay(zone: string, atMs: number): string {
  const { day, clock, offsetMs } = reading(zone, atMs);
  const text = `${day} ${clock}`;
  const showing = instantsShowing(zone, atMs + offsetMs);
  if (showing.length < 2) return text;
  return `${text} (${atMs === showing[0] ? 'first' : 'second'}, ${offsetText(offsetMs)})`;
}

const weekdays = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'] as const;
const months = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'] as const;

/** A handover writes hundreds of times; asking the runtime for each, and for words, costs ten times as much. */
function reading(zone: string, atMs: number): { day: string; clock: string; offsetMs: number } {
  const offsetMs = zoneOffsetMs(zone, atMs);
  const { weekday, day, month, hour, minute } = DateTime.fromMillis(atMs + offsetMs, { zone: 'utc' });
  const two = (value: number) => String(value).padStart(2, '0');
  return {
    day: `${weekdays[weekday - 1]} ${day} ${months[month - 1]}`,
    clock: `${two(hour)}:${two(minute)}`,
    offsetMs,
  };
}

/** `UTC+2`, `UTC+10:30`, `UTC−4` with a true minus sign, which screen readers speak. */
function offsetText(offsetMs: number): string {
  const minutes = Math.round(Math.abs(offsetMs) / 60_000);
  const rest = minutes % 60;
  const clock = `${Math.floor(minutes / 60)}${rest === 0 ? '' : `:${String(rest).padStart(2, '0')}`}`;
  return `UTC${offsetMs < 0 ? '−' : '+'}${clock}`;
}
