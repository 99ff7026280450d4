import { cleanText } from './clean-text.ts';

/** Words of a line of text, as typed. */
export function wordsOf(text: string): string[] {
  return cleanText(text)
    .split(' ')
    .filter((word) => word !== '');
}

/** Text for comparing, blind to case and width: Unicode NFKC with full case folding, joiners left out. */
export function foldCase(text: string): string {
  const folded = text.normalize('NFKC').toLowerCase().toUpperCase().toLowerCase().normalize('NFKC');
  return folded
    .replace(/[\u200C\u200D]/gu, '')
    .replace(/\s+/gu, ' ')
    .trim();
}

/** Text for comparing, blind to accents and punctuation as well. Empty when it held nothing else. */
export function foldAccents(text: string): string {
  return foldCase(text)
    .normalize('NFD')
    .replace(/[\p{M}\p{P}]/gu, '')
    .replace(/\s+/gu, ' ')
    .trim();
}

/** One word for comparing with words of the trade: case, width, curly apostrophes and outer punctuation aside. */
export function foldWord(word: string): string {
  return foldCase(word)
    .replaceAll('’', "'")
    .replace(/^[("'“‘]+|[)"'”’.,;:!?]+$/gu, '');
}

/** A phrase of the trade as folded words. */
export function foldPhrase(phrase: string): string[] {
  return phrase
    .split(/\s+/)
    .map(foldWord)
    .filter((word) => word !== '');
}

/** How many words from `start` on spell `phrase`; 0 when they do not. */
export function phraseAt(folded: readonly string[], start: number, phrase: readonly string[]): number {
  if (phrase.length === 0) return 0;
  return phrase.every((word, index) => folded[start + index] === word) ? phrase.length : 0;
}
