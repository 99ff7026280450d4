/**
 * Animals a ward tells apart: small animals first, then large ones. Duties differ only for the cat, whose dwell is limited.
 * A foal and a calf stand beside horse and cattle, since their size and their care are not those of the grown animal.
 */
export const speciesList = [
  'dog',
  'cat',
  'rabbit',
  'ferret',
  'guinea pig',
  'bird',
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
  'other',
] as const;
/** A species in the list. */
export type Species = (typeof speciesList)[number];

/** Longest word kept for what an animal is, in characters. */
export const longestSpeciesName = 30;
