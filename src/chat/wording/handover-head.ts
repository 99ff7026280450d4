import type { ShiftHandover } from '../../domain/handover/shift-handover.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { shiftAt } from '../../domain/shifts/shift-calendar.ts';
import { wallClock, wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import { handedOverShift, soonMs } from '../../domain/ward/handed-over-shift.ts';
import { onCallFor } from '../../domain/ward/on-call.ts';
import type { Handover, WardState } from '../../domain/ward/ward-state.ts';
import type { Names } from '../names.ts';
import { rich } from '../rich-text.ts';
import { whoWords } from './who-words.ts';

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
 * What a handover begins with, a line each: the shift, who is on call in it, how many lines. `ward` and `lines` as they are
 * now: who is on call, and who was given which line, may be settled only after the handover was posted.
 */
export async function handoverHead(
  handover: ShiftHandover,
  { ward, lines }: { ward: WardState; lines: readonly LineState[] },
  names: Names,
): Promise<string> {
  const { watch, stable, atMs } = handover;
  const { zone } = ward.policy.shifts;
  const all = watch.length + stable.length;
  const shared = await sharedWords(handover, { ward, lines }, names);
  const toWhom = shared === null ? '; all go to whoever accepts' : '';
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
    ...(shared === null || shared === '' ? [] : [shared]),
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
  const at = from.replace(' from', ' at');
  return isLeftOver
    ? rich`On call${at}: still ${who}, *nobody is named for ${coming.name}*`
    : `On call${at}: ${who}`;
}

/** Who was given which lines of the shift that is handed over; null where none was given: whoever accepts has them all. */
async function sharedWords(
  handover: ShiftHandover,
  { ward, lines }: { ward: WardState; lines: readonly LineState[] },
  names: Names,
): Promise<string | null> {
  const start = handedOverShift(ward.policy, handover.handover);
  const handed = new Set([...handover.watch, ...handover.stable].map(({ line }) => line.id));
  const nurseOf = ({ plannedNurses }: LineState) => plannedNurses.find(({ from }) => from === start)?.nurse;
  const mine = lines.filter(({ id }) => handed.has(id));
  const given = mine.filter((line) => nurseOf(line) !== undefined);
  if (given.length === 0) return mine.length === 0 ? '' : null;
  const each = await Promise.all(
    [...Map.groupBy(given, (line) => nurseOf(line) ?? '')]
      .slice(0, namedNurses)
      .map(async ([nurse, theirs]) => {
        const which =
          mine.length > namedLines
            ? String(theirs.length)
            : theirs.map(({ patient }) => patient.name).join(', ');
        return `${await names.of(nurse)}: ${which}`;
      }),
  );
  const left = mine.length - given.length;
  return `Shared out: ${each.join('; ')}${left > 0 ? `; ${left} with whoever accepts` : ''}.`;
}

/** How a handover stands: accepted by whom and what of it was read back, or waiting. `readBack` names lines to watch. */
export async function acceptedWords(
  handover: ShiftHandover,
  handedOver: Handover | undefined,
  names: Names,
  clock: (atMs: number) => string,
): Promise<string> {
  const accepted = handedOver?.accepted;
  if (!accepted) return 'Not accepted yet.';
  const who = `Accepted ${clock(accepted.at)} by ${await names.of(accepted.by)}.`;
  if (accepted.readBack === undefined || handover.watch.length === 0) return who;
  const unread = handover.watch.filter(({ line }) => !accepted.readBack?.includes(line.id));
  if (unread.length === 0) return `${who} Read back: all ${handover.watch.length} to watch.`;
  return rich`${who} *Not read back: ${unread.map(({ line }) => line.patient.name).join(', ')}.*`;
}
