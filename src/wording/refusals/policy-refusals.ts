import type { PolicyRefusal } from '../../domain/policy/ward-policy.ts';
import { longestShiftName, mostShifts, type ShiftRefusal } from '../../domain/shifts/shift-plan.ts';
import type { WallTimeRefusal } from '../../domain/shifts/wall-time.ts';

type Params = Readonly<Record<string, string | number>>;

/** Why a policy was refused: an issue of its schema, with what was typed. */
interface Refused {
  message: string;
  input?: unknown;
  params?: Params | undefined;
}

const example = 'for example Day 07:00 and Night 19:00';
const asTime = 'Type it as HH:mm, from 00:00 to 23:59, for example 07:00.';

const words: Readonly<
  Record<PolicyRefusal | ShiftRefusal | WallTimeRefusal, (params: Params, typed: string) => string>
> = {
  'no plan': () => `No shift plan was given. Give a zone such as Europe/Berlin and shifts, ${example}.`,
  'no zone': () => 'No time zone was given. Type a place, for example Europe/Berlin or America/New_York.',
  'not a zone': (_, typed) =>
    `“${typed.slice(0, 40)}” isn’t a time zone. Type a place as Area/City, for example Europe/Berlin or America/New_York.`,
  'no shifts': () => `No shifts were given. Type 1 to ${mostShifts}, ${example}.`,
  'number of shifts': ({ count }) =>
    `${count} shifts were given; a ward has 1 to ${mostShifts}. Type ${example}.`,
  'no shift name': () => `A shift has no name. Type a name and a start, ${example}.`,
  'shift name too long': () =>
    `A shift name is too long; type at most ${longestShiftName} characters, ${example}.`,
  'shift name not plain': () =>
    `A shift name holds a line break or a control character. Type plain words, ${example}.`,
  'same start': ({ one, other, startsAt }) =>
    `${one} and ${other} both start at ${startsAt}. Give each shift its own start, ${example}.`,
  'same name': ({ name }) => `Two shifts are called ${name}. Give each shift its own name, ${example}.`,
  'no time of day': () =>
    'No time of day was given. Type one as HH:mm, from 00:00 to 23:59, for example 07:00.',
  'time of day is no text': () => `A time of day is text. ${asTime}`,
  'not a time of day': (_, typed) => `“${typed.slice(0, 20)}” isn’t a time of day. ${asTime}`,
  'limit before warning': ({ limitH, warningH }) =>
    `The limit (${limitH} h) must come after the warning (${warningH} h). Give a longer limit or an earlier warning.`,
  'clinician before nurse': () =>
    'The clinician must be told later than the nurse. Give the clinician more minutes.',
  'bad not above good': ({ bad, good }) =>
    `The share that is not acceptable (${bad} %) must be larger than the one that is (${good} %). Give a larger one.`,
  'hold too short': () =>
    'A bleeding animal cannot be held for less long than another. Give at least the ordinary minutes.',
};

/** What is wrong with a policy and what to give instead; another refusal's own message. */
export function policyRefusal({ message, input, params = {} }: Refused): string {
  return Object.hasOwn(words, message)
    ? words[message as keyof typeof words](params, String(input))
    : message;
}
