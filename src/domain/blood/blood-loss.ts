import type { Patient } from '../patient/patient.ts';
import type { Species } from '../patient/species.ts';
import type { Sampling } from '../record/line-state.ts';

/**
 * Circulating blood, mL per kg. Dog: Diehl et al., J Appl Toxicol 2001;21:15-23. Cat: laboratory and transfusion texts
 * give 45 to 66, from memory. Other animals: University of Michigan, Guidelines on Blood Collection 2021, give 55 to 70
 * for mammals; the lower end is taken.
 */
export const bloodMlPerKg: Readonly<Record<Species, number>> = { dog: 85, cat: 55, other: 55 };

/** Circulating volume of an animal, mL. Example: a cat of 4 kg has 220 mL. */
export function circulatingMl({ species, weightKg }: Pick<Patient, 'species' | 'weightKg'>): number {
  return bloodMlPerKg[species] * weightKg;
}

/** Blood that left the animal by the line, mL: samples, and discards that were not given back. */
export function bloodLostMl(samples: readonly Sampling[]): number {
  return samples.reduce(
    (sum, { volumeMl, discardMl, discardReturned }) => sum + volumeMl + (discardReturned ? 0 : discardMl),
    0,
  );
}

/** What the line took from the animal in the 24 h before `now` (ms): mL, and % of the circulating volume. */
export function bloodLostIn24h(
  patient: Pick<Patient, 'species' | 'weightKg'>,
  samples: readonly Sampling[],
  now: number,
): { ml: number; percent: number } {
  const ml = bloodLostMl(samples.filter(({ at }) => at > now - 24 * 3_600_000));
  return { ml, percent: (100 * ml) / circulatingMl(patient) };
}
