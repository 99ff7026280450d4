import type { Patient } from '../patient/patient.ts';
import type { Sampling } from '../record/line-state.ts';
import { circulatingMl } from './blood-volume.ts';

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
