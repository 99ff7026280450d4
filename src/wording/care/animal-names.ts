import type { Species } from '../../domain/patient/species.ts';

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
