import { DateTime } from 'luxon';
import { dayMs, minuteMs } from '../time.ts';
import { instantsShowing } from './wall-instants.ts';
import { zoneOffsetMs } from './zone-offset.ts';

/** What a clock in `zone` shows at the instant `atMs`: `19:00`. Throws a RangeError on an unknown zone or no date. */
export function wallClock(zone: string, atMs: number): string {
  return clockOf(atMs + zoneOffsetMs(zone, atMs));
}

/**
 * The day and the clock in `zone` at the instant `atMs`: `Tue 24 Nov 19:00`.
 *
 * In the night when clocks go back the same reading comes twice; then it says which:
 * `Sun 25 Oct 02:30 (first, UTC+2)` and, an hour later, `Sun 25 Oct 02:30 (second, UTC+1)`.
 * Throws a RangeError on an unknown zone or no date.
 */
export function wallClockWithDay(zone: string, atMs: number): string {
  const offsetMs = zoneOffsetMs(zone, atMs);
  const text = `${dayOf(atMs + offsetMs)} ${clockOf(atMs + offsetMs)}`;
  const showing = instantsShowing(zone, atMs + offsetMs);
  if (showing.length < 2) return text;
  return `${text} (${atMs === showing[0] ? 'first' : 'second'}, ${offsetText(offsetMs)})`;
}

const weekdays = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'] as const;
const months = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'] as const;

const two = (value: number) => String(value).padStart(2, '0');

/** `19:00`, of what a zone's clock reads, as if it were ms of UTC. A handover writes hundreds of them: no calendar is asked. */
function clockOf(readingMs: number): string {
  const minutes = Math.floor((readingMs - Math.floor(readingMs / dayMs) * dayMs) / minuteMs);
  return `${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
}

const daysKept = 512;
/** `Tue 24 Nov` by days since 1970: what is written is about few days. */
const dayTexts = new Map<number, string>();

function dayOf(readingMs: number): string {
  const utcDay = Math.floor(readingMs / dayMs);
  const remembered = dayTexts.get(utcDay);
  if (remembered !== undefined) return remembered;
  const { weekday, day, month } = DateTime.fromMillis(readingMs, { zone: 'utc' });
  const text = `${weekdays[weekday - 1]} ${day} ${months[month - 1]}`;
  if (dayTexts.size >= daysKept) dayTexts.clear();
  dayTexts.set(utcDay, text);
  return text;
}

/** `UTC+2`, `UTC+10:30`, `UTC−4` with a true minus sign, which screen readers speak. */
function offsetText(offsetMs: number): string {
  const minutes = Math.round(Math.abs(offsetMs) / 60_000);
  const rest = minutes % 60;
  const clock = `${Math.floor(minutes / 60)}${rest === 0 ? '' : `:${String(rest).padStart(2, '0')}`}`;
  return `UTC${offsetMs < 0 ? '−' : '+'}${clock}`;
}
