import {
  hasTargets,
  type PressureKey,
  pressureKeys,
  pressureNames,
  type Targets,
  targetRange,
} from '../../domain/reading/targets.ts';
import { cleanText, excerpt } from './clean-text.ts';
import { comingClock } from './cover-words.ts';
import { foldCase, foldWord, wordsOf } from './fold-words.ts';
import type { WardTime } from './time-words.ts';

/** What the words after `targets` and the patient's name ask for; `until` in ms. Messages are plain text. */
export type TargetsWords =
  | { is: 'form' }
  | { is: 'ok'; targets: Targets; reason: string; until: number }
  | { is: 'end' }
  | { is: 'wrong'; message: string };

const keysByWord: Readonly<Record<string, PressureKey>> = {
  map: 'mapMmHg',
  mean: 'mapMmHg',
  sap: 'sapMmHg',
  sys: 'sapMmHg',
  systolic: 'sapMmHg',
  dap: 'dapMmHg',
  dia: 'dapMmHg',
  diastolic: 'dapMmHg',
};

/** Words that end targets; alone after the name. */
const endWords = new Set(['end', 'ended', 'off', 'stop', 'none']);
const fillers = new Set(['and', 'mmhg', 'target', 'targets', 'of', '']);
/** What stands before a single number: the lowest that is wanted, or the highest. */
const lowWords = new Set(['from', 'over', 'above', 'min', '>', '>=', '≥']);
const highWords = new Set(['to', 'under', 'below', 'max', '<', '<=', '≤']);

/**
 * Reads `map 60-80 until 06:00 reason head injury`, `sap from 100 map 80 to 100 for 6 h because …`, `end`. Every word must be
 * understood; a number alone says not whether it is the lowest or the highest, and is refused.
 */
export function targetsFromWords(text: string, ward: WardTime, example: string): TargetsWords {
  const words = wordsOf(text);
  if (words.length === 0) return { is: 'form' };
  const folded = words.map(foldWord);
  if (words.length === 1 && endWords.has(folded[0] ?? '')) return { is: 'end' };
  const wrong = (what: string): TargetsWords => ({
    is: 'wrong',
    message: `${what} Write it like this: ${example}`,
  });
  const reasonAt = folded.findIndex((word) => word === 'reason' || word === 'because');
  const before = reasonAt === -1 ? words : words.slice(0, reasonAt);
  const reason =
    reasonAt === -1
      ? ''
      : cleanText(
          words
            .slice(reasonAt + 1)
            .join(' ')
            .replaceAll(/["“”„]/gu, ''),
        );
  const timeAt = before
    .map(foldWord)
    .findIndex((word) => word === 'until' || word === 'till' || word === 'for');
  const time = timeAt === -1 ? [] : before.slice(timeAt);
  const read = targetsIn(timeAt === -1 ? before : before.slice(0, timeAt));
  if ('problem' in read) return wrong(read.problem);
  if (!hasTargets(read.targets)) return wrong('No pressure was given.');
  const until = endOf(time, ward);
  if (until === null)
    return wrong(
      time.length === 0
        ? 'Until when do they hold?'
        : `“${excerpt(time.join(' '))}” isn’t a time still to come.`,
    );
  if (reason.length < 3) return wrong('Why? A reason of 3 characters or more is needed.');
  return { is: 'ok', targets: read.targets, reason: reason.slice(0, 300), until };
}

/** `until 06:00`, `until tomorrow 06:00`, `for 6 h`, `for 90 min`. */
function endOf(words: readonly string[], ward: WardTime): number | null {
  const [first, ...rest] = words.map(foldWord);
  if (first !== 'for') return comingClock(rest, ward.now, ward);
  const match = /^(\d{1,3})(h|hr|hrs|hours?|min|mins|minutes?)$/.exec(rest.join(''));
  if (!match) return null;
  return ward.now + Number(match[1]) * (match[2]?.startsWith('h') ? 3_600_000 : 60_000);
}

/** Pressures as they are written: a name, then `60-80`, `60 to 80`, `from 60`, `up to 80`, `between 60 and 80`. */
function targetsIn(words: readonly string[]): { targets: Targets } | { problem: string } {
  const tokens = words
    .map((word) => foldCase(word).replace(/[,;]$/u, ''))
    .flatMap((word) => word.replace(/(\d)mmhg$/u, '$1').split(/(?<=\d)[-–—/](?=\d)|(?<=[<>≤≥=])(?=\d)/u))
    .filter((word) => !fillers.has(word) || word === 'and');
  const targets: Targets = {};
  for (let index = 0; index < tokens.length; ) {
    const word = tokens[index] ?? '';
    if (word === 'and') {
      index += 1;
      continue;
    }
    const key = Object.hasOwn(keysByWord, word) ? keysByWord[word] : undefined;
    if (key === undefined) return { problem: `I didn’t understand “${excerpt(word)}”.` };
    if (targets[key] !== undefined) return { problem: `${capital(pressureNames[key])} is there twice.` };
    const span = spanAt(tokens, index + 1);
    if ('problem' in span) return { problem: `${capital(pressureNames[key])}: ${span.problem}` };
    targets[key] = span.span;
    index += 1 + span.used;
  }
  return { targets };
}

function spanAt(
  tokens: readonly string[],
  from: number,
): { span: { low?: number; high?: number }; used: number } | { problem: string } {
  let used = 0;
  let side: 'low' | 'high' | null = null;
  for (; used < 4; used += 1) {
    const word = tokens[from + used] ?? '';
    if (lowWords.has(word) || (word === 'least' && tokens[from + used - 1] === 'at')) side = 'low';
    else if (highWords.has(word) || (word === 'most' && tokens[from + used - 1] === 'at')) side = 'high';
    else if (word !== 'between' && word !== 'up' && word !== 'at') break;
  }
  const first = numberAt(tokens, from + used);
  if (first === null)
    return { problem: `give ${targetRange.min} to ${targetRange.max} mmHg, for example 60-80.` };
  used += 1;
  const joins = tokens[from + used] === 'to' || tokens[from + used] === 'and' ? 1 : 0;
  const second = side === 'high' ? null : numberAt(tokens, from + used + joins);
  if (second !== null) {
    if (first >= second) return { problem: `${first} is not below ${second}.` };
    return { span: { low: first, high: second }, used: used + joins + 1 };
  }
  if (side === null)
    return { problem: `is ${first} the lowest or the highest? Write “from ${first}” or “up to ${first}”.` };
  return { span: { [side]: first }, used };
}

function numberAt(tokens: readonly string[], index: number): number | null {
  const word = tokens[index] ?? '';
  const value = /^\d{2,3}$/.test(word) ? Number(word) : Number.NaN;
  return value >= targetRange.min && value <= targetRange.max ? value : null;
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** Targets of typed or filled-in numbers, without those that were left out. */
export function targetsOf(
  numbers: Readonly<Record<PressureKey, { low: number | undefined; high: number | undefined }>>,
): Targets {
  return Object.fromEntries(
    pressureKeys.flatMap((key) => {
      const { low, high } = numbers[key];
      if (low === undefined && high === undefined) return [];
      return [[key, { ...(low === undefined ? {} : { low }), ...(high === undefined ? {} : { high }) }]];
    }),
  );
}
