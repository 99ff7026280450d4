import type { Side, Site } from '../../domain/line/anatomy.ts';
import type { Species } from '../../domain/patient/species.ts';
import { foldPhrase, phraseAt } from './fold-words.ts';

/** The words a ward uses for each artery, its short forms among them. */
const siteWords: Record<Site, readonly string[]> = {
  'dorsal pedal': ['dorsal pedal', 'dorsalis pedis', 'pedal', 'dp', 'dpa'],
  'dorsal metatarsal': [
    'dorsal metatarsal',
    'metatarsal',
    'dorsal metatarsal iii',
    'great metatarsal',
    'lateral metatarsal',
    'lateral dorsal metatarsal',
    'dmt',
  ],
  'median caudal': [
    'median caudal',
    'caudal',
    'tail',
    'coccygeal',
    'median coccygeal',
    'middle coccygeal',
    'ventral coccygeal',
    'median caudal coccygeal',
    'mc',
  ],
  radial: ['radial'],
  femoral: ['femoral'],
  auricular: [
    'auricular',
    'ear',
    'central ear',
    'central auricular',
    'caudal auricular',
    'rostral auricular',
    'intermediate auricular',
  ],
  lingual: ['lingual', 'tongue', 'sublingual'],
  brachial: ['brachial'],
  // "Median" alone may be the beginning of the tail's artery.
  'median (front leg)': ['median (front leg)', 'median artery', 'median front leg', 'median forelimb'],
  'cranial tibial': ['cranial tibial'],
  facial: ['facial'],
  'transverse facial': ['transverse facial'],
};

/** Short forms with the side in front of them. */
const sidedWords: readonly (readonly [string, Side, Site])[] = [
  ['ldp', 'left', 'dorsal pedal'],
  ['ldpa', 'left', 'dorsal pedal'],
  ['rdp', 'right', 'dorsal pedal'],
  ['rdpa', 'right', 'dorsal pedal'],
  ['ldmt', 'left', 'dorsal metatarsal'],
  ['rdmt', 'right', 'dorsal metatarsal'],
];

/** An artery named in words; `side` where its short form says it. */
export interface SiteNamed {
  site: Site;
  side?: Side;
  used: number;
}

const phrases: readonly (Omit<SiteNamed, 'used'> & { phrase: readonly string[] })[] = [
  ...Object.entries(siteWords).flatMap(([site, all]) =>
    all.map((phrase) => ({ site: site as Site, phrase: foldPhrase(phrase) })),
  ),
  ...sidedWords.map(([phrase, side, site]) => ({ site, side, phrase: foldPhrase(phrase) })),
].sort((one, other) => other.phrase.length - one.phrase.length);

const sideWords: Readonly<Record<string, Side>> = {
  left: 'left',
  lt: 'left',
  l: 'left',
  right: 'right',
  rt: 'right',
  r: 'right',
};

/**
 * The artery named from word `start` on, and how many words name it; `artery` after it belongs to it. Null where `vein`
 * comes after it: "femoral vein" is no artery.
 */
export function siteAt(folded: readonly string[], start: number): SiteNamed | null {
  for (const { phrase, ...named } of phrases) {
    const used = phraseAt(folded, start, phrase);
    if (used === 0) continue;
    const after = folded[start + used];
    if (after === 'vein' || after === 'venous') return null;
    return { ...named, used: after === 'artery' ? used + 1 : used };
  }
  return null;
}

/** The side a word names. */
export function sideOf(folded: string | undefined): Side | undefined {
  return folded === undefined || !Object.hasOwn(sideWords, folded) ? undefined : sideWords[folded];
}

/** Hoofed animals, whose metatarsal artery lies on the outside of the leg, and which have one large metacarpal artery. */
const hoofed: readonly Species[] = [
  'horse',
  'foal',
  'donkey',
  'cattle',
  'calf',
  'sheep',
  'goat',
  'pig',
  'alpaca',
  'llama',
];

/** What must be asked of a short or local name, since it means another artery in another animal; null where it is plain. */
export function siteDoubt(typed: string, species: Species | undefined): string | null {
  const isHoofed = species !== undefined && hoofed.includes(species);
  if (typed.startsWith('lateral ') && !isHoofed)
    return `“${typed}” is an artery of horses and other hoofed animals. Choose the artery.`;
  if (typed === 'mc' && isHoofed)
    return '“MC”: median caudal, or metacarpal? Choose the artery; a metacarpal line can’t be registered yet.';
  return null;
}
