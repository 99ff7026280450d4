import { dayMs } from '../time.ts';

const MIDNIGHTS_KEPT = 512;
const midnightOffsetsByZone = new Map<string, Map<number, number>>();

/**
 * How far the clocks of `zone` are ahead of UTC at the instant `atMs`, in ms: 7,200,000 in Berlin in July.
 * Between two midnights of UTC with one offset it is that one (see `instantsShowing`); only on the other days is the runtime asked.
 * Throws a RangeError on a zone that does not exist or an instant that is not a date.
 */
export function zoneOffsetMs(zone: string, atMs: number): number {
  const utcDay = Math.floor(atMs / dayMs);
  if (!(Math.abs(utcDay) < lastDay)) return askedOffsetMs(zone, atMs);
  const offsetMs = midnightOffsetMs(zone, utcDay);
  return offsetMs === midnightOffsetMs(zone, utcDay + 1) ? offsetMs : askedOffsetMs(zone, atMs);
}

/** The days of a date reach so far either way of 1970, and the one after a day has to be one too. */
const lastDay = 100_000_000 - 1;

/** Writes the offset of a zone and next to nothing else: a whole reading of its clock takes the runtime four times as long. */
const offsetFormats = new Map<string, Intl.DateTimeFormat>();

function askedOffsetMs(zone: string, atMs: number): number {
  const text = offsetText(zone, atMs);
  const read = /GMT(?:([+-])(\d\d):(\d\d)(?::(\d\d))?)?$/.exec(text);
  if (!read) throw new Error(`The runtime wrote an offset that cannot be read: "${text}"`);
  const [, sign, ...parts] = read;
  const [hours = 0, minutes = 0, seconds = 0] = parts.map((part) => Number(part ?? 0));
  return (sign === '-' ? -1 : 1) * ((hours * 60 + minutes) * 60 + seconds) * 1000 || 0;
}

/** `2026, GMT+02:00`, as `longOffset` of ECMA-402 writes it. */
function offsetText(zone: string, atMs: number): string {
  try {
    let format = offsetFormats.get(zone);
    if (!format) {
      format = new Intl.DateTimeFormat('en-US', {
        timeZone: zone,
        timeZoneName: 'longOffset',
        year: 'numeric',
      });
      offsetFormats.set(zone, format);
    }
    return format.format(atMs);
  } catch {
    throw new RangeError(
      `No clock reading for instant ${atMs} in zone "${zone}". Give an IANA zone and milliseconds since 1970 within ±8.64e15.`,
    );
  }
}

/**
 * The offset of `zone` in ms at 00:00 UTC of the day `utcDay` (days since 1 January 1970).
 * Remembered, because asking the runtime costs microseconds and a handover asks thousands of times about few days;
 * an answer never changes within a process, so callers cannot tell.
 */
export function midnightOffsetMs(zone: string, utcDay: number): number {
  let known = midnightOffsetsByZone.get(zone);
  if (!known) {
    known = new Map();
    midnightOffsetsByZone.set(zone, known);
  }
  const remembered = known.get(utcDay);
  if (remembered !== undefined) return remembered;
  const offsetMs = askedOffsetMs(zone, utcDay * dayMs);
  if (known.size >= MIDNIGHTS_KEPT) known.clear();
  known.set(utcDay, offsetMs);
  return offsetMs;
}
