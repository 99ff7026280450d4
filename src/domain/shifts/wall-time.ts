import { z } from 'zod';

type Digit = '0' | '1' | '2' | '3' | '4' | '5' | '6' | '7' | '8' | '9';
type HourOfDay = `${'0' | '1'}${Digit}` | `2${'0' | '1' | '2' | '3'}`;
type MinuteOfHour = `${'0' | '1' | '2' | '3' | '4' | '5'}${Digit}`;

/** A time of day as a ward clock shows it, `HH:mm` from `00:00` to `23:59`, in no zone yet. Sorts as text. */
export type WallTime = `${HourOfDay}:${MinuteOfHour}`;

/** Why something is no time of day. */
export type WallTimeRefusal = 'no time of day' | 'time of day is no text' | 'not a time of day';

/** Parses what a person typed as a time of day; what it's refused with is a `WallTimeRefusal`. */
export const wallTimeSchema = z
  .string({
    error: ({ input }): WallTimeRefusal =>
      input === undefined ? 'no time of day' : 'time of day is no text',
  })
  .refine(isWallTime, { error: 'not a time of day' satisfies WallTimeRefusal });

/** Minutes from 00:00 to the given time of day on a clock that nobody changes: `07:30` is 450. */
export function minutesAfterMidnight(time: WallTime): number {
  return Number(time.slice(0, 2)) * 60 + Number(time.slice(3));
}

function isWallTime(text: string): text is WallTime {
  return /^(?:[01]\d|2[0-3]):[0-5]\d$/.test(text);
}
