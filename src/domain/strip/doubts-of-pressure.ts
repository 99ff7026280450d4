import type { BeatAgreement } from './beat-agreement.ts';
import type { BeatFindings } from './beat-findings.ts';
import type { PatientFinding } from './patient-findings.ts';
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

/** Says that the level moves over the strip; null where it hardly does. */
export function driftWords(driftMmHgPerS: number, lengthS: number): string | null {
  const by = Math.abs(driftMmHgPerS * lengthS);
  if (by < drift.saidInAllMmHg && Math.abs(driftMmHgPerS) < drift.saidMmHgPerS)
    return lengthS >= drift.shownFromS ? null : 'The pressure could drift: the strip is too short to tell.';
  return `The pressure ${driftMmHgPerS > 0 ? 'rises' : 'falls'} by ${Math.round(by)} mmHg over the strip (${Math.abs(driftMmHgPerS).toFixed(1)} mmHg/s), so the pressures are averages. Look at the animal first; then at the transducer’s height, the zero and the joints.`;
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
  const says = driftWords(driftMmHgPerS, lengthS);
  const isMuch = Math.abs(driftMmHgPerS * lengthS) >= drift.doubtInAllMmHg;
  if (says !== null && isMuch && Math.abs(driftMmHgPerS) >= drift.saidMmHgPerS) {
    faults.push({ fault: 'drifts', hides: 'nothing', says });
  }
  if (
    (overtones < sine.surely && patient.length === 0) ||
    (overtones < sine.overtones && skewness < sine.skewness)
  ) {
    faults.push({
      fault: 'like a sine',
      hides: 'nothing',
      says: 'The waves are as round as a sine: a very damped line, or something that is no pulse. Feel a pulse; then do a fast flush and upload again.',
    });
  }
  if (beats.pulseMmHg < 6) {
    faults.push({
      fault: 'weak pulse',
      hides: 'nothing',
      says: `The pulse is only ${Math.round(beats.pulseMmHg)} mmHg tall. Look at the animal first: feel a pulse; then look for a kink, a clot or a closed tap.`,
    });
  }
  if (noiseMmHg > Math.min(0.105 * beats.pulseMmHg, 8)) {
    faults.push({
      fault: 'too noisy',
      hides: 'nothing',
      says: `The trace is noisy (${noiseMmHg.toFixed(1)} mmHg against a pulse of ${Math.round(beats.pulseMmHg)} mmHg): systolic and diastolic are rough.`,
    });
  }
  return faults;
}
