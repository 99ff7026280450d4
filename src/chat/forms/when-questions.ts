import { backDateMs, checkTime } from '../../domain/accept/refusal.ts';
import { wallClock, wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import { minuteMs } from '../../domain/time.ts';
import type { FormErrors, Sent } from '../form.ts';
import type { Question } from '../question.ts';
import { choiceInput, instantInput } from './questions.ts';
import { instantPicked, optionChosen } from './view-state.ts';

/** How long ago, in minutes, for one tap; 0 is now. */
const minutesAgo = [0, 10, 30, 60] as const;

const agoText = (minutes: number) =>
  minutes === 0 ? 'Now' : minutes === 60 ? '1 h ago' : `${minutes} min ago`;

/** Now (ms) and the ward's zone. */
interface WardNow {
  now: number;
  zone: string;
}

/**
 * Asks when a thing happened: nothing to do when it was now, one tap when a little ago, a picker otherwise. A time in
 * the picker counts before the row above. `notNow` leaves out "Now".
 */
export function whenQuestions(
  { now, zone }: WardNow,
  given: { label?: string; at?: number | undefined; notNow?: boolean } = {},
): Question[] {
  const offered = minutesAgo.filter((minutes) => minutes > 0 || given.notNow !== true);
  const known = given.at === undefined || given.at === now ? undefined : given.at;
  return [
    choiceInput({
      id: 'when',
      label: given.label ?? 'When',
      choices: offered.map((minutes) => ({ value: String(minutes), label: agoText(minutes) })),
      initial: String(offered[0]),
    }),
    instantInput({
      id: 'whenAt',
      label: 'Or at this time',
      hint: `Counts instead of the choice above. It is ${wallClock(zone, now)} on the ward’s clock.`,
      optional: true,
      initialMs: known,
    }),
  ];
}

/**
 * When it happened (ms), or why that cannot be, beside the input it came from. `backMs`: how late it may be recorded;
 * `placedAt`: no earlier than the line was placed.
 */
export function readWhen(
  form: Sent,
  { now, zone }: WardNow,
  bounds: { backMs?: number; placedAt?: number | undefined } = {},
): { at: number } | { errors: FormErrors } {
  const picked = instantPicked(form, 'whenAt');
  const minutes = minutesAgo.find((one) => String(one) === optionChosen(form, 'when')) ?? 0;
  const at = picked ?? now - minutes * minuteMs;
  const wrong = (message: string) => ({ errors: { [picked === undefined ? 'when' : 'whenAt']: message } });
  const clock = (atMs: number) => wallClockWithDay(zone, atMs);
  const refusal = checkTime(at, now, bounds.backMs ?? backDateMs);
  if (refusal?.because === 'in the future') {
    return wrong(
      `${clock(at)} is still to come; the ward’s clock shows ${clock(now)}. Give a time in the past.`,
    );
  }
  if (refusal?.because === 'too long ago') {
    return wrong(
      `${clock(at)} is too long ago. The earliest you can give is ${clock(refusal.earliest)}. Give a later time.`,
    );
  }
  const { placedAt } = bounds;
  if (placedAt !== undefined && at < placedAt) {
    // "Ten minutes ago" on a line placed five minutes ago is a slip; the placing itself may be what is wrong.
    return wrong(
      `${clock(at)} is before the line was placed, ${clock(placedAt)}. Give a later time, or amend the placing.`,
    );
  }
  return { at };
}
