import type { Species } from '../../domain/patient/species.ts';
import { foldPhrase, phraseAt } from './fold-words.ts';

/**
 * Breeds by the words of a cage card. A breed is not kept, but says the species; no word that is a common name of a patient
 * stands here.
 */
const breeds: readonly (readonly [Species, readonly string[]])[] = [
  [
    'dog',
    [
      'gsd',
      'german shepherd',
      'german shepherd dog',
      'shepherd',
      'jrt',
      'jack russell',
      'jack russell terrier',
      'lab',
      'labrador',
      'labrador retriever',
      'golden retriever',
      'retriever',
      'goldendoodle',
      'labradoodle',
      'cavoodle',
      'cockapoo',
      'spaniel',
      'cocker spaniel',
      'springer spaniel',
      'ckcs',
      'cavalier',
      'terrier',
      'border terrier',
      'collie',
      'border collie',
      'kelpie',
      'heeler',
      'cattle dog',
      'poodle',
      'bulldog',
      'french bulldog',
      'frenchie',
      'pug',
      'beagle',
      'husky',
      'malamute',
      'rottweiler',
      'rottie',
      'doberman',
      'chihuahua',
      'dachshund',
      'shih tzu',
      'maltese',
      'staffie',
      'staffy',
      'mastiff',
      'great dane',
      'dane',
      'westie',
      'yorkie',
      'schnauzer',
      'pomeranian',
      'whippet',
      'greyhound',
      'vizsla',
      'weimaraner',
      'pointer',
      'setter',
      'dalmatian',
      'samoyed',
      'newfoundland',
      'bernese',
    ],
  ],
  [
    'cat',
    [
      'dsh',
      'dmh',
      'dlh',
      'bsh',
      'moggy',
      'siamese',
      'ragdoll',
      'bengal',
      'burmese',
      'birman',
      'maine coon',
      'sphynx',
    ],
  ],
  ['horse', ['thoroughbred', 'tb', 'warmblood', 'quarter horse', 'clydesdale', 'standardbred']],
  ['cattle', ['holstein', 'friesian', 'hereford']],
];

/** Sex, and words beside a breed, as a cage card has them: none is kept. */
const cardWords = [
  'mn',
  'fn',
  'fs',
  'm/n',
  'f/n',
  'f/s',
  'm/c',
  'male',
  'female',
  'neutered',
  'spayed',
  'castrated',
  'desexed',
  'entire',
  'intact',
  'crossbreed',
  'xbreed',
  'mixed breed',
];

const phrases = [
  ...breeds.flatMap(([species, words]) => words.map((word) => ({ species, phrase: foldPhrase(word) }))),
  ...cardWords.map((word) => ({ species: undefined, phrase: foldPhrase(word) })),
].sort((one, other) => other.phrase.length - one.phrase.length);

/** A breed, or another word of a cage card that is not kept, from word `start` on. */
export function cageCardWordAt(
  folded: readonly string[],
  start: number,
): { used: number; species: Species | undefined } | null {
  for (const { species, phrase } of phrases) {
    const used = phraseAt(folded, start, phrase);
    if (used > 0) return { used, species };
  }
  return null;
}
