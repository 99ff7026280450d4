import { animalSpellings } from './animal-words.ts';
import { foldPhrase } from './fold-words.ts';
import type { PlaceValues } from './place-values.ts';

/** Phrases and what each says of a line. */
export type PlainWords = readonly { phrase: readonly string[]; values: PlaceValues }[];
type Spelling = readonly [values: PlaceValues, phrases: readonly string[]];

/** Longer phrases first, so that "no bleeding disorder" is not taken for one. */
const longestFirst = (spellings: readonly Spelling[]): PlainWords =>
  spellings
    .flatMap(([values, phrases]) => phrases.map((phrase) => ({ values, phrase: foldPhrase(phrase) })))
    .sort((one, other) => other.phrase.length - one.phrase.length);

const spellings: readonly Spelling[] = [
  ...animalSpellings,
  [
    { flushMode: 'manual' },
    ['manual', 'manual flush', 'manual flushing', 'by hand', 'flushed by hand', 'hand flush', 'hand flushed'],
  ],
  [{ flushMode: 'continuous' }, ['continuous', 'continuous flush', 'continuous flushing']],
  [{ sourceKind: 'pressure bag' }, ['pressure bag', 'bag']],
  [{ sourceKind: 'syringe' }, ['syringe', 'syringe pump', 'syringe driver']],
  // The number with its unit says how much.
  [{}, ['heparin', 'heparinised', 'hep']],
  [{ heparinUPerMl: 0 }, ['no heparin', 'plain saline']],
  [{ bleeding: true }, ['bleeding disorder', 'coagulopathy', 'coagulopathic']],
  [{ bleeding: false }, ['no bleeding disorder', 'no coagulopathy']],
];

/** What a line is for, with a transducer or without. */
const spellingsOfUse: readonly Spelling[] = [
  [{ transducer: false }, ['samples only', 'sample only', 'only samples', 'capped', 'no transducer']],
  [{ transducer: true }, ['transducer', 'pressure transducer', 'on transducer']],
];

/** What may be said of a line. */
export const wordsOfLine = longestFirst([...spellings, ...spellingsOfUse]);

/** Of tries that failed is also said why. */
export const wordsOfFailure = longestFirst([
  ...spellings,
  [{ why: 'artery not found' }, ['artery not found', 'not found', 'no artery', 'no flash', 'missed']],
  [{ why: 'flash, not threaded' }, ['flash not threaded', 'flash', 'not threaded', 'would not thread']],
  [{ why: 'haematoma' }, ['haematoma', 'hematoma']],
  [{ why: 'pulse lost in spasm' }, ['pulse lost in spasm', 'pulse lost', 'spasm']],
  [{ why: 'patient moved' }, ['patient moved', 'moved']],
]);
