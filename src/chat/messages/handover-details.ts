import { notesShown } from '../../app/handover-posts.ts';
import type { Post } from '../../app/ports.ts';
import { isEscorted } from '../../domain/away/away.ts';
import { bloodOfAnimal } from '../../domain/blood/blood-loss.ts';
import { dutiesOfLine } from '../../domain/duties/duties-of-line.ts';
import { isClinicians } from '../../domain/duty-kind.ts';
import type { HandedLine, ShiftHandover } from '../../domain/handover/shift-handover.ts';
import type { Trouble } from '../../domain/handover/trouble.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import { minuteMs } from '../../domain/time.ts';
import { nurseFor, onCallFor, wardNurseFor } from '../../domain/ward/on-call.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { againWords } from '../../wording/care/again-words.ts';
import { dueWords, offWardWords } from '../../wording/care/away-words.ts';
import { bloodLostWords } from '../../wording/care/blood-words.ts';
import { capital, dutyName, listed } from '../../wording/care/duty-words.ts';
import { alarmSeen, alarmWords, pulseWords } from '../../wording/care/finding-words.ts';
import { flushesWords } from '../../wording/care/fluid-words.ts';
import {
  animalWords,
  clockText,
  flushWords,
  lateText,
  placeWords,
  spanText,
} from '../../wording/care/line-words.ts';
import { punctureWords, tipWords } from '../../wording/care/removal-words.ts';
import { placedByWords, reasonWords, screenedWords } from '../../wording/care/screening-words.ts';
import { targetsEndWords, targetWords } from '../../wording/care/target-words.ts';
import { troubleWords } from '../../wording/care/trouble-words.ts';
import { whoWords } from '../../wording/care/who-words.ts';
import { closedFaultWords, faultLeftWords, openFaultWords } from '../../wording/faults/fault-words.ts';
import type { Names } from '../../wording/names.ts';
import { rich } from '../../wording/rich-text.ts';
import { quoted, shorten } from '../../wording/shorten.ts';
import { heading, type Message, paragraph } from '../parts.ts';
import { openFaults, standing } from './card.ts';

/** A page of patients in the thread, each in ISBAR order, complete enough to work from on paper. */
export async function handoverDetails(post: Post, handover: ShiftHandover, names: Names): Promise<Message> {
  const { page = 1, pages = 1 } = post.about ?? {};
  const title = `Each patient as of ${wallClockWithDay(handover.ward.policy.shifts.zone, handover.atMs)}${pages > 1 ? `, part ${page} of ${pages}` : ''}`;
  const all = new Map([...handover.watch, ...handover.stable].map((one) => [one.line.id, one]));
  const patients = await Promise.all(
    post.lines.flatMap((id) => {
      const handed = all.get(id);
      return handed ? [isbar(handed, handover, names)] : [];
    }),
  );
  return {
    lead: title,
    parts: [heading(title), ...patients.map((one) => paragraph(one.join('\n')))],
    settled: true,
  };
}

/** One line in ISBAR order: identify, situation, background, assessment, recommendation. */
async function isbar(
  { line, troubles }: HandedLine,
  { ward, atMs: now, worked, coming }: ShiftHandover,
  names: Names,
): Promise<string[]> {
  const { policy } = ward;
  const clock = (atMs: number) => clockText(policy, atMs, now);
  const shiftStart = worked.fromMs;
  const called = onCallFor(ward, coming.fromMs);
  const who = called ? await names.of(called.user) : 'a clinician';
  const happened = await happenedWords(line, policy, shiftStart, names, now);
  const asked = askedWords(line, policy, now);
  const notes = line.notes
    .filter(({ at }) => at >= shiftStart)
    .slice(-notesShown)
    .map(({ text }) => quoted(text));
  const targets = line.removed ? '' : await targetWords(line, policy, names, clock, now);
  return [
    rich`*${line.patient.name}*`,
    rich`*Identify* ${animalWords(line)}; ${placeWords(line)}, ${line.gauge} G; ${await nurseWords(line, ward, names, now)}.`,
    rich`*Situation* ${[await offWardWords(line, ward, names, now), situationWords(line, policy, clock).trim()].filter(Boolean).join(' ')}`,
    ...(troubles.length > 0
      ? [rich`*This shift* ${troublesWithAgain(line, troubles, policy, who, clock).join('; ')}.`]
      : []),
    rich`*Background* ${capital(happened.join('; '))}.${line.removed ? '' : ` Flush ${flushWords(line, policy, now)}.`}${notes.length > 0 ? ` Notes: ${notes.join(' ')}.` : ''}`,
    line.removed
      ? rich`*Assessment* ${limbWords(line, policy, clock, now)}`
      : rich`*Assessment* ${standing({ ...line, faults: [], faultLeft: null }, ward, now, shiftStart).join('. ')}.${targets === '' ? '' : rich` *${targets}.*`}`,
    rich`*Recommendation* ${asked.length > 0 ? asked.join('; ') : 'nothing due in this time'}.`,
  ];
}

/** What troubled a line in this shift, and what to do when it does again: said once, however many it goes for. */
function troublesWithAgain(
  line: LineState,
  troubles: readonly Trouble[],
  policy: WardPolicy,
  who: string,
  clock: (atMs: number) => string,
): string[] {
  const told = new Set(['']);
  return troubles.map((trouble) => {
    const again = againWords(trouble, line, policy, who);
    const isNew = !told.has(again);
    told.add(again);
    return `${troubleWords(trouble, line, clock)}${isNew ? ` → ${again}` : ''}`;
  });
}

/** A line's history as far as the next shift needs it. */
async function happenedWords(
  line: LineState,
  policy: WardPolicy,
  shiftStart: number,
  names: Names,
  now: number,
): Promise<string[]> {
  const clock = (atMs: number) => clockText(policy, atMs, now);
  // Both cut to the minute first, so that it fits the two clock times beside it.
  const inFor = spanText(wholeMinute(line.removed?.at ?? now) - wholeMinute(line.placed.at));
  const closed = line.faults.filter(({ at, closedAt }) => at >= shiftStart && closedAt !== null);
  const { samples, spills, stayMl } = bloodOfAnimal(line, now);
  return [
    `placed ${clock(line.placed.at)} ${await placedByWords(line, names)}, in for ${inFor}`,
    line.screening && (await screenedWords(line, names, clock)),
    line.removed && `taken out ${clock(line.removed.at)}: ${line.removed.reason}, ${tipWords(line.removed)}`,
    closed.length > 0 && listed(closed.map((fault) => closedFaultWords(fault, clock))),
    [
      samples === 0 ? 'no samples in 24 h' : counted(samples, 'sample'),
      ...(spills > 0 ? ['bled when it came apart'] : []),
      ...(stayMl > 0 ? [bloodLostWords(line, now)] : []),
    ].join(', '),
    line.flushMode === 'manual' && flushesWords(line, policy),
  ].filter((text): text is string => typeof text === 'string' && text !== '');
}

/** What is asked of the next shift: of the clinician first. */
function askedWords(line: LineState, policy: WardPolicy, now: number): string[] {
  const clock = (atMs: number) => clockText(policy, atMs, now);
  const horizonMs = now + 13 * 60 * minuteMs;
  const duties = dutiesOfLine(line, policy, now);
  const toSee = duties.filter(({ kind }) => isClinicians(kind));
  const care = duties.filter(({ kind, dueAt }) => !isClinicians(kind) && (line.removed || dueAt < horizonMs));
  const late = (dueAt: number) => (dueAt < now ? `, ${lateText(dueAt, now)}` : '');
  return [
    ...toSee.map(
      ({ kind, dueAt }) =>
        `clinician to look at the ${kind === 'finding' ? 'finding' : 'line fault'}, due since ${clock(dueAt)}`,
    ),
    ...targetsEndWords(line, horizonMs, clock, now),
    ...care.map(
      (duty) => `${dutyName(duty.kind, line)} ${dueWords(line, policy, duty, now)}${late(duty.dueAt)}`,
    ),
  ];
}

/** The limb and the puncture of a line that is out. */
function limbWords(
  line: LineState,
  policy: WardPolicy,
  clock: (atMs: number) => string,
  now: number,
): string {
  const pulse = line.pulse
    ? `Pulse ${pulseWords(line.pulse, line.site)} ${clock(line.pulse.at)}.`
    : 'Pulse not checked since.';
  const puncture = punctureWords(line, policy, clock, now);
  return `${pulse}${puncture === '' ? '' : ` ${puncture}`}`;
}

/** `1 sample`, `2 samples`. */
function counted(count: number, what: string): string {
  return `${count} ${what}${count === 1 ? '' : 's'}`;
}

/** `with Ina; from 19:00 with Teo`: who has the line now, and in the coming shift where that is shared out already. */
async function nurseWords(line: LineState, ward: WardState, names: Names, now: number): Promise<string> {
  // Off the ward with somebody, the situation says with whom; here, whose it is again once it is back.
  const said = isEscorted(line)
    ? `with ${await whoWords(wardNurseFor(ward, line, now), names)} once it is back`
    : `with ${await whoWords(nurseFor(ward, line, now), names)}`;
  const planned = line.plannedNurses.find(({ from }) => from > now);
  if (!planned) return said;
  const coming = await whoWords(wardNurseFor(ward, line, planned.from), names);
  return `${said}; from ${clockText(ward.policy, planned.from, now)} with ${coming}`;
}

/** How it stands with a line, the gravest first. */
function situationWords(line: LineState, policy: WardPolicy, clock: (atMs: number) => string): string {
  const seen = alarmSeen(line, policy);
  const alarm = seen ? rich`*${capital(alarmWords(line, policy))}, seen ${clock(seen.at)}.*` : '';
  if (line.removed) {
    const { pulse } = line;
    const felt =
      pulse && pulse.pulse !== 'present' ? rich`*Pulse ${pulse.pulse}, felt ${clock(pulse.at)}.*` : '';
    const what = line.removed.reason === 'transfer' ? 'patient transferred' : 'limb follow-up still open';
    return `${alarm || felt} Line out, ${what}.`;
  }
  const open = openFaults(line);
  const noFault = line.faultLeft ? 'Line in.' : 'Line in, no open fault.';
  return [
    ...(alarm ? [alarm] : []),
    ...(line.faultLeft ? [rich`*${capital(faultLeftWords(line, clock))}.*`] : []),
    open.length > 0 ? rich`*Open ${listed(open.map((fault) => openFaultWords(fault, clock)))}.*` : noFault,
    line.indication ? `In for ${shorten(reasonWords(line.indication), 150)}.` : '',
  ].join(' ');
}

function wholeMinute(atMs: number): number {
  return Math.floor(atMs / minuteMs) * minuteMs;
}
