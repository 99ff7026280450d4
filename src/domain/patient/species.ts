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

/** Several animals of a species, for counts. */
export const speciesPlurals: Record<Species, string> = {
  dog: 'dogs',
  cat: 'cats',
  rabbit: 'rabbits',
  ferret: 'ferrets',
  'guinea pig': 'guinea pigs',
  bird: 'birds',
  horse: 'horses',
  foal: 'foals',
  donkey: 'donkeys',
  cattle: 'cattle',
  calf: 'calves',
  sheep: 'sheep',
  goat: 'goats',
  pig: 'pigs',
  alpaca: 'alpacas',
  llama: 'llamas',
  other: 'other animals',
};

/** Longest word kept for what an animal is, in characters. */
export const longestSpeciesName = 30;

/**
 * What the animal is called on every surface: the word that was recorded of it, else its species.
 *
 * Example: a horse recorded as a pony → `pony`; another animal of which no more was recorded → `other animal`.
 */
export function animalName({
  species,
  speciesName,
}: {
  species: Species;
  speciesName?: string | undefined;
}): string {
  return speciesName ?? (species === 'other' ? 'other animal' : species);
}

/** One animal in a sentence: `a dog`, `an alpaca`, `cattle`. */
export function oneAnimal(animal: { species: Species; speciesName?: string | undefined }): string {
  const name = animalName(animal);
  if (name === 'cattle') return name;
  return `${/^[aeiou]/i.test(name) ? 'an' : 'a'} ${name}`;
}
