import { hasSide, type Side, type Site } from '../../domain/line/anatomy.ts';
import { foldPhrase, phraseAt } from './fold-words.ts';

/** The words a ward uses for each artery. A dorsal metatarsal line is the dorsal pedal artery further down. */
const siteWords: Record<Site, readonly string[]> = {
  'dorsal pedal': ['dorsal pedal', 'pedal', 'dp', 'dorsal metatarsal', 'metatarsal', 'hind foot'],
  'median caudal': [
    'median caudal',
    'caudal',
    'tail',
    'coccygeal',
    'median coccygeal',
    'median caudal coccygeal',
  ],
  radial: ['radial'],
  femoral: ['femoral'],
  auricular: ['auricular', 'ear'],
  lingual: ['lingual', 'tongue', 'sublingual'],
};

const phrases = Object.entries(siteWords)
  .flatMap(([site, all]) => all.map((phrase) => ({ site: site as Site, phrase: foldPhrase(phrase) })))
  .sort((one, other) => other.phrase.length - one.phrase.length);

const sideWords: Readonly<Record<string, Side>> = { left: 'left', l: 'left', right: 'right', r: 'right' };

/** The artery named from word `start` on, and how many words name it; `artery` after it belongs to it. */
export function siteAt(folded: readonly string[], start: number): { site: Site; used: number } | null {
  for (const { site, phrase } of phrases) {
    const used = phraseAt(folded, start, phrase);
    if (used > 0) return { site, used: folded[start + used] === 'artery' ? used + 1 : used };
  }
  return null;
}

/** The side a word names. */
export function sideOf(folded: string | undefined): Side | undefined {
  return folded === undefined || !Object.hasOwn(sideWords, folded) ? undefined : sideWords[folded];
}

/** `left dorsal pedal`, `median caudal`: where a line is. */
export function placeText(line: { site: Site; side: Side | null }): string {
  return line.side !== null && hasSide(line.site) ? `${line.side} ${line.site}` : line.site;
}
