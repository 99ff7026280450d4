import { gauges } from '../../domain/line/anatomy.ts';
import { mostTries } from '../../domain/placing/failed-tries.ts';
import { quantityProblem, quantityText } from '../verbs/field-values.ts';
import { sideOf, siteAt } from './anatomy-words.ts';
import { cageCardWordAt } from './breed-words.ts';
import { foldWord, phraseAt } from './fold-words.ts';
import { notAnArteryAt } from './not-an-artery.ts';
import { type PlaceValues, placeQuantities } from './place-values.ts';
import type { PlainWords } from './plain-place-words.ts';
import { quantityAt, unitProblem } from './quantity-words.ts';

/** What words say of a line while they are read; `limb` only checks the artery. */
export type PlaceSaid = PlaceValues & { limb?: 'front' | 'hind' };

/** Something recognised at one word: what it says and how many words say it. */
export interface Recognised {
  used: number;
  values?: PlaceSaid;
  /** Wrong, or not to be taken for anything. */
  problem?: string;
  /** Taken, but not as it was written: a unit, a short form, a breed. */
  note?: string;
}

/** What one or more words from `index` on say, the longest phrase first; null where they say nothing of a line. */
export function recognisedAt(
  words: readonly string[],
  folded: readonly string[],
  index: number,
  plainWords: PlainWords,
): Recognised | null {
  const named = [
    plainAt(folded, index, plainWords),
    arteryAt(words, folded, index),
    notAnArteryAt(folded, index),
    cageCardAt(words, folded, index),
    limbAt(folded, index),
  ].filter((one) => one !== null);
  const [longest] = named.sort((one, other) => other.used - one.used);
  return (
    longest ??
    sideAt(folded, index) ??
    personAt(words, index) ??
    triesAt(folded, index) ??
    gaugeAt(folded, index) ??
    numberAt(words, index)
  );
}

function plainAt(folded: readonly string[], index: number, plainWords: PlainWords): Recognised | null {
  for (const { phrase, values } of plainWords) {
    const used = phraseAt(folded, index, phrase);
    if (used > 0) return { used, values };
  }
  return null;
}

function arteryAt(words: readonly string[], folded: readonly string[], index: number): Recognised | null {
  const named = siteAt(folded, index);
  if (named === null) return null;
  const { site, side, used } = named;
  // Two letters that also stand for a castrated male: what they were read as is said.
  const isShort = used === 1 && folded[index] === 'mc';
  return {
    used,
    values: { site, ...(side === undefined ? {} : { side }) },
    ...(isShort ? { note: `“${words[index] ?? ''}” is read as ${site}, the tail.` } : {}),
  };
}

function cageCardAt(words: readonly string[], folded: readonly string[], index: number): Recognised | null {
  const found = cageCardWordAt(folded, index);
  if (found === null) return null;
  const { used, species } = found;
  const typed = words.slice(index, index + used).join(' ');
  const kept = `“${typed}” isn’t kept here`;
  if (species === undefined) return { used, note: `${kept}.` };
  return { used, values: { species }, note: `${kept}; it is taken to say ${species}.` };
}

const limbWords: readonly (readonly [string, PlaceSaid])[] = [
  ['lh', { side: 'left', limb: 'hind' }],
  ['rh', { side: 'right', limb: 'hind' }],
  ['hind', { limb: 'hind' }],
  ['hindlimb', { limb: 'hind' }],
  ['hindleg', { limb: 'hind' }],
  ['back', { limb: 'hind' }],
  ['fore', { limb: 'front' }],
  ['forelimb', { limb: 'front' }],
  ['foreleg', { limb: 'front' }],
  ['front', { limb: 'front' }],
];

/** `left hind`, `RH`: which leg, to be held against the artery. */
function limbAt(folded: readonly string[], index: number): Recognised | null {
  const said = limbWords.find(([word]) => word === folded[index])?.[1];
  if (said === undefined) return null;
  return { used: /^(?:leg|limb|foot|paw)$/.test(folded[index + 1] ?? '') ? 2 : 1, values: said };
}

/** A lone letter is a side only right before an artery, or what is taken for one: "Mr L" keeps his name. */
function sideAt(folded: readonly string[], index: number): Recognised | null {
  const side = sideOf(folded[index]);
  if (side === undefined) return null;
  const next = index + 1;
  const isBefore =
    siteAt(folded, next) !== null || notAnArteryAt(folded, next) !== null || limbAt(folded, next) !== null;
  return (folded[index]?.length ?? 0) > 1 || isBefore ? { used: 1, values: { side } } : null;
}

/** `@noor`, with or without "by": who placed it, or tried; `with @noor`: whom the line is with. */
function personAt(words: readonly string[], index: number): Recognised | null {
  const before = foldWord(words[index] ?? '');
  const used = before === 'by' || before === 'with' ? 2 : 1;
  const user = /^<@([UW][A-Z0-9]{2,})(?:\|[^>]*)?>[,.]?$/.exec(words[index + used - 1] ?? '')?.[1];
  if (user === undefined) return null;
  return { used, values: before === 'with' ? { nurse: user } : { operator: user } };
}

const ordinals = ['first', 'second', 'third', 'fourth', 'fifth', 'sixth', 'seventh', 'eighth', 'ninth'];

/** `2nd try`, `third attempt`, `3 tries`: how many it took, including the successful one. */
function triesAt(folded: readonly string[], index: number): Recognised | null {
  const word = folded[index] ?? '';
  if (!/^(?:try|tries|attempts?)$/.test(folded[index + 1] ?? '')) return null;
  const digits = /^(\d{1,3})(?:st|nd|rd|th)?$/.exec(word)?.[1];
  const tries = digits === undefined ? ordinals.indexOf(word) + 1 : Number(digits);
  if (digits === undefined && tries === 0) return null;
  if (tries >= 1 && tries <= mostTries) return { used: 2, values: { tries } };
  return {
    used: 2,
    problem: `“${word} ${folded[index + 1]}”: 1 to ${mostTries} attempts can be recorded at once. Write how many.`,
  };
}

function gaugeAt(folded: readonly string[], index: number): Recognised | null {
  const match = /^(\d{2})-?(g|ga|gauge)?$/.exec(folded[index] ?? '');
  const apart = match?.[2] === undefined;
  const unit = apart ? folded[index + 1] : match[2];
  if (match === null || !/^(?:g|ga|gauge)$/.test(unit ?? '')) return null;
  const used = apart ? 2 : 1;
  const number = Number(match[1]);
  const gauge = gauges.find((one) => one === number);
  if (gauge !== undefined) return { used, values: { gauge } };
  return {
    used,
    problem: `“${number} ${unit}”: a gauge is one of ${gauges.join(', ')} G; a weight is written in kg. Write one of them.`,
  };
}

/** One pound in kilograms, exactly: international yard and pound agreement, 1959. */
const kgPerLb = 0.45359237;

function numberAt(words: readonly string[], index: number): Recognised | null {
  const found = quantityAt(words, index);
  if (found === null) return null;
  if ('problem' in found) return found;
  const { used, unit, value, typed } = found;
  const fields = Object.values(placeQuantities);
  if (unit === null) {
    return {
      used,
      problem: `“${typed}” has no unit. Write ${meantBy(value).join(' or ')}.`,
    };
  }
  if (unit === 'lb') {
    const weightKg = Number((value * kgPerLb).toPrecision(3));
    const wrong = quantityProblem(placeQuantities.weightKg, weightKg);
    return wrong === null
      ? { used, values: { weightKg }, note: `“${typed}” is ${weightKg} kg: check the weight.` }
      : { used, problem: wrong };
  }
  const field = fields.find((one) => one.unit === unit);
  if (field === undefined) {
    const problem = unitProblem(found, unit === 'g' ? ['kg'] : fields.map((one) => one.unit));
    return { used, problem: problem ?? '' };
  }
  const problem = quantityProblem(field, value);
  return problem === null ? { used, values: { [field.id]: value } } : { used, problem };
}

/** What a number without its unit can have been meant as. */
function meantBy(value: number): string[] {
  return [
    `${quantityText(value, 'kg')} for the weight`,
    ...(gauges.some((gauge) => gauge === value) ? [`${value}g for the gauge`] : []),
    ...(Number.isInteger(value) && value >= 1 && value <= mostTries
      ? [`${value === 1 ? '1 try' : `${value} tries`} for how often it was tried`]
      : []),
  ];
}
