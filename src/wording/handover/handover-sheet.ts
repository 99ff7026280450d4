import { type DutyKind, dutyKinds } from '../../domain/duty-kind.ts';
import type { HandedLine, ShiftHandover } from '../../domain/handover/shift-handover.ts';
import { wallClock } from '../../domain/shifts/wall-clock.ts';
import { onCallFor } from '../../domain/ward/on-call.ts';
import { actName } from '../care/act-words.ts';
import { againWords } from '../care/again-words.ts';
import { animalName } from '../care/animal-names.ts';
import { clockText, placeShort, standingCaution } from '../care/line-words.ts';
import { troubleWords } from '../care/trouble-words.ts';
import { namesOfLines } from '../care/visit-words.ts';
import type { Names } from '../names.ts';
import { handoverHead, handoverTitle } from './handover-head.ts';
import { asides, readingWords } from './handover-rows.ts';

/** A sheet to work from on paper: what to watch, then a row for each line with a box for each visit. Plain text. */
export interface WardSheet {
  title: string;
  /** Lines below the title. */
  lead: readonly string[];
  watchTitle: string;
  watch: readonly { name: string; said: string }[];
  grid: {
    title: string;
    /** The visits, by the clock. */
    visits: readonly string[];
    /** A row for each line; `acts`: what is done at each visit in letters, empty where nothing is. */
    rows: readonly { name: string; about: string; acts: readonly string[] }[];
    /** What the letters mean. */
    key: string;
  };
  /** Sentences below all. */
  notes: readonly string[];
  foot: string;
}

/** What is done at a visit, a letter each; what is news and not an act has none. */
const letters: Record<DutyKind, string> = {
  finding: '',
  fault: '',
  faultOpen: 'X',
  dwellLimit: 'O',
  dwellWarning: '',
  hold: 'H',
  flush: 'F',
  runOut: 'N',
  zero: 'Z',
  test: 'T',
  source: 'B',
  site: 'S',
  pulse: 'P',
  pulseNextDay: 'P',
  redress: 'D',
  stillNeeded: 'Q',
  set: 'C',
};

/** Words without the marks that a chat would show as bold; on paper an arrow is a dash. */
function plain(words: string): string {
  return words.replaceAll(/\*([^*\n]+)\*/g, '$1').replaceAll('→', '–');
}

/** The handover as a sheet to work from when the chat is down: all of *Watch*, and every visit of every line with its box. */
export async function handoverSheet(handover: ShiftHandover, names: Names): Promise<WardSheet> {
  const { watch, stable, visits, ward, atMs, coming } = handover;
  const clock = (at: number) => clockText(ward.policy, at, atMs);
  const lines = [...watch, ...stable].map(({ line }) => line);
  const nameOf = namesOfLines(lines);
  const called = onCallFor(ward, coming.fromMs);
  const who = called ? await names.of(called.user) : 'a clinician';
  const [, ...lead] = (await handoverHead(handover, { ward, lines }, names)).split('\n');
  const kinds = new Set(visits.flatMap(({ duties }) => duties.map(({ kind }) => kind)));
  const zone = ward.policy.shifts.zone;
  return {
    title: plain(handoverTitle(handover)),
    lead: lead.map(plain),
    watchTitle: 'Watch, most urgent first (tick when read)',
    watch: watch.map((one) => ({
      name: plain(`${one.line.patient.name} (${animalName(one.line.patient)}, ${placeShort(one.line)})`),
      said: plain(watchText(one, handover, who, clock)),
    })),
    grid: {
      title: `Visits until ${wallClock(zone, coming.toMs)} (tick, or write your initials)`,
      visits: visits.map(({ at }) => wallClock(zone, at)),
      rows: [...watch, ...stable].map(({ line }) => ({
        name: plain(nameOf(line)),
        about: plain(
          `${placeShort(line)}, ${line.removed ? 'line out' : readingWords(line, handover, clock)}`,
        ),
        acts: visits.map(({ duties }) =>
          lettersOf(duties.filter(({ lineId }) => lineId === line.id).map(({ kind }) => kind)),
        ),
      })),
      key: dutyKinds
        .filter((kind) => kinds.has(kind) && letters[kind] !== '' && kind !== 'pulseNextDay')
        .map((kind) => `${letters[kind]} ${actName(kind)}`)
        .join(' · '),
    },
    notes: (await asides(handover, names, clock)).map(plain),
    foot: `As of ${clock(atMs)}. What is done on paper is recorded when the chat is back, with its time. ${standingCaution}`,
  };
}

/** Every trouble of a line, and each thing to do if it comes back once. */
function watchText(
  { troubles, line }: HandedLine,
  handover: ShiftHandover,
  who: string,
  clock: (atMs: number) => string,
): string {
  const again = new Set(troubles.map((one) => againWords(one, line, handover.ward.policy, who)));
  again.delete('');
  const said = troubles.map((one) => troubleWords(one, line, clock)).join('; ');
  return again.size === 0 ? `${said}.` : `${said}. → ${[...again].join('. ')}.`;
}

function lettersOf(kinds: readonly DutyKind[]): string {
  return dutyKinds
    .filter((kind) => kinds.includes(kind))
    .map((kind) => letters[kind])
    .join('');
}
