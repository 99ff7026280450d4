import type { Patient } from '../patient/patient.ts';
import type { Species } from '../patient/species.ts';

/** mL per kg; `as`: whose figure it is where it is not the species' own, `mammal` the lower end of all. */
export interface BloodCounted {
  mlPerKg: number;
  as?: 'mammal' | 'chicken' | 'horse' | 'cattle';
}

/**
 * What circulating blood is counted at, mL per kg, and whose figure that is where it is not the species' own.
 *
 * Dog, rabbit: Diehl et al., J Appl Toxicol 2001;21:15-23, through secondary tables. Cat: laboratory and transfusion texts
 * give 45 to 66, from memory. Horse 75, cattle 60, sheep 60, goat 70, pig 65, chicken 60: Montana State University,
 * Blood Collection in Agricultural Animals, table 2. Mammals without a figure of their own: the lower end of the 55 to 70
 * of the University of Michigan, Guidelines on Blood Collection 2021. Newborn foals and calves have more by weight than
 * grown ones (from memory): by the grown animal's figure the ward is warned sooner, not later.
 */
const counted: Readonly<Record<Species, BloodCounted>> = {
  dog: { mlPerKg: 85 },
  cat: { mlPerKg: 55 },
  rabbit: { mlPerKg: 56 },
  ferret: { mlPerKg: 55, as: 'mammal' },
  'guinea pig': { mlPerKg: 55, as: 'mammal' },
  bird: { mlPerKg: 60, as: 'chicken' },
  horse: { mlPerKg: 75 },
  foal: { mlPerKg: 75, as: 'horse' },
  donkey: { mlPerKg: 55, as: 'mammal' },
  cattle: { mlPerKg: 60 },
  calf: { mlPerKg: 60, as: 'cattle' },
  sheep: { mlPerKg: 60 },
  goat: { mlPerKg: 70 },
  pig: { mlPerKg: 65 },
  alpaca: { mlPerKg: 55, as: 'mammal' },
  llama: { mlPerKg: 55, as: 'mammal' },
  other: { mlPerKg: 55, as: 'mammal' },
};

/** What an animal's circulating blood is counted at, mL per kg; `as`: whose figure it is where its own species has none. */
export function bloodCountedAt({ species }: Pick<Patient, 'species'>): BloodCounted {
  return counted[species];
}

/** Circulating volume of an animal, mL. Example: a cat of 4 kg has 220 mL. */
export function circulatingMl({ species, weightKg }: Pick<Patient, 'species' | 'weightKg'>): number {
  return counted[species].mlPerKg * weightKg;
}
