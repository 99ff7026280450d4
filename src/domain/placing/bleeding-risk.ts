import type { Patient } from '../patient/patient.ts';
import type { Screening } from './screening.ts';

/** Why an animal may bleed more than another. */
export type BleedingRisk = 'bleeding disorder' | 'clotting unknown';

/**
 * Why an animal may bleed more than another; null where nobody said that it may. Clotting that nobody knows counts like a
 * disorder until it is known: common practice, no source.
 *
 * Example: no disorder recorded, “clotting unknown” among the cautions → `clotting unknown`.
 */
export function bleedingRisk(line: {
  patient: Pick<Patient, 'bleeding'>;
  screening?: Pick<Screening, 'cautions'> | null;
}): BleedingRisk | null {
  const found = line.screening?.cautions ?? [];
  if (line.patient.bleeding || found.includes('bleeding disorder')) return 'bleeding disorder';
  return found.includes('clotting unknown') ? 'clotting unknown' : null;
}
