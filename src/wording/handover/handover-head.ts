import type { ShiftHandover } from '../../domain/handover/shift-handover.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { shiftAt } from '../../domain/shifts/shift-calendar.ts';
import { wallClock, wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import { handedOverShift, soonMs } from '../../domain/ward/handed-over-shift.ts';
import { calledAgain, onCallFor } from '../../domain/ward/on-call.ts';
import type { Handover, WardState } from '../../domain/ward/ward-state.ts';
import { capital } from '../care/duty-words.ts';
import { whoWords } from '../care/who-words.ts';
import type { Names } from '../names.ts';
import { rich } from '../rich-text.ts';

/** More lines than this are counted for each nurse, not named. */
const namedLines = 12;
/** Nurses named as having lines of the coming shift; a ward has fewer at night. */
const namedNurses = 12;

/** `Handover to night, Tue 24 Nov 19:00 to 07:00`: which shift is handed the ward. */
export function handoverTitle({ coming, ward }: ShiftHandover): string {
  const { zone } = ward.policy.shifts;
  return `Handover to ${coming.name}, ${wallClockWithDay(zone, coming.fromMs)} to ${wallClock(zone, coming.toMs)}`;
}

/**
 * What a handover begins with, a line each: the shift, who is on call in it, how many lines, who has them. `ward` and `lines` as
 * they are now: who is on call, and who was given which line, may be settled only after the handover was posted. `accepted`: by
 * whom and when (ms), once somebody has; `never`: a newer handover took its place before anybody did.
 */
export async function handoverHead(
  handover: ShiftHandover,
  { ward, lines }: { ward: WardState; lines: readonly LineState[] },
  names: Names,
  accepted: Handover['accepted'] | 'never' = null,
): Promise<string> {
  const { watch, stable, atMs } = handover;
  const { zone } = ward.policy.shifts;
  const all = watch.length + stable.length;
  const whose = await whoseWords(handover, { ward, lines }, names, accepted);
  const toWhom = whose === null ? '; all go to whoever accepts' : '';
  const counts = [
    `${all} ${all === 1 ? 'line' : 'lines'} at ${wallClock(zone, atMs)}, ${watch.length === 0 ? 'nothing' : watch.length} to watch${toWhom}.`,
    ...handover.downs.map(
      ({ fromMs, toMs }) =>
        rich`*The bot was down ${wallClock(zone, fromMs)} to ${wallClock(zone, toMs)}: nobody was reminded.*`,
    ),
    ...handover.commandsLost.map(({ fromMs, toMs }) =>
      toMs === null
        ? rich`*Buttons and commands haven’t worked since ${wallClock(zone, fromMs)}: what was done since is on paper only.*`
        : rich`*Buttons and commands didn’t work ${wallClock(zone, fromMs)} to ${wallClock(zone, toMs)}: what was done then may be on paper only.*`,
    ),
  ];
  return [
    rich`*${handoverTitle(handover)}*`,
    await onCallWords(handover, ward, names),
    counts.join(' '),
    ...(whose === null || whose === '' ? [] : [whose]),
  ].join('\n');
}

/** Who is on call in the coming shift; that nobody is, or that nobody was named for it and the last one is still called. */
async function onCallWords({ coming, atMs }: ShiftHandover, ward: WardState, names: Names): Promise<string> {
  const { policy, onCallSet } = ward;
  const from = coming.fromMs > atMs ? ` from ${wallClock(policy.shifts.zone, coming.fromMs)}` : '';
  const called = onCallFor(ward, coming.fromMs);
  if (called === null) return rich`On call: *NOBODY${from}.* Set one: /artline oncall @name`;
  // Put on call in the hour before the shift is meant for it.
  const startMs = shiftAt(policy.shifts, coming.fromMs).startMs - soonMs(policy);
  const isLeftOver = onCallSet !== null && onCallSet.at < startMs && policy.rota[coming.name] === undefined;
  const who = await whoWords(called, names);
  // Two rows of a phone, where one will do, push a visit off its second screen.
  const isSince = onCallSet !== null && onCallSet.user === called.user && onCallSet.at > coming.fromMs;
  const at = isSince ? ` since ${wallClock(policy.shifts.zone, onCallSet.at)}` : from.replace(' from', ' at');
  const still = calledAgain(ward, coming.fromMs) === null ? `still ${who}` : `${who} again`;
  return isLeftOver
    ? rich`On call${at}: ${still}, *nobody is named for ${coming.name}*`
    : `On call${at}: ${who}`;
}

/**
 * Who has which lines of the shift that is handed over: those they were given for it, and whoever accepted or will accept the rest.
 * Null where nobody was given any and nobody has accepted: then all go to whoever accepts.
 */
async function whoseWords(
  handover: ShiftHandover,
  { ward, lines }: { ward: WardState; lines: readonly LineState[] },
  names: Names,
  accepted: Handover['accepted'] | 'never',
): Promise<string | null> {
  const start = handedOverShift(ward.policy, handover.handover);
  const handed = new Set([...handover.watch, ...handover.stable].map(({ line }) => line.id));
  const nurseOf = ({ plannedNurses }: LineState) => plannedNurses.find(({ from }) => from === start)?.nurse;
  const mine = lines.filter(({ id }) => handed.has(id));
  const given = mine.filter((line) => nurseOf(line) !== undefined);
  const left = mine.filter((line) => nurseOf(line) === undefined);
  const which = (theirs: readonly LineState[]) =>
    mine.length > namedLines ? counted(theirs.length) : theirs.map(({ patient }) => patient.name).join(', ');
  const each = await Promise.all(
    [...Map.groupBy(given, (line) => nurseOf(line) ?? '')]
      .slice(0, namedNurses)
      .map(async ([nurse, theirs]) => `${await names.of(nurse)}: ${which(theirs)}`),
  );
  const shared = given.length === 0 ? '' : `Shared out: ${each.join('; ')}.`;
  if (accepted === 'never') return shared;
  if (!accepted) {
    if (given.length === 0) return mine.length === 0 ? '' : null;
    const rest =
      left.length === 0
        ? 'Not accepted yet.'
        : `${capital(which(left))} ${left.length === 1 ? 'goes' : 'go'} to whoever accepts.`;
    return `${shared} ${rest}`;
  }
  const by = `Accepted ${wallClock(ward.policy.shifts.zone, accepted.at)} by ${await names.of(accepted.by)}`;
  if (given.length === 0)
    return mine.length === 0
      ? `${by}.`
      : `${by}, who took ${mine.length === 1 ? 'it' : mine.length === 2 ? 'both' : 'all of them'}.`;
  return `${by}${left.length === 0 ? '' : `, who took ${which(left)}`}. ${shared}`;
}

const counted = (count: number) => `${count} ${count === 1 ? 'line' : 'lines'}`;

/** What of *Watch* was read back as a handover was accepted; empty where none was asked for. */
export function readBackWords({ watch }: ShiftHandover, accepted: NonNullable<Handover['accepted']>): string {
  const { readBack } = accepted;
  if (readBack === undefined || watch.length === 0) return '';
  const unread = watch.filter(({ line }) => !readBack.includes(line.id));
  if (unread.length === 0) return `Read back: all ${watch.length} to watch.`;
  return rich`*Not read back: ${unread.map(({ line }) => line.patient.name).join(', ')}.*`;
}
