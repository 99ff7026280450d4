import type { BeatAgreement } from './beat-agreement.ts';
import type { BeatFindings } from './beat-findings.ts';
import type { PatientFinding } from './patient-findings.ts';
import type { StripNote } from './pressure-strip.ts';
import type { TraceFault } from './trace-faults.ts';

/** The rest of the strip, as far as it makes pressures doubtful. */
export interface AroundPressure {
  noiseMmHg: number;
  lengthS: number;
  driftMmHgPerS: number;
  patient: readonly PatientFinding[];
}

/**
 * A level that changes by so much a second is said, and so is so much in all. By more in all, the pressures are no one's any
 * more and doubtful: above what breathing makes of a few seconds (own rules).
 */
const drift = {
  saidMmHgPerS: 0.9,
  saidInAllMmHg: 12,
  doubtInAllMmHg: 20,
  /** A strip shorter than this, of a breath or two, doesn't show one, s. */
  shownFromS: 10,
} as const;

/** That the level moves over the strip, or could; null where it hardly does. */
export function driftNote(driftMmHgPerS: number, lengthS: number): StripNote | null {
  const by = Math.abs(driftMmHgPerS * lengthS);
  if (by < drift.saidInAllMmHg && Math.abs(driftMmHgPerS) < drift.saidMmHgPerS)
    return lengthS >= drift.shownFromS ? null : { note: 'could drift' };
  return { note: 'drifts', mmHgPerS: driftMmHgPerS, lengthS };
}

/** Waves without overtones are a sine, and so are those with few that rise no quicker than they fall (own rules). */
const sine = { surely: 0.002, overtones: 0.006, skewness: 0.08 } as const;

/** What makes pressures doubtful, and no rate: drift, a sine, a weak pulse, noise. */
export function doubtsOfPressure(
  beats: BeatFindings,
  { overtones, skewness }: BeatAgreement,
  { noiseMmHg, lengthS, driftMmHgPerS, patient }: AroundPressure,
): TraceFault[] {
  const faults: TraceFault[] = [];
  const drifting = driftNote(driftMmHgPerS, lengthS);
  const isMuch = Math.abs(driftMmHgPerS * lengthS) >= drift.doubtInAllMmHg;
  if (drifting !== null && isMuch && Math.abs(driftMmHgPerS) >= drift.saidMmHgPerS)
    faults.push({ fault: 'drifts', hides: 'nothing', mmHgPerS: driftMmHgPerS, lengthS });
  if (
    (overtones < sine.surely && patient.length === 0) ||
    (overtones < sine.overtones && skewness < sine.skewness)
  )
    faults.push({ fault: 'like a sine', hides: 'nothing' });
  const { pulseMmHg } = beats;
  if (pulseMmHg < 6) faults.push({ fault: 'weak pulse', hides: 'nothing', pulseMmHg });
  if (noiseMmHg > Math.min(0.105 * pulseMmHg, 8))
    faults.push({ fault: 'too noisy', hides: 'nothing', noiseMmHg, pulseMmHg });
  return faults;
}
