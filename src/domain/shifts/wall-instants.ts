import { dayMs } from '../time.ts';
import { midnightOffsetMs, zoneOffsetMs } from './zone-offset.ts';

/**
 * The instants (ms) at which the clocks of `zone` show one reading, earliest first: one on most days, none when the
 * reading was skipped, two when clocks were put back over it.
 *
 * `readingMs` is the reading written as if it were UTC: 02:30 on 25 October 2026 is `Date.UTC(2026, 9, 25, 2, 30)`,
 * and in Berlin that gives 00:30Z and 01:30Z.
 *
 * Exact while a zone changes its clocks at most once within three days. The closest pair of changes in the tz
 * database between 1970 and 2037 is seven days apart (America/Boa_Vista, October 2000; counted with Temporal).
 */
export function instantsShowing(zone: string, readingMs: number): number[] {
  const { beforeMs, afterMs } = offsetsAround(zone, readingMs);
  if (beforeMs === afterMs) return [readingMs - beforeMs];
  return [beforeMs, afterMs]
    .map((offsetMs) => readingMs - offsetMs)
    .filter((atMs) => atMs + zoneOffsetMs(zone, atMs) === readingMs)
    .sort((one, other) => one - other);
}

/**
 * The one instant (ms) meant by a reading: the first of two, and for a skipped reading the instant that is later by
 * the length of the gap. Both as RFC 5545 section 3.3.5 and Temporal's "compatible" have it:
 * 02:30 on 29 March 2026 in Berlin is 01:30Z, when clocks show 03:30.
 */
export function instantMeantBy(zone: string, readingMs: number): number {
  const [first] = instantsShowing(zone, readingMs);
  // The offset in force before the gap, kept on past it, lands later by exactly the gap.
  return first ?? readingMs - offsetsAround(zone, readingMs).beforeMs;
}

/** No zone has ever been a whole day from UTC, so these midnights lie surely before and surely after the reading. */
function offsetsAround(zone: string, readingMs: number): { beforeMs: number; afterMs: number } {
  const day = Math.floor(readingMs / dayMs);
  return { beforeMs: midnightOffsetMs(zone, day - 1), afterMs: midnightOffsetMs(zone, day + 2) };
}
