import { type Gauge, gauges, hasSide, type Side, type Site } from '../../domain/line/anatomy.ts';
import { weightKgRange, weightProblem } from '../../domain/patient/body-weight.ts';
import type { Species } from '../../domain/patient/species.ts';
import { type failures, mostTries } from '../../domain/placing/failed-tries.ts';
import type { FlushSource } from '../../domain/record/entry.ts';
import { quantityProblem, quantityText } from '../verbs/field-values.ts';
import type { Field, Unit } from '../verbs/verb.ts';
import { sideOf, siteAt } from './anatomy-words.ts';
import { animalSpellings } from './animal-words.ts';
import { cleanText, excerpt, patientName } from './clean-text.ts';
import { fewProblems } from './few-problems.ts';
import { foldPhrase, foldWord, phraseAt, wordsOf } from './fold-words.ts';
import { quantityAt, unitProblem } from './quantity-words.ts';
import { isTimeAt, timeFromWords, type WardTime } from './time-words.ts';

/** What a line is registered with, as far as it is known. Units as named. */
export interface PlaceValues {
  name?: string;
  species?: Species;
  /** What it is called where that is more than the species says. */
  speciesName?: string;
  weightKg?: number;
  site?: Site;
  side?: Side;
  gauge?: Gauge;
  flushMode?: 'manual' | 'continuous';
  sourceKind?: FlushSource['kind'];
  volumeMl?: number;
  rateMlPerH?: number;
  pressureMmHg?: number;
  bleeding?: boolean;
  indication?: string;
  /** Who held the catheter. */
  operator?: string;
  /** Whom the line is with. */
  nurse?: string;
  tries?: number;
  /** Of tries that came to no line. */
  why?: (typeof failures)[number];
}

/** Values understood, when the line was placed if that was said (else null), and what was not understood. */
export interface PlaceWords {
  values: PlaceValues;
  at: number | null;
  /** Plain text, not yet escaped; to be shown above the form, in which everything else is filled in. */
  problems: string[];
}

/** A whole command as it could be typed. */
export const placeExample = '/artline place Biscuit dog 28kg left dorsal pedal 20g manual';
/** Longest reason for a line that is kept, in characters. */
export const longestIndication = 120;

const quantity = (
  id: string,
  label: string,
  unit: Unit,
  min: number,
  max: number,
): Field & { kind: 'quantity' } => ({
  kind: 'quantity',
  id,
  label,
  unit,
  min,
  max,
});

/** The numbers a line is registered with, their units and bounds; shared by words and form. */
export const placeQuantities = {
  weightKg: quantity('weightKg', 'Weight', 'kg', weightKgRange.min, weightKgRange.max),
  volumeMl: quantity('volumeMl', 'Volume in the bag or syringe', 'mL', 1, 3000),
  rateMlPerH: quantity('rateMlPerH', 'Rate', 'mL/h', 0.1, 50),
  pressureMmHg: quantity('pressureMmHg', 'Bag pressure', 'mmHg', 0, 400),
} as const;

type PlainWords = readonly { phrase: readonly string[]; values: PlaceValues }[];
type Spelling = readonly [values: PlaceValues, phrases: readonly string[]];

/** Longer phrases first, so that "no bleeding disorder" is not taken for one. */
const longestFirst = (spellings: readonly Spelling[]): PlainWords =>
  spellings
    .flatMap(([values, phrases]) => phrases.map((phrase) => ({ values, phrase: foldPhrase(phrase) })))
    .sort((one, other) => other.phrase.length - one.phrase.length);

const spellings: readonly Spelling[] = [
  ...animalSpellings,
  [{ flushMode: 'manual' }, ['manual', 'manual flush', 'by hand', 'flushed by hand']],
  [{ flushMode: 'continuous' }, ['continuous', 'continuous flush']],
  [{ sourceKind: 'pressure bag' }, ['pressure bag', 'bag']],
  [{ sourceKind: 'syringe' }, ['syringe', 'syringe pump', 'syringe driver']],
  [{ bleeding: true }, ['bleeding disorder', 'coagulopathy', 'coagulopathic']],
  [{ bleeding: false }, ['no bleeding disorder', 'no coagulopathy']],
];

const wordsOfLine = longestFirst(spellings);

/** Of tries that failed is also said why. */
const wordsOfFailure = longestFirst([
  ...spellings,
  [{ why: 'artery not found' }, ['artery not found', 'not found', 'no artery', 'no flash', 'missed']],
  [{ why: 'flash, not threaded' }, ['flash not threaded', 'flash', 'not threaded', 'would not thread']],
  [{ why: 'haematoma' }, ['haematoma', 'hematoma']],
  [{ why: 'pulse lost in spasm' }, ['pulse lost in spasm', 'pulse lost', 'spasm']],
  [{ why: 'patient moved' }, ['patient moved', 'moved']],
]);

/** Something recognised at one word: what it says and how many words say it. */
interface Recognised {
  used: number;
  values?: PlaceValues;
  problem?: string;
}

/**
 * Reads `Biscuit dog 28kg left dorsal pedal 20g manual`: the name is everything before the first word that means
 * something else (or stands in double quotes); the rest may come in any order; `for …` at the end says why it was placed.
 * Nothing is registered by it: what was understood fills a form.
 */
export function placeValuesFromWords(text: string, ward: WardTime): PlaceWords {
  return valuesRead(text, ward, wordsOfLine, placeExample);
}

/** A whole command as it could be typed, of tries that came to no line. */
export const attemptExample = '/artline attempt Biscuit cat left dorsal pedal 22g 2 tries haematoma';

/** Reads `Biscuit cat left dorsal pedal 22g 2 tries haematoma` as `placeValuesFromWords` does, and why they failed. */
export function attemptValuesFromWords(text: string, ward: WardTime): PlaceWords {
  const read = valuesRead(text, ward, wordsOfFailure, attemptExample);
  const { nurse, ...values } = read.values;
  if (nurse === undefined) return read;
  // Nobody has a line that is not there: "with" can only say who tried.
  return { ...read, values: { ...values, operator: values.operator ?? nurse } };
}

function valuesRead(text: string, ward: WardTime, plainWords: PlainWords, example: string): PlaceWords {
  const problems: string[] = [];
  const values: PlaceValues = {};
  const { words, indication } = withoutIndication(wordsOf(text));
  if (indication.length > longestIndication) {
    problems.push(
      `The reason has ${indication.length} characters; ${longestIndication} are kept at most. Shorten it.`,
    );
  } else if (indication !== '') values.indication = indication;

  const { typed, rest: said } = nameOff(words, ward, plainWords);
  if (typed !== '') {
    const name = patientName(typed);
    if ('problem' in name) problems.push(name.problem);
    else values.name = name.name;
  }
  const time = timeFromWords(said, ward);
  if ('problem' in time) problems.push(time.problem);
  const { rest } = time;
  const folded = rest.map(foldWord);
  const unknown: string[] = [];
  for (let index = 0; index < rest.length; ) {
    const found = recognisedAt(rest, folded, index, plainWords);
    if (found === null) {
      if (!['', 'and', 'with', 'in', 'the', 'a', 'at', 'of', 'by', 'placed'].includes(folded[index] ?? ''))
        unknown.push(rest[index] ?? '');
      index += 1;
      continue;
    }
    if (found.problem !== undefined) problems.push(found.problem);
    else problems.push(...take(values, found.values ?? {}));
    index += found.used;
  }
  if (unknown.length > 0)
    problems.push(`I did not understand “${excerpt(unknown.join(' '))}”. Write it like this: ${example}`);
  problems.push(...impossible(values));
  if (values.site !== undefined && !hasSide(values.site)) delete values.side;
  return { values, at: 'problem' in time || !time.told ? null : time.at, problems: fewProblems(problems) };
}

/** A weight that this animal cannot have is left out, so that nobody registers it unseen. */
function impossible(values: PlaceValues): string[] {
  const { species, weightKg } = values;
  if (species === undefined || weightKg === undefined) return [];
  const problem = weightProblem({ ...values, species, weightKg });
  if (problem !== null) delete values.weightKg;
  return problem === null ? [] : [problem];
}

function withoutIndication(words: readonly string[]): { words: string[]; indication: string } {
  // The first word is the name, whatever it is.
  const from = words.findIndex((word, index) => index > 0 && /^(?:for|because)$/iu.test(word));
  if (from === -1) return { words: [...words], indication: '' };
  return { words: words.slice(0, from), indication: cleanText(words.slice(from + 1).join(' ')) };
}

function nameOff(
  words: readonly string[],
  ward: WardTime,
  plainWords: PlainWords,
): { typed: string; rest: string[] } {
  if (/^["“„]/u.test(words[0] ?? '')) {
    const close = words.findIndex((word, index) => /["”“],?$/u.test(word) && (index > 0 || word.length > 1));
    if (close !== -1) {
      const typed = words
        .slice(0, close + 1)
        .join(' ')
        .replace(/^["“„]|["”“],?$/gu, '');
      return { typed, rest: words.slice(close + 1) };
    }
  }
  const folded = words.map(foldWord);
  let end = 0;
  while (
    end < words.length &&
    recognisedAt(words, folded, end, plainWords) === null &&
    !isTimeAt(words, end, ward)
  )
    end += 1;
  return {
    typed: words
      .slice(0, end)
      .join(' ')
      .replace(/[,;:]+$/u, ''),
    rest: words.slice(end),
  };
}

function recognisedAt(
  words: readonly string[],
  folded: readonly string[],
  index: number,
  plainWords: PlainWords,
): Recognised | null {
  for (const { phrase, values } of plainWords) {
    const used = phraseAt(folded, index, phrase);
    if (used > 0) return { used, values };
  }
  const site = siteAt(folded, index);
  if (site !== null) return { used: site.used, values: { site: site.site } };
  const side = sideOf(folded[index]);
  // A lone letter is a side only right before an artery: "Mr L" keeps his name.
  if (side !== undefined && (folded[index] === side || siteAt(folded, index + 1) !== null))
    return { used: 1, values: { side } };
  return personAt(words, index) ?? triesAt(folded, index) ?? gaugeAt(folded, index) ?? numberAt(words, index);
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

/** `2nd try`, `third attempt`, `3 tries`: how many it took, the one that succeeded included. */
function triesAt(folded: readonly string[], index: number): Recognised | null {
  const word = folded[index] ?? '';
  if (!/^(?:try|tries|attempts?)$/.test(folded[index + 1] ?? '')) return null;
  const digits = /^(\d{1,3})(?:st|nd|rd|th)?$/.exec(word)?.[1];
  const tries = digits === undefined ? ordinals.indexOf(word) + 1 : Number(digits);
  if (digits === undefined && tries === 0) return null;
  if (tries >= 1 && tries <= mostTries) return { used: 2, values: { tries } };
  return {
    used: 2,
    problem: `“${word} ${folded[index + 1]}”: 1 to ${mostTries} tries are taken at one telling. Write how many.`,
  };
}

function gaugeAt(folded: readonly string[], index: number): Recognised | null {
  const match = /^(\d{2})(g|ga|gauge)?$/.exec(folded[index] ?? '');
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
  const field = fields.find((one) => one.unit === unit);
  if (field === undefined) {
    const problem = unitProblem(
      found,
      unit === 'g' || unit === 'lb' ? ['kg'] : fields.map((one) => one.unit),
    );
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

/** Fills in what was said; the same thing told in two ways is a problem and is left for the form. */
function take(values: PlaceValues, said: PlaceValues): string[] {
  return Object.entries(said).flatMap(([key, value]) => {
    const id = key as keyof PlaceValues;
    if (values[id] !== undefined && values[id] !== value) {
      return [`Told twice: ${String(values[id])} and ${String(value)}. Check it in the form.`];
    }
    Object.assign(values, { [id]: value });
    return [];
  });
}

/** The species that these words name and nothing else, in any case; null where they name none. */
export function speciesFromWords(text: string): Species | null {
  const typed = wordsOf(text).map(foldWord).join(' ');
  const named = wordsOfLine.find(
    ({ phrase, values }) => values.species !== undefined && phrase.join(' ') === typed,
  );
  return named?.values.species ?? null;
}
