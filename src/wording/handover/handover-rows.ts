import { dutiesOfLine } from '../../domain/duties/duties-of-line.ts';
import type { HandedLine, ShiftHandover } from '../../domain/handover/shift-handover.ts';
import type { Trouble } from '../../domain/handover/trouble.ts';
import { isCapped } from '../../domain/level/transducer.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { minuteMs } from '../../domain/time.ts';
import { doubtsOfReading } from '../../domain/trust/doubts-of-reading.ts';
import { coversFrom } from '../../domain/ward/cover.ts';
import { actName } from '../care/act-words.ts';
import { againWords } from '../care/again-words.ts';
import { animalName } from '../care/animal-names.ts';
import { awayPlaceWords, notVisitedWords } from '../care/away-words.ts';
import { coverTimeWords } from '../care/cover-time-words.ts';
import { lineWords, placeShort, placeWords } from '../care/line-words.ts';
import { meanOf, troubleWords } from '../care/trouble-words.ts';
import type { Names } from '../names.ts';
import { rich } from '../rich-text.ts';
import { sizeOf } from '../shorten.ts';

/** What a row may take, characters; the gravest trouble is always said. */
const rowRoom = 200;
/** Lines or people named in an aside; more are counted. */
const namedAside = 6;

/** What rows are worded with: the name of each line, the ward's clock, and whom the coming shift calls. */
export interface RowWords {
  nameOf: (line: LineState) => string;
  clock: (atMs: number) => string;
  who: string;
}

/**
 * A line to watch: its troubles, gravest first, as many as there is room for, and what the ward has set for the gravest:
 * `*Mochi* (cat, median caudal): cold tail 16:20, gone since 16:50; dwell limit 21:10. → If again: call Dr Holm at once`.
 */
export function watchRow(
  { line, troubles }: HandedLine,
  handover: ShiftHandover,
  { clock, who }: Pick<RowWords, 'clock' | 'who'>,
): string {
  const again = troubles
    .map((one) => againWords(one, line, handover.ward.policy, who))
    .find((words) => words !== '');
  const said: string[] = [];
  let left = rowRoom - sizeOf(again ?? '') - 40;
  let count = 0;
  for (const trouble of troubles) {
    const words = troubleWords(trouble, line, clock);
    if (count > 0 && sizeOf(words) > left) break;
    const isGoingOn = isOverdue(trouble) && count > 0 && isOverdue(troubles[count - 1]);
    // “flush overdue since 17:55, site check since 17:24”
    if (isGoingOn) said.push(`${said.pop()}, ${words.replace(' overdue since', ' since')}`);
    else said.push(words);
    count += 1;
    left -= sizeOf(words) + 2;
  }
  const more = troubles.length - count;
  const isRead = troubles.some((one) => one.what === 'pressure');
  return [
    rich`*${line.patient.name}* (${animalName(line.patient)}, ${placeShort(line)}): ${said.join('; ')}${more > 0 ? `; +${more} in the thread` : ''}`,
    ...(isRead || line.removed || !line.reading ? [] : [readingWords(line, handover, clock)]),
    ...(again === undefined ? [] : [`→ ${again}`]),
  ].join('. ');
}

function isOverdue(trouble: Trouble | undefined): boolean {
  return trouble?.what === 'late' && trouble.isOpen && trouble.cannot === null;
}

/** A line that is stable: its latest reading, or why there is none, on one row of a phone: `Rex: 118/64 (82) 18:10`. Its card says where it is. */
export function stableRow(
  { line }: HandedLine,
  handover: ShiftHandover,
  { nameOf, clock }: Pick<RowWords, 'nameOf' | 'clock'>,
): string {
  const { ward, atMs } = handover;
  const name = nameOf(line);
  const away = line.away ? `${awayPlaceWords(line).slice(2)}; ` : '';
  if (line.removed) {
    const next = dutiesOfLine(line, ward.policy, atMs)[0];
    const late = next && next.dueAt < atMs ? 'overdue since ' : '';
    const owed = next ? `, ${actName(next.kind, line)} ${late}${clock(next.dueAt)}` : '';
    return `${name}: out ${clock(line.removed.at)} (${line.removed.reason})${owed}`;
  }
  return `${name}: ${away}${readingWords(line, handover, clock)}`;
}

/**
 * `118/64 (82) 18:10`, with what speaks against it. One from before the shift that is handed over is marked as old, whatever it
 * was worth then.
 */
export function readingWords(
  line: LineState,
  { worked, ward: { policy } }: ShiftHandover,
  clock: (atMs: number) => string,
): string {
  const { reading } = line;
  if (isCapped(line)) return 'samples only';
  if (!reading) return 'no reading yet';
  const said = `${reading.sapMmHg}/${reading.dapMmHg} (${meanOf(reading)}) ${clock(reading.at)}`;
  const marks = [
    ...(reading.at < worked.fromMs ? [rich`*from before this shift: read again*`] : []),
    ...(doubtsOfReading(line, policy).length > 0 ? ['doubtful'] : []),
  ];
  return [said, ...marks].join(', ');
}

/** What concerns no line that is handed over, and somebody must know all the same: a sentence each. */
export async function asides(
  handover: ShiftHandover,
  names: Names,
  clock: (atMs: number) => string,
): Promise<string[]> {
  const lines = [...handover.watch, ...handover.stable].map(({ line }) => line);
  return [
    await notVisitedWords(lines, handover.ward, names, handover.atMs),
    await awayWords(handover, names),
    triedWords(handover, clock),
    goneWords(handover, clock),
  ].filter((words) => words !== '');
}

function listOf(each: readonly string[]): string {
  const more = each.length - namedAside;
  return `${each.slice(0, namedAside).join('; ')}${more > 0 ? `, and ${more} more` : ''}`;
}

/** Who is or will be away in the time that is handed over, and who stands in. */
async function awayWords({ ward, atMs, coming }: ShiftHandover, names: Names): Promise<string> {
  const covers = coversFrom(ward.covers, atMs).filter(({ from }) => from < coming.toMs);
  if (covers.length === 0) return '';
  const each = await Promise.all(
    covers.map(
      async (cover) =>
        `${await names.of(cover.away)} ${coverTimeWords(ward.policy, cover, atMs)}, ${await names.of(cover.by)} stands in`,
    ),
  );
  return rich`*Away:* ${listOf(each)}.`;
}

/** Arteries punctured in the day before the handover without a line: nothing else reminds of them. */
function triedWords({ ward, atMs }: ShiftHandover, clock: (atMs: number) => string): string {
  const tried = ward.failedTries
    .filter(({ at }) => at <= atMs && at > atMs - 24 * 60 * minuteMs)
    .toSorted((a, b) => b.at - a.at);
  if (tried.length === 0) return '';
  const each = tried.map(({ patient, site, side, tries, why, at }) => {
    const what = `${tries} ${tries === 1 ? 'try' : 'tries'}${why === undefined ? '' : `, ${why}`}`;
    return `${patient.name} (${placeWords({ site, side: side ?? null })}) ${clock(at)}, ${what}`;
  });
  return rich`*Tried, no line:* ${listOf(each)}. Look at the punctures and below them.`;
}

/** Lines taken out in the shift to which nothing is owed: named, so that nobody looks for them. */
function goneWords({ gone, worked, ward }: ShiftHandover, clock: (atMs: number) => string): string {
  // One taken out after the last handover was posted belongs to this one.
  const since = worked.fromMs - ward.policy.handoverBeforeMin * minuteMs;
  const each = gone.flatMap((line) =>
    line.removed && line.removed.told >= since
      ? [`${lineWords(line)} ${clock(line.removed.at)}, ${line.removed.reason}`]
      : [],
  );
  return each.length === 0 ? '' : rich`*Taken out, nothing left to do:* ${listOf(each)}.`;
}
