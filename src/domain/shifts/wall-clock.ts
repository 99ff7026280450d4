import { DateTime } from 'luxon';
import { instantsShowing } from './wall-instants.ts';
import { zoneOffsetMs } from './zone-offset.ts';

/** What a clock in `zone` shows at the instant `atMs`: `19:00`. Throws a RangeError on an unknown zone or no date. */
export function wallClock(zone: string, atMs: number): string {
  return wallText(zone, atMs, 'HH:mm');
}

/**
 * The day and the clock in `zone` at the instant `atMs`: `Tue 24 Nov 19:00`.
 *
 * In the night when clocks go back the same reading comes twice; then it says which:
 * `Sun 25 Oct 02:30 (first, UTC+2)` and, an hour later, `Sun 25 Oct 02:30 (second, UTC+1)`.
 * Throws a RangeError on an unknown zone or no date.
 */
export function wallClockWithDay(zone: string, atMs: number): string {
  const text = wallText(zone, atMs, 'ccc d LLL HH:mm');
  const offsetMs = zoneOffsetMs(zone, atMs);
  const showing = instantsShowing(zone, atMs + offsetMs);
  if (showing.length < 2) return text;
  return `${text} (${atMs === showing[0] ? 'first' : 'second'}, ${offsetText(offsetMs)})`;
}

function wallText(zone: string, atMs: number, format: string): string {
  // Refuses what luxon would turn into the words "Invalid DateTime" on a ward's screen.
  zoneOffsetMs(zone, atMs);
  return DateTime.fromMillis(atMs, {
    zone,
    locale: 'en',
    numberingSystem: 'latn',
    outputCalendar: 'gregory',
  }).toFormat(format);
}

/** `UTC+2`, `UTC+10:30`, `UTC−4` with a true minus sign, which screen readers speak. */
function offsetText(offsetMs: number): string {
  const minutes = Math.round(Math.abs(offsetMs) / 60_000);
  const rest = minutes % 60;
  const clock = `${Math.floor(minutes / 60)}${rest === 0 ? '' : `:${String(rest).padStart(2, '0')}`}`;
  return `UTC${offsetMs < 0 ? '−' : '+'}${clock}`;
}
