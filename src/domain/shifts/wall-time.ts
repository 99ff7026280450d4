import { z } from 'zod';

type Digit = '0' | '1' | '2' | '3' | '4' | '5' | '6' | '7' | '8' | '9';
type HourOfDay = `${'0' | '1'}${Digit}` | `2${'0' | '1' | '2' | '3'}`;
type MinuteOfHour = `${'0' | '1' | '2' | '3' | '4' | '5'}${Digit}`;

/** A time of day as a ward clock shows it, `HH:mm` from `00:00` to `23:59`, in no zone yet. Sorts as text. */
export type WallTime = `${HourOfDay}:${MinuteOfHour}`;

/** Parses what a person typed as a time of day; the refusal says what to type instead. */
export const wallTimeSchema = z
  .string({
    error: (issue) =>
      issue.input === undefined
        ? 'No time of day was given. Type one as HH:mm, from 00:00 to 23:59, for example 07:00.'
        : 'A time of day is text. Type it as HH:mm, from 00:00 to 23:59, for example 07:00.',
  })
  .refine(isWallTime, {
    error: (issue) =>
      `"${String(issue.input).slice(0, 20)}" is not a time of day. Type it as HH:mm, from 00:00 to 23:59, for example 07:00.`,
  });

/** Minutes from 00:00 to the given time of day on a clock that nobody changes: `07:30` is 450. */
export function minutesAfterMidnight(time: WallTime): number {
  return Number(time.slice(0, 2)) * 60 + Number(time.slice(3));
}

function isWallTime(text: string): text is WallTime {
  return /^(?:[01]\d|2[0-3]):[0-5]\d$/.test(text);
}
