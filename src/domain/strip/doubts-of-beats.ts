import type { BeatAgreement } from './beat-agreement.ts';
import type { BeatFindings } from './beat-findings.ts';
import { type FoundBeats, readableRate } from './find-beats.ts';
import type { PatientFinding } from './patient-findings.ts';
import { quantile } from './smoothing.ts';
import type { TraceFault } from './trace-faults.ts';

/** The rest of the strip, as far as it makes its beats doubtful. */
export interface AroundBeats {
  noiseMmHg: number;
  lengthS: number;
  /** Share of the strip that was left out. */
  leftOut: number;
  driftMmHgPerS: number;
  patient: readonly PatientFinding[];
  /** The level moves and does not come back, so which one is right is not known. */
  endsOffLevel: boolean;
}

const noSteadyBeat: TraceFault = {
  fault: 'no steady beat',
  hides: 'beats',
  says: 'No steady pulse was found on the trace. Look at the animal first: feel a pulse; then export a stretch without movement.',
};

const inverted: TraceFault = {
  fault: 'inverted',
  hides: 'beats',
  says: 'The trace falls quicker than it rises, so it seems to be upside down. Check the channel’s sign and export again.',
};

/** Beats fewer than this, or a strip shorter than this, say too little (own rules). */
const least = { beats: 7, unevenBeats: 10, s: 4 } as const;
/** A level that changes by so much a second makes the pressures doubtful; so much in all is said (own rules). */
const drift = { mmHgPerS: 1, inAllMmHg: 12 } as const;

/** Whether what was found is no pulse: waves unlike each other, or at no even distance and not steep as an upstroke is. */
function isNoPulse({ alike, alikeShare, intervalVariation, repeats, skewness }: BeatAgreement): boolean {
  if (alike < 0.75 || alikeShare < 0.6) return true;
  return intervalVariation > 0.12 && repeats < 0.6 && (alike < 0.88 || (skewness < 0.3 && alike < 0.96));
}

function beatsDisagree(
  { alike, alikeShare, intervalVariation, repeats, skewness, pulseVariation }: BeatAgreement,
  patient: readonly PatientFinding[],
): boolean {
  if (alike < 0.9 || alikeShare < 0.85) return true;
  const isEven = patient.some(
    ({ finding }) => finding === 'bigeminy' || finding === 'alternans' || finding === 'pauses',
  );
  if (intervalVariation > 0.09 && !isEven)
    return alike < 0.94 || (skewness < 0.5 && alike < 0.97) || pulseVariation > 0.35;
  return repeats < 0.6 && alike < 0.94;
}

/** Faults and doubts that show only once beats were looked for; worst first. */
export function doubtsOfBeats(
  beats: BeatFindings | null,
  found: FoundBeats,
  agreement: BeatAgreement | null,
  around: AroundBeats,
): TraceFault[] {
  const { lengthS } = around;
  if (lengthS < least.s) {
    return [
      {
        fault: 'too short',
        hides: beats === null ? 'beats' : 'nothing',
        says: `The strip is ${lengthS.toFixed(1)} s long; 10 s or more are needed to judge it, 30 to 60 s are best. Export a longer stretch.`,
      },
    ];
  }
  if (beats === null || agreement === null) return [noSteadyBeat];
  if (agreement.skewness < -0.6) return [inverted];
  if (isNoPulse(agreement)) return [noSteadyBeat];
  const { lowestPerMin, highestPerMin } = readableRate;
  if (beats.ratePerMin > highestPerMin || beats.ratePerMin < lowestPerMin) return [noSteadyBeat];
  return [...doubtsOfRate(beats, found, agreement, around), ...doubtsOfPressure(beats, agreement, around)];
}

/** Beats nearer than this to each other can be swings of a line that rings, s: 300 /min. */
const ringsLikeS = 0.2;

/** Half the rate, where some beats follow each other as fast as a line rings although the mean does not; else nothing. */
function otherRate(
  { ratePerMin, intervalVariation }: BeatFindings,
  { intervalsS }: FoundBeats,
): number | undefined {
  const isFast = quantile(intervalsS, 0.1) < ringsLikeS && intervalVariation > 0.09;
  return isFast ? ratePerMin / 2 : undefined;
}

function doubtsOfRate(
  beats: BeatFindings,
  found: FoundBeats,
  agreement: BeatAgreement,
  { leftOut, patient, endsOffLevel }: AroundBeats,
): TraceFault[] {
  const faults: TraceFault[] = [];
  const { openPerMin } = found;
  const isPaused = patient.some(({ finding }) => finding === 'pauses');
  const open = openPerMin[0] ?? (isPaused ? undefined : otherRate(beats, found));
  if (open !== undefined) {
    faults.push({
      fault: 'rate open',
      hides: 'nothing',
      says: `The rate could be ${Math.round(beats.ratePerMin)} or ${Math.round(open)} beats per minute: the smaller waves can be beats, a large dicrotic wave or ringing. Count the pulse or look at the ECG.`,
    });
  }
  if (beatsDisagree(agreement, patient)) {
    faults.push({
      fault: 'beats disagree',
      hides: 'nothing',
      says: 'The waves are too unlike each other to be sure that they are beats. Feel a pulse and count it; then export a stretch without movement.',
    });
  }
  const wanted = beats.intervalVariation > 0.09 ? least.unevenBeats : least.beats;
  if (beats.count < wanted) {
    faults.push({
      fault: 'too few beats',
      hides: 'nothing',
      says: `Only ${beats.count} whole beats are on the strip; ${wanted} are needed${wanted > least.beats ? ' of an uneven rhythm' : ''}. Export a longer stretch, 30 to 60 s.`,
    });
  }
  if (leftOut > 0.55) {
    faults.push({
      fault: 'much left out',
      hides: 'nothing',
      says: `${Math.round(100 * leftOut)} % of the strip is disturbed, so which part is the usual pulse is a guess. Export a stretch without flush or movement.`,
    });
  }
  if (endsOffLevel) {
    faults.push({
      fault: 'level changes',
      hides: 'nothing',
      says: 'The level of the whole trace changes and does not come back on the strip. Look at the animal first; then at the height of limb and transducer.',
    });
  }
  return faults;
}

/** Says that the level moves over the strip; null where it hardly does. */
export function driftWords(driftMmHgPerS: number, lengthS: number): string | null {
  const by = Math.abs(driftMmHgPerS * lengthS);
  if (by < drift.inAllMmHg && Math.abs(driftMmHgPerS) < 0.9 * drift.mmHgPerS) return null;
  return `The pressure ${driftMmHgPerS > 0 ? 'rises' : 'falls'} by ${Math.round(by)} mmHg over the strip (${Math.abs(driftMmHgPerS).toFixed(1)} mmHg/s), so the pressures are averages. Look at the animal first; then at the transducer’s height, the zero and the joints.`;
}

function doubtsOfPressure(
  beats: BeatFindings,
  { overtones, skewness }: BeatAgreement,
  { noiseMmHg, lengthS, driftMmHgPerS }: AroundBeats,
): TraceFault[] {
  const faults: TraceFault[] = [];
  const says = driftWords(driftMmHgPerS, lengthS);
  if (
    says !== null &&
    Math.abs(driftMmHgPerS) >= 0.9 * drift.mmHgPerS &&
    Math.abs(driftMmHgPerS * lengthS) >= 9
  ) {
    faults.push({ fault: 'drifts', hides: 'nothing', says });
  }
  if (overtones < 0.01 && Math.abs(skewness) < 0.08) {
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
  if (noiseMmHg > Math.min(0.12 * beats.pulseMmHg, 5)) {
    faults.push({
      fault: 'too noisy',
      hides: 'nothing',
      says: `The trace is noisy (${noiseMmHg.toFixed(1)} mmHg against a pulse of ${Math.round(beats.pulseMmHg)} mmHg): systolic and diastolic are rough.`,
    });
  }
  return faults;
}
