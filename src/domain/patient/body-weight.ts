import type { Species } from './species.ts';

/** Lightest and heaviest animal of any kind, kilograms. What is recorded lies within it. */
export const weightKgRange = { min: 0.3, max: 1200 } as const;

/**
 * Lightest and heaviest animal of each species that a weight is believed for, kilograms: wide enough for the newborn of a
 * small breed and the heaviest of a large one, and no wider, since beyond it a slipped digit or the wrong species is
 * likelier. From memory; common practice, no source.
 */
const believedKg: Readonly<Record<Species, { min: number; max: number }>> = {
  dog: { min: 0.3, max: 120 },
  cat: { min: 0.3, max: 20 },
  rabbit: { min: 0.3, max: 12 },
  ferret: { min: 0.3, max: 5 },
  'guinea pig': { min: 0.3, max: 3 },
  bird: { min: 0.3, max: 160 },
  horse: { min: 40, max: 1200 },
  foal: { min: 5, max: 350 },
  donkey: { min: 15, max: 500 },
  cattle: { min: 60, max: 1200 },
  calf: { min: 10, max: 350 },
  sheep: { min: 1, max: 200 },
  goat: { min: 1, max: 160 },
  pig: { min: 0.5, max: 450 },
  alpaca: { min: 3, max: 130 },
  llama: { min: 5, max: 250 },
  other: weightKgRange,
};

/**
 * Which weights are believed of this animal, kilograms, where this one isn't; null where it is.
 *
 * Example: 520 kg, dog → 0.3 to 120 kg: a slipped digit or another species; 520 kg, horse → null.
 */
export function weightsBelieved({
  species,
  weightKg,
}: {
  species: Species;
  weightKg: number;
}): { min: number; max: number } | null {
  const { min, max } = believedKg[species];
  return weightKg >= min && weightKg <= max ? null : { min, max };
}
