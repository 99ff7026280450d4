import { weightsBelieved } from '../../domain/patient/body-weight.ts';
import type { Species } from '../../domain/patient/species.ts';
import { oneAnimal } from './animal-names.ts';

/** What is wrong with a weight for this animal, and what to do; null where it can be believed. */
export function weightProblem(animal: {
  species: Species;
  speciesName?: string | undefined;
  weightKg: number;
}): string | null {
  const { weightKg } = animal;
  const believed = weightsBelieved(animal);
  if (!believed) return null;
  const { min, max } = believed;
  const much = weightKg > max ? 'too heavy' : 'too light';
  return `${weightKg} kg is ${much} for ${oneAnimal(animal)}: ${min} to ${max} kg. Check the weight, then the species.`;
}
