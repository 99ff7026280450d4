import { coveredTime, handoverPlan, notesShown } from '../../app/handover-posts.ts';
import type { Post, WardView } from '../../app/ports.ts';
import { placeText } from '../../app/words/anatomy-words.ts';
import { isEscorted } from '../../domain/away/away.ts';
import { bloodOfAnimal } from '../../domain/blood/blood-loss.ts';
import { dutiesOfLine } from '../../domain/duties/duties-of-line.ts';
import { isClinicians, minuteMs } from '../../domain/duties/duty.ts';
import { handedOverShift } from '../../domain/handover/handed-over-shift.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { previousShift, shiftAt } from '../../domain/shifts/shift-calendar.ts';
import { wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import { coversFrom } from '../../domain/ward/cover.ts';
import { nurseFor, onCallFor, wardNurseFor } from '../../domain/ward/on-call.ts';
import { actionValue } from '../action-value.ts';
import { shorten } from '../limits.ts';
import type { Names } from '../names.ts';
import { escaped, quoted } from '../text.ts';
import { dueWords, notVisitedWords, offWardWords } from '../wording/away-words.ts';
import { bloodLostWords } from '../wording/blood-words.ts';
import { capital, dutyName, listed } from '../wording/duty-words.ts';
import { closedFaultWords, faultLeftWords, openFaultWords } from '../wording/fault-words.ts';
import { alarmSeen, alarmWords, pulseWords } from '../wording/finding-words.ts';
import { flushesWords } from '../wording/fluid-words.ts';
import {
  animalWords,
  clockText,
  flushWords,
  lateText,
  lineWords,
  placeWords,
  spanText,
  standingCaution,
} from '../wording/line-words.ts';
import { punctureWords, tipWords } from '../wording/removal-words.ts';
import { roundWords, visitCountWords } from '../wording/round-words.ts';
import { placedByWords, reasonWords, screenedWords } from '../wording/screening-words.ts';
import { targetsEndWords, targetWords } from '../wording/target-words.ts';
import { whoWords } from '../wording/who-words.ts';
import { actions, context, type MessageBody, section, sections } from './blocks.ts';
import { openFaults, standing } from './card.ts';
import { coverTimeWords } from './cover-notice.ts';

/** Nurses named as having lines of the coming shift; a ward has fewer at night. */
const nursesNamed = 12;

/** Lines named as taken out at the end of a handover; more are counted. */
const namedOut = 6;

/** A page of patients, each in ISBAR order, complete enough to work from on paper. */
export async function handoverPatients(
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<MessageBody> {
  const { page = 1, pages = 1 } = post.about ?? {};
  const { policy } = view.ward;
  const title = `Handover ${wallClockWithDay(policy.shifts.zone, post.at)}${pages > 1 ? `, part ${page} of ${pages}` : ''}`;
  const byId = new Map(view.lines.map((line) => [line.id, line]));
  const lines = post.lines.flatMap((id) => byId.get(id) ?? []);
  const patients = await Promise.all(lines.map((line) => isbar(line, view, names, now)));
  return {
    text: title,
    blocks: [
      { type: 'header', text: { type: 'plain_text', text: title } },
      ...patients.map((one) => section(one.join('\n'))),
    ],
    settled: true,
  };
}

/** One line in ISBAR order: identify, situation, background, assessment, recommendation. */
async function isbar(line: LineState, view: WardView, names: Names, now: number): Promise<string[]> {
  const { ward } = view;
  const { policy } = ward;
  const clock = (atMs: number) => clockText(policy, atMs, now);
  const shiftStart = startOfWorkedShift(view, now);
  // Both cut to the minute first, so that it fits the two clock times beside it.
  const inFor = spanText(wholeMinute(line.removed?.at ?? now) - wholeMinute(line.placed.at));
  const closed = line.faults.filter(({ at, closedAt }) => at >= shiftStart && closedAt !== null);
  const { samples, spills, stayMl } = bloodOfAnimal(line, now);
  const sampled = samples === 0 ? 'no samples in 24 h' : counted(samples, 'sample');
  const happened = [
    `placed ${clock(line.placed.at)} ${await placedByWords(line, names)}, in for ${inFor}`,
    line.screening && (await screenedWords(line, names, clock)),
    line.removed && `taken out ${clock(line.removed.at)}: ${line.removed.reason}, ${tipWords(line.removed)}`,
    closed.length > 0 && listed(closed.map((fault) => closedFaultWords(fault, clock))),
    [
      sampled,
      ...(spills > 0 ? ['bled when it came apart'] : []),
      ...(stayMl > 0 ? [bloodLostWords(line, now)] : []),
    ].join(', '),
    line.flushMode === 'manual' && flushesWords(line, policy),
  ].filter((text) => typeof text === 'string' && text !== '');
  const duties = dutiesOfLine(line, policy, now);
  const toSee = duties.filter(({ kind }) => isClinicians(kind));
  const care = duties.filter(({ kind }) => !isClinicians(kind));
  const next = line.removed ? care : care.filter(({ dueAt }) => dueAt < now + 13 * 60 * minuteMs);
  const late = (dueAt: number) => (dueAt < now ? `, ${lateText(dueAt, now)}` : '');
  const asked = [
    ...toSee.map(
      ({ kind, dueAt }) =>
        `clinician to look at the ${kind === 'finding' ? 'finding' : 'line fault'}, ${clock(dueAt)}`,
    ),
    ...targetsEndWords(line, now + 13 * 60 * minuteMs, clock, now),
    ...next.map(
      (duty) => `${dutyName(duty.kind, line)} ${dueWords(line, policy, duty, now)}${late(duty.dueAt)}`,
    ),
  ];
  const notes = line.notes
    .filter(({ at }) => at >= shiftStart)
    .slice(-notesShown)
    .map(({ text }) => quoted(text));
  const puncture = punctureWords(line, policy, clock, now);
  const targets = line.removed ? '' : await targetWords(line, policy, names, clock, now);
  return [
    `*${escaped(line.patient.name)}*`,
    `*Identify* ${animalWords(line)}; ${placeWords(line)}, ${line.gauge} G; ${await nurseWords(line, view, names, now)}.`,
    `*Situation* ${[await offWardWords(line, ward, names, now), situationWords(line, policy, clock).trim()].filter(Boolean).join(' ')}`,
    `*Background* ${capital(happened.join('; '))}.${line.removed ? '' : ` Flush ${flushWords(line, policy, now)}.`}${notes.length > 0 ? ` Told: ${notes.join(' ')}.` : ''}`,
    ...(line.removed
      ? [
          `*Assessment* ${line.pulse ? `Pulse ${pulseWords(line.pulse, line.site)} ${clock(line.pulse.at)}.` : 'Pulse not checked since.'}${puncture === '' ? '' : ` ${puncture}`}`,
        ]
      : [
          `*Assessment* ${standing({ ...line, faults: [], faultLeft: null }, view, now).join('. ')}.${targets === '' ? '' : ` *${targets}.*`}`,
        ]),
    `*Recommendation* ${asked.length > 0 ? asked.join('; ') : 'nothing due in this time'}.`,
  ];
}

/** `1 sample`, `2 samples`. */
function counted(count: number, what: string): string {
  return `${count} ${what}${count === 1 ? '' : 's'}`;
}

/** `with Ina; from 19:00 with Teo`: who has the line now, and in the coming shift where that is shared out already. */
async function nurseWords(line: LineState, { ward }: WardView, names: Names, now: number): Promise<string> {
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
  const alarm = seen ? `*${capital(alarmWords(line, policy))}, seen ${clock(seen.at)}.*` : '';
  if (line.removed) {
    const { pulse } = line;
    const felt = pulse && pulse.pulse !== 'present' ? `*Pulse ${pulse.pulse}, felt ${clock(pulse.at)}.*` : '';
    const what = line.removed.reason === 'transfer' ? 'patient transferred' : 'limb still to be followed';
    return `${alarm || felt} Line out, ${what}.`;
  }
  const open = openFaults(line);
  const noFault = line.faultLeft ? 'Line in.' : 'Line in, no open fault.';
  return [
    ...(alarm ? [alarm] : []),
    ...(line.faultLeft ? [`*${capital(faultLeftWords(line, clock))}.*`] : []),
    open.length > 0 ? `*Open ${listed(open.map((fault) => openFaultWords(fault, clock)))}.*` : noFault,
    line.indication ? `In for ${shorten(escaped(reasonWords(line.indication)), 150)}.` : '',
  ].join(' ');
}

/** Rounds of the coming shift that do not fit the end of a handover. */
export function handoverRounds(post: Post, view: WardView, now: number): MessageBody {
  const { zone } = view.ward.policy.shifts;
  const { from = post.at, to = post.at } = post.about ?? {};
  const title = `Rounds from ${wallClockWithDay(zone, from)} to ${wallClockWithDay(zone, to)}`;
  return {
    text: title,
    blocks: [section(`*${title}*`), ...sections(roundsOf(post, view, now).rounds)],
    settled: true,
  };
}

/** The end of a handover: the coming shift's rounds by the clock, who is on call, and the button that takes it over. */
export async function handoverEnd(
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<MessageBody> {
  const { ward } = view;
  const { policy } = ward;
  const forMs = post.about?.for ?? post.at;
  const handover = ward.handovers.find((one) => one.for === forMs);
  const accepted = handover?.accepted;
  // Forgotten, or overtaken by the next shift's or by one that was accepted: nobody is asked for this one any more.
  const isOvertaken =
    !handover ||
    ward.handovers.some(({ postedAt, auto, accepted: other }) => postedAt > post.at && (auto || other));
  const onCall = onCallFor(ward, now);
  const until = wallClockWithDay(policy.shifts.zone, post.about?.to ?? post.at);
  const taken = accepted
    ? `Accepted ${clockText(policy, accepted.at, now)} by ${await names.of(accepted.by)}.`
    : isOvertaken
      ? 'Not accepted; a newer handover took its place.'
      : 'Not accepted yet. Whoever takes the ward over accepts here.';
  const called = onCall
    ? `On call: ${await whoWords(onCall, names)}.`
    : 'Nobody is on call: set one with /artline oncall @name.';
  const isOut = new Set(post.about?.out);
  const count = post.lines.length - isOut.size;
  const out = takenOutWords(
    view.lines.filter(({ id }) => isOut.has(id)),
    view,
    post.at,
    now,
  );
  const tried = triedInVainWords(view, post.at, now);
  const shared = await sharedWords(
    view.lines.filter(({ id }) => !isOut.has(id)),
    view,
    names,
    { for: forMs, auto: handover?.auto ?? false },
  );
  const away = await awayWords(post, view, names, now);
  const handed = new Set(post.lines.filter((id) => !isOut.has(id)));
  const notVisited = await notVisitedWords(
    view.lines.filter(({ id }) => handed.has(id)),
    ward,
    names,
    now,
  );
  const { said, rounds } = roundsOf(post, view, now);
  return {
    text: `End of handover. ${taken}`,
    blocks: [
      section(
        `*Rounds until ${until}: ${said}*\n${count} ${count === 1 ? 'line' : 'lines'}. ${called}${shared}`,
      ),
      ...sections(rounds),
      ...(notVisited === '' ? [] : [section(notVisited)]),
      ...(away === '' ? [] : [section(away)]),
      ...(out === '' ? [] : [section(out)]),
      ...(tried === '' ? [] : [section(tried)]),
      section(taken),
      ...(isOvertaken
        ? []
        : accepted
          ? [
              actions('handover', [
                { action: 'open:assign', text: 'Share out the lines…', value: actionValue({ w: ward.id }) },
              ]),
            ]
          : [
              actions('handover', [
                {
                  action: 'accept',
                  text: 'Accept the handover',
                  value: actionValue({ w: ward.id, f: forMs }),
                  primary: true,
                },
              ]),
            ]),
      context(standingCaution),
    ],
    settled: Boolean(accepted) || isOvertaken,
  };
}

/** Who is or will be away in the time that is handed over, and who stands in; nothing where nobody is. */
async function awayWords(post: Post, { ward }: WardView, names: Names, now: number): Promise<string> {
  const { fromMs, toMs } = coveredTime(ward.policy, post.at);
  const covers = coversFrom(ward.covers, Math.max(now, fromMs)).filter(
    ({ from }) => from < (post.about?.to ?? toMs),
  );
  if (covers.length === 0) return '';
  const each = await Promise.all(
    covers
      .slice(0, namedOut)
      .map(
        async (cover) =>
          `${await names.of(cover.away)} ${coverTimeWords(ward.policy, cover, post.at)}, ${await names.of(cover.by)} stands in`,
      ),
  );
  const more = covers.length > namedOut ? `, and ${covers.length - namedOut} more` : '';
  return `*Away:* ${each.join('; ')}${more}.`;
}

/** Who was given how many lines for the shift that is handed over, and how many nobody was; nothing where none was. */
async function sharedWords(
  lines: readonly LineState[],
  { ward }: WardView,
  names: Names,
  handover: { for: number; auto: boolean },
): Promise<string> {
  const start = handedOverShift(ward.policy, handover);
  const given = lines.flatMap(
    ({ plannedNurses }) => plannedNurses.find(({ from }) => from === start)?.nurse ?? [],
  );
  if (given.length === 0) return '';
  const each = await Promise.all(
    [...Map.groupBy(given, (nurse) => nurse)]
      .slice(0, nursesNamed)
      .map(async ([nurse, mine]) => `${await names.of(nurse)} ${mine.length}`),
  );
  const left = lines.length - given.length;
  const rest = left > 0 ? `; ${left} with whoever accepts` : '';
  return ` Shared out: ${each.join(', ')}${rest}.`;
}

/**
 * Lines taken out since the handover before this one, to which nothing is owed any more: named, so that nobody looks for
 * them. One whose removal was struck since is in again, and in no page above.
 */
function takenOutWords(lines: readonly LineState[], view: WardView, at: number, now: number): string {
  const clock = (atMs: number) => clockText(view.ward.policy, atMs, now);
  const postedBefore = view.ward.handovers
    .filter(({ auto, postedAt }) => auto && postedAt < at)
    .map(({ postedAt }) => postedAt);
  const usually = startOfWorkedShift(view, at) - view.ward.policy.handoverBeforeMin * minuteMs;
  const since = Math.min(usually, ...postedBefore.slice(-1));
  const again = lines.filter(({ removed }) => removed === null);
  const each = lines.flatMap((line) =>
    line.removed !== null && line.removed.told >= since
      ? [`${lineWords(line)} ${clock(line.removed.at)}, ${line.removed.reason}`]
      : [],
  );
  const more = each.length > namedOut ? `, and ${each.length - namedOut} more` : '';
  return [
    ...(again.length > 0
      ? [
          `*In again, and in no page above:* ${again.map((line) => lineWords(line)).join('; ')}. The removal was told in error.`,
        ]
      : []),
    ...(each.length > 0
      ? [`*Also taken out, nothing owed* ${each.slice(0, namedOut).join('; ')}${more}.`]
      : []),
  ].join('\n');
}

/** Arteries punctured in the day before the handover without a line: nothing else reminds of them. */
function triedInVainWords({ ward }: WardView, at: number, now: number): string {
  const tried = ward.failedTries
    .filter((one) => one.at <= at && one.at > at - 24 * 60 * minuteMs)
    .toSorted((a, b) => a.at - b.at);
  if (tried.length === 0) return '';
  const each = tried.map(({ patient, site, side, tries, why, at: triedAt }) => {
    const where = placeText({ site, side: side ?? null });
    const what = `${tries} ${tries === 1 ? 'try' : 'tries'}${why === undefined ? '' : `, ${why}`}`;
    return `${escaped(patient.name)} (${where}) ${clockText(ward.policy, triedAt, now)}, ${what}`;
  });
  const more = each.length > namedOut ? `, and ${each.length - namedOut} more` : '';
  return `*Tried without a line in the last 24 h:* ${each.slice(-namedOut).join('; ')}${more}. Look at the punctures and below them.`;
}

/** How many rounds the shift holds in words, and those of the time a post speaks of, a line of text each. */
function roundsOf(post: Post, view: WardView, now: number): { said: string; rounds: string[] } {
  const { policy } = view.ward;
  const { fromMs, toMs } = coveredTime(policy, post.at);
  const { from = fromMs, to = toMs } = post.about ?? {};
  const byId = new Map(view.lines.map((line) => [line.id, line]));
  const isOut = new Set(post.about?.out);
  const lines = post.lines
    .flatMap((id) => (isOut.has(id) ? [] : (byId.get(id) ?? [])))
    .filter(({ placed }) => placed.at <= post.at);
  const plan = handoverPlan(lines, policy, post.at);
  const rounds = plan
    .filter(({ at }) => at >= from && at < to)
    .map((round) => roundWords(round, lines, view, now));
  return { said: visitCountWords(plan), rounds };
}

function wholeMinute(atMs: number): number {
  return Math.floor(atMs / minuteMs) * minuteMs;
}

/** The shift that is being handed over: the running one, or the one just ended when asked for in its successor's first hour. */
function startOfWorkedShift(view: WardView, now: number): number {
  const { shifts } = view.ward.policy;
  const shift = shiftAt(shifts, now);
  return now - shift.startMs < 60 * minuteMs ? previousShift(shifts, now).startMs : shift.startMs;
}
