import type { DutyKind } from '../../domain/duty-kind.ts';
import { type Species } from '../../domain/patient/species.ts';
import { speciesPlurals } from '../care/animal-names.ts';

/** Animals of a species, for a label. */
export const animals: Record<Species, string> = { ...speciesPlurals, other: 'others' };

/** Duties as short as a label on a phone must be. */
export const dutyLabels: Record<DutyKind, string> = {
  finding: 'finding, for the clinician',
  fault: 'fault left, for the clinician',
  faultOpen: 'fault left half way',
  dwellLimit: 'out by the dwell limit',
  dwellWarning: 'dwell warning',
  hold: 'look after the hold',
  flush: 'flush',
  runOut: 'source before it runs out',
  zero: 'zero and level',
  test: 'fast-flush test',
  source: 'flush source check',
  site: 'site and limb check',
  pulse: 'pulse check',
  pulseNextDay: 'next-day pulse check',
  redress: 'redress',
  stillNeeded: '“still needed?”',
  set: 'transducer set change',
};

/** Below every picture. */
export const pictureCaution = 'Attending clinician, hospital protocol and local codes decide.';
