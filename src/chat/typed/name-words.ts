import { animalNamed } from './animal-words.ts';
import { cageCardWordAt } from './breed-words.ts';
import { foldWord } from './fold-words.ts';
import { notAnArteryAt } from './not-an-artery.ts';
import { recognisedAt } from './place-recognised.ts';
import { slipOf } from './place-slips.ts';
import type { PlainWords } from './plain-place-words.ts';
import { isTimeAt, type WardTime } from './time-words.ts';

/** The patient's name as typed, the words after it, and what to say of where the name ends. */
export interface NameOff {
  typed: string;
  rest: string[];
  note?: string;
}

/**
 * Takes the patient's name off the front. In double quotes it is what stands in them. Else it is the first word and what
 * follows, up to a word that says something of the line or of the animal, looks like an age (`5yo`), or is a slip of such a
 * word (`dgo`) and is not written as a name is (`Dot`). A first word that says which animal it is (`Bird`) is the name where
 * another one says so as well.
 */
export function nameOff(words: readonly string[], ward: WardTime, plainWords: PlainWords): NameOff {
  const quoted = quotedOff(words);
  if (quoted) return quoted;
  const folded = words.map(foldWord);
  const saysMore = (index: number) =>
    isTimeAt(words, index, ward) || recognisedAt(words, folded, index, plainWords) !== null;
  const isOnlyAWord = (index: number) =>
    !isTimeAt(words, index, ward) && (notAnArteryAt(folded, index) ?? cageCardWordAt(folded, index)) !== null;
  const first = folded[0] ?? '';
  const isAnimalTwice =
    animalNamed(first) !== undefined && folded.slice(1).some((word) => animalNamed(word) !== undefined);
  let end = words.length > 0 && (!saysMore(0) || isOnlyAWord(0) || isAnimalTwice) ? 1 : 0;
  if (end === 1) while (end < words.length && !saysMore(end) && !isNoName(words, end)) end += 1;
  const typed = words
    .slice(0, end)
    .join(' ')
    .replace(/[,;:]+$/u, '');
  const rest = words.slice(end);
  return looksSwallowed(words.slice(0, end))
    ? { typed, rest, note: `The name is read as “${typed}”: check it.` }
    : { typed, rest };
}

function quotedOff(words: readonly string[]): NameOff | null {
  if (!/^["“„]/u.test(words[0] ?? '')) return null;
  const close = words.findIndex((word, index) => /["”“],?$/u.test(word) && (index > 0 || word.length > 1));
  if (close === -1) return null;
  const typed = words
    .slice(0, close + 1)
    .join(' ')
    .replace(/^["“„]|["”“],?$/gu, '');
  return { typed, rest: words.slice(close + 1) };
}

/** A word behind a name that is none itself: an age, or a slip of a word for the line or the animal. */
function isNoName(words: readonly string[], index: number): boolean {
  const word = words[index] ?? '';
  if (/^\d+\p{L}+$/u.test(word)) return true;
  return !/^\p{Lu}\p{Ll}/u.test(word) && slipOf(foldWord(word)) !== undefined;
}

/** Words that names have in small letters. */
const particles = new Set([
  'of',
  'the',
  'and',
  'von',
  'van',
  'de',
  'der',
  'du',
  'la',
  'le',
  '&',
  'ii',
  'iii',
]);

/** A word in small letters behind the first: it may have been meant as something else. */
function looksSwallowed(words: readonly string[]): boolean {
  const [first = '', ...others] = words;
  return !/^\p{Ll}/u.test(first)
    ? others.some((word) => /^\p{Ll}/u.test(word) && !particles.has(foldWord(word)))
    : others.length > 0;
}
