import type { AroundBeats } from './around-beats.ts';
import type { BeatAgreement } from './beat-agreement.ts';
import type { BeatFindings } from './beat-findings.ts';
import type { FoundBeats } from './find-beats.ts';
import { isTold, type PatientFinding } from './patient-findings.ts';
import type { RowCheck } from './row-check.ts';
import { quantile } from './smoothing.ts';

/** Pulses of even beats, and of beats with pauses, vary by less (own rule, measured on made strips). */
const mostPulseVariation = 0.2;

/** A steady heart's intervals and pulses by its usual ones, but for a few beside what was left out; and a small beat so small that some may not be counted (own rules). */
const steady = { interval: 0.2, smallest: 0.65, tallest: 1.5, oddShare: 0.04, countedFrom: 0.47 } as const;

/** Whether a heart that is told as steady has an odd beat, or one that is told as of two kinds has such small ones. */
function hasOddBeats({ beats, intervalsS }: FoundBeats, smallToTall: number, isNamed: boolean): boolean {
  if (isNamed) return smallToTall < steady.countedFrom;
  const usualS = quantile(intervalsS, 0.5);
  const pulses = beats.map(({ sapMmHg, dapMmHg }) => sapMmHg - dapMmHg);
  const usual = quantile(pulses, 0.5);
  const odd = Math.max(
    intervalsS.filter((one) => Math.abs(one / usualS - 1) > steady.interval).length,
    pulses.filter((one) => one < steady.smallest * usual || one > steady.tallest * usual).length,
  );
  return odd > steady.oddShare * beats.length;
}

function beatsDisagree(
  { alike, alikeShare, intervalVariation, repeats, skewness, pulseVariation }: BeatAgreement,
  patient: readonly PatientFinding[],
): boolean {
  if (alike < 0.9 || alikeShare < 0.85) return true;
  // Swings that die down between strokes make groups with a pause after each, noise makes waves of every height; a steady
  // heart’s beats, and those with pauses, are as tall as each other.
  const areAsTall = patient.every(({ finding }) => finding === 'pauses');
  if (areAsTall && pulseVariation > mostPulseVariation) return true;
  const isEven = patient.some(({ finding }) => finding !== 'irregular');
  // Too uneven for a steady pulse, too even to call it irregular.
  if (intervalVariation > 0.07 && patient.length === 0) return true;
  if (intervalVariation > 0.09 && !isEven)
    return alike < 0.94 || (skewness < 0.5 && alike < 0.98) || pulseVariation > 0.35;
  return repeats < 0.6 && alike < 0.94;
}

/** Left over beyond this share, and beats that a row lacks or does not want beyond this share (measured on made strips). */
const rowOff = { leftShare: 0.05, leftSharePauses: 0.03, leftShareIrregular: 0.013, beats: 0.03 } as const;
/** Intervals that vary by less are even. */
export const evenBeats = 0.06;

/** A wave in a pause that is taller than this, by the pulse, can be a beat: swings were smaller by far (own rule, measured on made strips). */
const couldBeBeat = 0.55;

/** A rise so late after a stroke, by the pulse, is a beat that was not counted: made ones were 0.5, others 0.03. */
const surelyLate = 0.2;

/** Whether a row of strokes shows other beats than were found. Where uneven beats are told as the patient’s, none may be; even ones need no row. */
function rowIsOff(
  { leftShare, missed, madeUp }: RowCheck,
  { count, intervalVariation }: BeatFindings,
  patient: readonly PatientFinding[],
): boolean {
  if (intervalVariation < evenBeats) return false;
  const off = missed + madeUp;
  const isIrregular = isTold(patient, 'irregular');
  // A beat that is missing or too many makes pauses or uneven beats, and no beats that take turns.
  const mayBeOff = patient.every(({ finding }) => finding === 'alternans');
  const isPaused = isTold(patient, 'pauses');
  const most = isIrregular ? rowOff.leftShareIrregular : isPaused ? rowOff.leftSharePauses : rowOff.leftShare;
  return leftShare > most || off > (mayBeOff ? rowOff.beats * count : 0);
}

/** Intervals of early beats and pauses vary by what is between the two, and a row of strokes leaves little over; by so many times that, or with so much left, they are no pairs (own rules). */
const mostOfPairs = { variation: 1.2, leftShare: 0.022, leastBeats: 12 } as const;

/** Whether beats that are told as pairs vary by more than pairs do. */
function areNoPairs(
  { count, ratePerMin, intervalVariation }: BeatFindings,
  { turns }: BeatAgreement,
  { patient, row }: AroundBeats,
): boolean {
  if (turns === null || patient.every(({ finding }) => finding !== 'bigeminy')) return false;
  if (row !== null && row.leftShare > mostOfPairs.leftShare) return true;
  // Of a few beats the mean isn't half-way between short and long.
  if (count < mostOfPairs.leastBeats) return false;
  const meanS = 60 / ratePerMin;
  return intervalVariation > (mostOfPairs.variation * Math.abs(meanS - turns.shortS)) / meanS;
}

/** Beats that cover less of what was read leave too much out that nothing accounts for (own rule). */
const leastCovered = 0.55;

/** A heart as fast as a line rings is shown as swings as tall as each other: what takes turns in it hardly shows (own rule). */
const ringing = { fromPerMin: 285, skewness: 0.1, inTurns: 0.95 } as const;

/** Below this rate breathing can take turns with the beats, /min. */
export const breathsInTurn = 67;

/** What shows in an uneven rhythm that a stroke was lost or made up, by the usual beat's pulse and upstroke; and in so many of the beats it matters (own rules). */
const oddUneven = {
  share: 0.04,
  leastPulse: 0.15,
  two: [
    { climb: 1.6, taller: 0.25 },
    { climb: 2.2, taller: 0.1 },
  ],
} as const;

/** Whether beats of an uneven rhythm are hardly any, or two that were taken for one: these climb for long, and higher than the others. */
function loseStrokes({ beats }: FoundBeats): boolean {
  const median = (of: (beat: FoundBeats['beats'][number]) => number) => quantile(beats.map(of), 0.5);
  const pulse = median(({ sapMmHg, dapMmHg }) => sapMmHg - dapMmHg);
  const sap = median(({ sapMmHg }) => sapMmHg);
  const climb = median(({ footAt, peakAt }) => peakAt - footAt);
  const odd = beats.filter(
    ({ sapMmHg, dapMmHg, footAt, peakAt }) =>
      sapMmHg - dapMmHg < oddUneven.leastPulse * pulse ||
      oddUneven.two.some((two) => peakAt - footAt > two.climb * climb && sapMmHg > sap + two.taller * pulse),
  );
  return odd.length > oddUneven.share * beats.length;
}

/** Uneven strokes rise quicker than they fall, and a trace of them is unlike itself a beat later (own rules). */
const uneven = { leastSkewness: -0.3, mostRepeats: 0.8 } as const;

/** Whether what seems uneven is a line that rings as fast as an even heart beats. */
function areSwings({ skewness, repeats }: BeatAgreement): boolean {
  return skewness < uneven.leastSkewness || repeats > uneven.mostRepeats;
}

/** Averaging noise out moves pressures by less than so many times the noise; by more, the beats weren't laid over each other (own rule). */
const mostByNoise = 2.2;

/** So many strokes may make no whole beat, by the beats (own rule): one melts into the next, or noise hides its foot. */
const mostLost = 0.1;

/** Whether the beats are unlike each other, or unlike what is told of them. */
export function areUnlike(
  beats: BeatFindings,
  found: FoundBeats,
  agreement: BeatAgreement,
  around: AroundBeats,
): boolean {
  const { patient, row, lostBeats, lengthS, leftOut } = around;
  const isPaused = isTold(patient, 'pauses');
  const isIrregular = isTold(patient, 'irregular');
  // Of two kinds of beats that take turns the mean lies between the two, and the median does not.
  const isLopsided = patient.length === 0 && agreement.lopsidedMmHg > Math.max(4, 0.12 * beats.pulseMmHg);
  const isOddlyLopsided = agreement.lopsidedMmHg > Math.max(5, 0.15 * beats.pulseMmHg);
  const { waveInPause, lateRise } = agreement;
  const isHiding = (isPaused || isIrregular) && (waveInPause > couldBeBeat || lateRise > surelyLate);
  const covered = (60 * beats.count) / beats.ratePerMin / (lengthS * (1 - leftOut));
  // Beats that nearly take turns are neither even nor alternans for sure.
  const isAsLineRings = beats.ratePerMin > ringing.fromPerMin && agreement.skewness < ringing.skewness;
  const couldTakeTurns =
    patient.length === 0 &&
    agreement.smallToTall < (isAsLineRings ? ringing.inTurns : 0.9) &&
    beats.ratePerMin > breathsInTurn;
  return (
    beatsDisagree(agreement, patient) ||
    lostBeats > mostLost * beats.count ||
    isLopsided ||
    (row !== null && rowIsOff(row, beats, patient)) ||
    areNoPairs(beats, agreement, around) ||
    covered < leastCovered ||
    isHiding ||
    (isIrregular && loseStrokes(found)) ||
    around.averagedByMmHg > mostByNoise * around.noiseMmHg ||
    (isIrregular && areSwings(agreement)) ||
    couldTakeTurns ||
    hasOddBeats(found, agreement.smallToTall, patient.length > 0) ||
    (isIrregular && isOddlyLopsided)
  );
}
