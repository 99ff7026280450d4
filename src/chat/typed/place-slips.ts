import { animalSpellings } from './animal-words.ts';
import { slipsBetween } from './nearest-word.ts';

/** Words that a slip is looked for, besides those for animals. */
const others = [
  'left',
  'right',
  'dorsal',
  'pedal',
  'metatarsal',
  'median',
  'caudal',
  'coccygeal',
  'tail',
  'radial',
  'femoral',
  'auricular',
  'lingual',
  'brachial',
  'facial',
  'transverse',
  'tibial',
  'cephalic',
  'saphenous',
  'jugular',
  'manual',
  'continuous',
  'syringe',
  'pressure',
  'gauge',
];
const words = [
  ...new Set([...animalSpellings.flatMap(([, spelt]) => spelt.flatMap((one) => one.split(' '))), ...others]),
];

/**
 * The word of the trade that a word is a slip of the finger from: one letter wrong, missing, too many, or two swapped; in a
 * word of seven letters or more two slips. Undefined where it is none, or is that word itself.
 *
 * Example: `dgo` → `dog`.
 */
export function slipOf(folded: string): string | undefined {
  const { length } = folded;
  if (length < 3 || length > 24) return undefined;
  const most = length < 7 ? 1 : 2;
  return words.find((word) => {
    const isNear = Math.abs(word.length - length) <= most && word.length >= 3;
    return isNear && word !== folded && slipsBetween(folded, word) <= most;
  });
}
