import type { WardView } from '../../app/ports.ts';
import { isEscorted } from '../../domain/away/away.ts';
import { dutiesOfLine, isClosed, mayCloseAt } from '../../domain/duties/duties-of-line.ts';
import { isCapped } from '../../domain/level/transducer.ts';
import { isAlarming } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { shiftAt } from '../../domain/shifts/shift-calendar.ts';
import { hourMs } from '../../domain/time.ts';
import { nurseFor } from '../../domain/ward/on-call.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { cappedWords, dueWords, offWardWords } from '../../wording/care/away-words.ts';
import { capital, doneWords, dutyName } from '../../wording/care/duty-words.ts';
import { findingWords, pulseWords } from '../../wording/care/finding-words.ts';
import { flushedWords } from '../../wording/care/fluid-words.ts';
import { heparinCautionWords, muchHeparinWords } from '../../wording/care/heparin-words.ts';
import {
  animalWords,
  clockText,
  flushWords,
  placeWords,
  standingCaution,
} from '../../wording/care/line-words.ts';
import { keepCatheterWords, punctureWords, tipWords } from '../../wording/care/removal-words.ts';
import { placedByWords, screenedWords } from '../../wording/care/screening-words.ts';
import { targetWords } from '../../wording/care/target-words.ts';
import { testBriefWords } from '../../wording/care/test-words.ts';
import { trustNowWords } from '../../wording/care/trust-words.ts';
import { whoWords } from '../../wording/care/who-words.ts';
import { closedFaultWords, faultLeftWords, openFaultWords } from '../../wording/faults/fault-words.ts';
import type { Names } from '../../wording/names.ts';
import { rich } from '../../wording/rich-text.ts';
import { shorten } from '../../wording/shorten.ts';
import { actionValue } from '../action-value.ts';
import { type ButtonOf, buttonRow, type Message, paragraph, smallPrint } from '../parts.ts';
import { buttonsOf } from './line-button.ts';
import { backButtons } from './move-buttons.ts';

/** Most duties a card names as next. */
const nextShown = 4;

/** The standing message of one line: what it is, how it stands, what comes next, and the two commonest taps. */
export async function cardMessage(
  line: LineState,
  view: WardView,
  names: Names,
  now: number,
): Promise<Message> {
  const { ward } = view;
  const { policy } = ward;
  const name = line.patient.name;
  const clock = (atMs: number) => clockText(policy, atMs, now);
  const placed = `placed ${clock(line.placed.at)} ${await placedByWords(line, names)}`;
  const screened = await screenedWords(line, names, clock);
  const identity = [
    rich`*${name}* · ${animalWords(line)}`,
    `Arterial line, ${placeWords(line)}, ${line.gauge} G, ${placed}`,
    ...(line.indication ? [`Why: ${shorten(line.indication, 150)}`] : []),
    capital(screened),
  ];
  if (line.inError) return cardInError(line, line.inError, view, names, now);
  if (line.removed) return removedCard(line, view, names, identity, now);

  const duties = dutiesOfLine(line, policy, now);
  const next = duties
    .slice(0, nextShown)
    .map(
      (duty) =>
        `• ${capital(dutyName(duty.kind, line))} ${duty.dueAt > now ? '' : 'due since '}${dueWords(line, policy, duty, now)}`,
    );
  const targets = await targetWords(line, policy, names, clock, now);
  const cat = line.patient.species === 'cat' ? duties.find(({ kind }) => kind === 'dwellLimit') : undefined;
  const away = await offWardWords(line, ward, names, now);
  const who = await whoWords(nurseFor(ward, line, now), names);
  return {
    lead: `Arterial line: ${name}, ${placeWords(line)}.${away === '' ? '' : ` ${away}`}`,
    parts: [
      paragraph(identity.join('\n')),
      paragraph(
        [
          ...(away === '' ? [] : [rich`*${away.split('.')[0]}.*${away.slice(away.indexOf('.') + 1)}`]),
          `${isEscorted(line) ? '' : `With ${who}. `}Flush ${flushWords(line, policy, now)}.`,
          ...(targets === '' ? [] : [rich`*${targets}.*`]),
          ...(cat ? [rich`*Cat: dwell limit ${clock(cat.dueAt)}.*`] : []),
          ...standing(line, ward, now),
        ].join('\n'),
      ),
      paragraph(rich`*Next*\n${next.join('\n')}`),
      buttonRow(`card:${line.id}`, cardButtons(line, ward)),
      smallPrint(standingCaution),
    ],
    settled: false,
  };
}

function cardButtons(line: LineState, ward: WardState): ButtonOf[] {
  const button = buttonsOf(ward.id, line);
  const flushed = flushedWords(line, ward.policy);
  return [
    ...(line.flushMode === 'manual'
      ? [button(`done:flush:${line.id}`, flushed, { label: `${flushed} now` })]
      : []),
    ...(isCapped(line)
      ? []
      : [button(`done:zero:${line.id}`, doneWords('zero'), { label: 'zeroed and levelled now' })]),
    ...backButtons(ward.id, line),
    button(`open:card:${line.id}`, 'More…', { label: 'everything else' }),
    { action: 'open:mine', text: 'Mine, due now', value: actionValue({ w: ward.id, l: line.id }) },
  ];
}

/** `Zero 12:05, level 12:05`; what was never done says so. */
function zeroedWords({ last, level }: LineState, clock: (atMs: number) => string): string {
  if (!last.zeroed && !level) return 'Not zeroed or levelled yet';
  const zeroed = last.zeroed ? `Zero ${clock(last.zeroed.at)}` : 'Not zeroed yet';
  return `${zeroed}, ${level ? `level ${clock(level.at)}` : 'not levelled yet'}`;
}

/**
 * How the line stands, one short sentence each; what was never recorded says so. `shiftFromMs`: a reading from before it is recorded
 * to be old.
 */
export function standing(
  line: LineState,
  { policy }: Pick<WardState, 'policy'>,
  now: number,
  shiftFromMs = shiftAt(policy.shifts, now).startMs,
): string[] {
  const clock = (atMs: number) => clockText(policy, atMs, now);
  const { test, reading, siteFinding, level } = line;
  const off =
    level && level.belowHeartCm !== 0
      ? `, was ${Math.abs(level.belowHeartCm)} cm ${level.belowHeartCm > 0 ? 'below' : 'above'} the heart`
      : '';
  const mean = reading?.mapMmHg === undefined ? '' : ` (mean ${reading.mapMmHg})`;
  const seen = siteFinding
    ? `${clock(siteFinding.at)}: ${findingWords(siteFinding.finding, line.site)}`
    : 'not looked at since placing';
  const site = `Site ${seen}, dressed ${clock(line.last.redressed?.at ?? line.placed.at)}`;
  const capped = cappedWords(line, clock);
  return [
    ...(capped === ''
      ? [
          zeroedWords(line, clock) + off,
          test
            ? `Fast-flush test ${clock(test.at)}: ${testBriefWords(line, policy)}`
            : 'No fast-flush test yet',
        ]
      : [capped]),
    ...(reading
      ? [
          `Reading ${clock(reading.at)}${capped === '' ? '' : ', before it was capped'}: ${reading.sapMmHg}/${reading.dapMmHg}${mean} mmHg, ${trustNowWords(line, policy, shiftFromMs)}`,
        ]
      : []),
    ...(line.flushMode === 'manual'
      ? [line.flushed.entry === 1 ? 'Not flushed since placing' : `Flushed ${clock(line.flushed.at)}`]
      : []),
    ...[heparinCautionWords(line), muchHeparinWords(line, policy, now)]
      .filter((words) => words !== '')
      .map((words) => rich`*${words}*`),
    siteFinding && isAlarming(siteFinding.finding) ? rich`*${site}*` : site,
    ...faultSentences(line, clock),
  ];
}

/** What was left for the clinician, each open fault with how far its path got, and how the latest closed one ended. */
function faultSentences(line: LineState, clock: (atMs: number) => string): string[] {
  const { faults, faultLeft } = line;
  const closed = faults.findLast(({ closedAt }) => closedAt !== null);
  return [
    ...(faultLeft ? [rich`*${capital(faultLeftWords(line, clock))}*`] : []),
    ...openFaults(line).map((fault) => rich`*Open ${openFaultWords(fault, clock)}*`),
    ...(closed && !faultLeft ? [`Last ${closedFaultWords(closed, clock)}`] : []),
  ];
}

export function openFaults(line: LineState): LineState['faults'] {
  return line.faults.filter(({ closedAt }) => closedAt === null);
}

/** A card stands this long after its line was recorded as registered in error, since that may be taken back; ms of ward time. */
const errorKeptMs = 2 * hourMs;

/** The card of a line that was registered in error: that there is none, who says so, and nothing to press. */
async function cardInError(
  line: LineState,
  { at, by, reason }: NonNullable<LineState['inError']>,
  { ward }: WardView,
  names: Names,
  now: number,
): Promise<Message> {
  const which = `${line.patient.name}, ${placeWords(line)}`;
  const who = `${await names.of(by)}, ${clockText(ward.policy, at, now)}: ${shorten(reason, 150)}`;
  const text = `${which}: registered in error (${who}). The line was never there; nothing recorded on it counts.`;
  return {
    lead: text,
    parts: [paragraph(text)],
    settled: now - at >= errorKeptMs,
  };
}

async function removedCard(
  line: LineState,
  view: WardView,
  names: Names,
  identity: string[],
  now: number,
): Promise<Message> {
  const { policy } = view.ward;
  const { removed } = line;
  const clock = (atMs: number) => clockText(policy, atMs, now);
  const owed = dutiesOfLine(line, policy, now).map(
    ({ kind, dueAt }) => `${capital(dutyName(kind, line))} ${dueAt > now ? '' : 'due since '}${clock(dueAt)}`,
  );
  const tipFound = removed ? capital(tipWords(removed)) : '';
  const tip = line.tipMissing ? rich` *${tipFound}.* ${keepCatheterWords}.` : ` ${tipFound}.`;
  const out = removed
    ? `Taken out ${clock(removed.at)} by ${await names.of(removed.by)}: ${removed.reason}.${tip} Site ${removed.finding ? findingWords(removed.finding, line.site) : 'not looked at'}.`
    : '';
  const pulse = line.pulse ? `Pulse ${clock(line.pulse.at)}: ${pulseWords(line.pulse, line.site)}.` : '';
  const puncture = punctureWords(line, policy, clock, now);
  const isFinal = isClosed(line, policy, now);
  const until = clock(mayCloseAt(line) ?? now);
  const amendable = isFinal ? '' : ` Taken out in error? “More…” puts it right until ${until}.`;
  const still = owed.length > 0 ? `Still owed: ${owed.join(', ')}.` : `Nothing left to do.${amendable}`;
  return {
    lead: `${line.patient.name}, ${placeWords(line)}: ${out}`,
    parts: [
      paragraph(
        [...identity, out, ...(pulse ? [pulse] : []), ...(puncture ? [puncture] : []), still].join('\n'),
      ),
      ...(!isFinal
        ? [
            buttonRow(`card:${line.id}`, [
              {
                action: `open:card:${line.id}`,
                text: 'More…',
                value: actionValue({ w: view.ward.id, l: line.id }),
              },
            ]),
          ]
        : []),
    ],
    settled: isClosed(line, policy, now),
  };
}
