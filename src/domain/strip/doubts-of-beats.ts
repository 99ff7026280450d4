import type { BeatAgreement } from './beat-agreement.ts';
import type { BeatFindings } from './beat-findings.ts';
import { doubtsOfPressure } from './doubts-of-pressure.ts';
import { type FoundBeats, readableRate } from './find-beats.ts';
import { couldBe, fastestOpenPerMin, otherRate, rateOpen } from './open-rates.ts';
import type { PatientFinding } from './patient-findings.ts';
import type { RowCheck } from './row-check.ts';
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
  /** How well a row of strokes at the beats accounts for the trace; null of too few beats. */
  row: RowCheck | null;
  /** The level moves and does not come back, so which one is right is not known. */
  endsOffLevel: boolean;
  /** Strokes between the beats that made no whole beat of their own. */
  lostBeats: number;
  /** Whether beats at another level were left out. */
  movesLevel: boolean;
  /** By how much the level goes up and down beside its drift and what was left out, mmHg. */
  levelRangeMmHg: number;
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
const least = { beats: 6, unevenBeats: 8, s: 4 } as const;
/** Standard error of the mean interval above which the rate is vague, as a share of it (own rule). */
const mostVague = 0.1;
/** Of beats with a pattern so much must be covered by them, s: one pause more or less is one beat more or less. */
const shortestPatternS = 3.8;

/** Whether what was found is no pulse: waves unlike each other, or at no even distance and not steep as an upstroke is. */
function isNoPulse({ alike, alikeShare, intervalVariation, repeats, skewness }: BeatAgreement): boolean {
  if (alike < 0.75 || alikeShare < 0.6) return true;
  return intervalVariation > 0.12 && repeats < 0.6 && (alike < 0.88 || (skewness < 0.3 && alike < 0.96));
}

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

/** Left over beyond this share, and beats that a row lacks or does not want beyond this share (measured on made strips). */
const rowOff = { leftShare: 0.05, beats: 0.03 } as const;

/**
 * A wave in a pause that is smaller, by the pulse, is the line's swing if a row of strokes leaves no more over (own rules). So is a
 * taller one, if all such waves together are so many times what the row leaves over: it would not account for a beat.
 */
const pauses = { surelyWave: 0.2, mostLeft: 0.004, timesLeft: 4 } as const;

/** A rise so late after a stroke, by the pulse, is a beat that was not counted: made ones were 0.5, others 0.03. */
const surelyLate = 0.2;

/** Whether a row of strokes accounts for the trace so well that no beat is hidden in a pause: it would leave a wave over. */
const accountsForAll = (row: RowCheck | null, mostLeft: number) =>
  row !== null && row.missed + row.madeUp === 0 && row.leftShare < mostLeft;

/** Whether a row of strokes shows other beats than were found. Where uneven beats are told as the patient’s, none may be. */
function rowIsOff(
  { leftShare, missed, madeUp }: RowCheck,
  count: number,
  patient: readonly PatientFinding[],
): boolean {
  const off = missed + madeUp;
  // A beat that is missing or too many makes pauses or uneven beats, and no beats that take turns.
  const mayBeOff = patient.every(({ finding }) => finding === 'alternans' || finding === 'irregular');
  return leftShare > rowOff.leftShare || off > (mayBeOff ? rowOff.beats * count : 0);
}

/** A heart as fast as a line rings is shown as swings as tall as each other: what takes turns in it hardly shows (own rule). */
const ringing = { fromPerMin: 285, skewness: 0.1, inTurns: 0.95 } as const;

/** Below this rate breathing can take turns with the beats, /min. */
const breathsInTurn = 67;

/** Beyond this share at another level it is not known which level is the usual one (own rule). */
const mostOffLevel = 0.42;
/** Uneven beats move the level by themselves, and what was left out for it can be a part of them. */
const mostOffUneven = 0.09;

/** Breathing moves the level of some seconds by less (own rule). */
const mostLevelRangeMmHg = 13;

/** The other rate that the trace could have; nothing where it could have none. */
function openRate(
  beats: BeatFindings,
  found: FoundBeats,
  agreement: BeatAgreement,
  around: AroundBeats,
): number | undefined {
  const isPaused = around.patient.some(({ finding }) => finding === 'pauses');
  return (
    couldBe(found, beats, agreement, around)[0] ??
    (isPaused ? undefined : otherRate(beats, agreement, found.intervalsS)) ??
    (agreement.hidesBeats || agreement.hidesSecond || agreement.climbsLong
      ? beats.ratePerMin * 2
      : undefined) ??
    around.row?.secondPerMin ??
    undefined
  );
}

/** So many strokes may make no whole beat, by the beats (own rule): one melts into the next, or noise hides its foot. */
const mostLost = 0.1;

/** Whether the beats are unlike each other, or unlike what is told of them. */
function areUnlike(
  beats: BeatFindings,
  found: FoundBeats,
  agreement: BeatAgreement,
  { patient, row, lostBeats }: AroundBeats,
): boolean {
  const isPaused = patient.some(({ finding }) => finding === 'pauses');
  const isIrregular = patient.some(({ finding }) => finding === 'irregular');
  // Of two kinds of beats that take turns the mean lies between the two, and the median does not.
  const isLopsided = patient.length === 0 && agreement.lopsidedMmHg > Math.max(4, 0.12 * beats.pulseMmHg);
  const isOddlyLopsided = agreement.lopsidedMmHg > Math.max(5, 0.15 * beats.pulseMmHg);
  const { waveInPause, pauseShare, pausesHideBeats, lateRise } = agreement;
  const couldBeSwing =
    (waveInPause < pauses.surelyWave && accountsForAll(row, pauses.mostLeft)) ||
    accountsForAll(row, (pauseShare * waveInPause ** 2) / pauses.timesLeft);
  const isHiding = (isPaused || isIrregular) && ((pausesHideBeats && !couldBeSwing) || lateRise > surelyLate);
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
    (row !== null && rowIsOff(row, beats.count, patient)) ||
    isHiding ||
    couldTakeTurns ||
    hasOddBeats(found, agreement.smallToTall, patient.length > 0) ||
    (isIrregular && isOddlyLopsided)
  );
}

/** A doubt where the beats are too few for what is told of them; else nothing. */
function tooFew(beats: BeatFindings, patient: readonly PatientFinding[]): TraceFault | undefined {
  const isIrregular = patient.some(({ finding }) => finding === 'irregular');
  // Breathing and chance make a rhythm of a few beats.
  const wanted = beats.intervalVariation > 0.06 || patient.length > 0 ? least.unevenBeats : least.beats;
  // One pause more or less changes the rate of a few seconds, one beat more or less that of beats without a pattern.
  const coveredS = (60 * beats.count) / beats.ratePerMin;
  const vague = beats.intervalVariation / Math.sqrt(beats.count);
  const isVague = vague > mostVague && (coveredS < shortestPatternS || isIrregular);
  if (beats.count >= wanted && !isVague) return undefined;
  return {
    fault: 'too few beats',
    hides: 'nothing',
    says: `Only ${beats.count} whole beats are on the strip; ${isVague ? 'more' : wanted} are needed${wanted > least.beats ? ' of an uneven rhythm' : ''}. Export a longer stretch, 30 to 60 s.`,
  };
}

function doubtsOfRate(
  beats: BeatFindings,
  found: FoundBeats,
  agreement: BeatAgreement,
  around: AroundBeats,
): TraceFault[] {
  const { leftOut, patient, endsOffLevel, movesLevel, levelRangeMmHg } = around;
  const faults: TraceFault[] = [];
  const open = openRate(beats, found, agreement, around);
  // Twice a rate that is no heart's any more is no rate.
  if (open !== undefined && open < fastestOpenPerMin) faults.push(rateOpen(beats.ratePerMin, open));
  if (areUnlike(beats, found, agreement, around)) {
    faults.push({
      fault: 'beats disagree',
      hides: 'nothing',
      says: 'The waves are too unlike each other to be sure that they are beats. Feel a pulse and count it; then export a stretch without movement.',
    });
  }
  const few = tooFew(beats, patient);
  if (few !== undefined) faults.push(few);
  if (leftOut > 0.55) {
    faults.push({
      fault: 'much left out',
      hides: 'nothing',
      says: `${Math.round(100 * leftOut)} % of the strip is disturbed, so which part is the usual pulse is a guess. Export a stretch without flush or movement.`,
    });
  }
  // Uneven beats move the level by themselves.
  const isIrregular = patient.some(({ finding }) => finding === 'irregular');
  if (
    endsOffLevel ||
    (movesLevel && leftOut > (isIrregular ? mostOffUneven : mostOffLevel)) ||
    (patient.length === 0 && levelRangeMmHg > mostLevelRangeMmHg)
  ) {
    faults.push({
      fault: 'level changes',
      hides: 'nothing',
      says: 'The level of the whole trace changes, and which level is the usual one is not known. Look at the animal first; then at the height of limb and transducer.',
    });
  }
  return faults;
}
