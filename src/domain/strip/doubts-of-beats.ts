import type { AroundBeats } from './around-beats.ts';
import type { BeatAgreement } from './beat-agreement.ts';
import type { BeatFindings } from './beat-findings.ts';
import { doubtsOfPressure } from './doubts-of-pressure.ts';
import { type FoundBeats, readableRate } from './find-beats.ts';
import { couldBe, fastestOpenPerMin, otherRate, rateOpen, takeTurnsAsSwings } from './open-rates.ts';
import { isTold, type PatientFinding } from './patient-findings.ts';
import type { TraceFault } from './trace-faults.ts';
import { areUnlike, breathsInTurn, evenBeats } from './unlike-beats.ts';

const noSteadyBeat: TraceFault = { fault: 'no steady beat', hides: 'beats' };

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

/** Faults and doubts that show only once beats were looked for; worst first. */
export function doubtsOfBeats(
  beats: BeatFindings | null,
  found: FoundBeats,
  agreement: BeatAgreement | null,
  around: AroundBeats,
): TraceFault[] {
  const { lengthS } = around;
  if (lengthS < least.s)
    return [{ fault: 'too short', hides: beats === null ? 'beats' : 'nothing', lengthS }];
  if (beats === null || agreement === null) return [noSteadyBeat];
  if (agreement.skewness < -0.6) return [{ fault: 'inverted', hides: 'beats' }];
  if (isNoPulse(agreement)) return [noSteadyBeat];
  const { lowestPerMin, highestPerMin } = readableRate;
  if (beats.ratePerMin > highestPerMin || beats.ratePerMin < lowestPerMin) return [noSteadyBeat];
  return [...doubtsOfRate(beats, found, agreement, around), ...doubtsOfPressure(beats, agreement, around)];
}

/** Breathing at half the rate of a slow heart makes so few beats seem to take turns, if the small ones are as tall as this (own rules). */
const byBreathing = { beats: 10, small: 0.78 } as const;

/** Beyond this share at another level it is not known which level is the usual one (own rule). */
const mostOffLevel = 0.42;
/** Uneven beats move the level by themselves, and what was left out for it can be a part of them. */
const mostOffUneven = 0.09;

/** A strip shorter than this, of a breath or two, doesn't show which level is the usual one, s (own rule). */
const shortS = 10;

/** Where the level moved, and means and medians are further apart, beats of both levels were averaged (own rule). */
const mostLopsidedMmHg = 4.5;

/** Breathing moves the level of some seconds by less (own rule). */
const mostLevelRangeMmHg = 13;

/** The other rate that the trace could have; nothing where it could have none. */
function openRate(
  beats: BeatFindings,
  found: FoundBeats,
  agreement: BeatAgreement,
  around: AroundBeats,
): number | undefined {
  const isPaused = isTold(around.patient, 'pauses');
  // What takes turns, or is uneven, was told apart already.
  const hidesSecond = agreement.hidesSecond && around.patient.length === 0;
  return (
    couldBe(found, beats, agreement, around)[0] ??
    (isPaused ? undefined : otherRate(beats, agreement, found.intervalsS)) ??
    (takeTurnsAsSwings(beats, agreement, around.patient) ? beats.ratePerMin / 2 : undefined) ??
    (agreement.hidesBeats || hidesSecond || agreement.climbsLong ? beats.ratePerMin * 2 : undefined)
  );
}

/** A doubt where the beats are too few for what is told of them; else nothing. */
function tooFew(
  beats: BeatFindings,
  { smallToTall }: BeatAgreement,
  patient: readonly PatientFinding[],
): TraceFault | undefined {
  const isIrregular = isTold(patient, 'irregular');
  // Breathing and chance make a rhythm of a few beats.
  const couldBreathe =
    isTold(patient, 'every second small') &&
    beats.ratePerMin < breathsInTurn &&
    smallToTall > byBreathing.small;
  const isUneven = beats.intervalVariation > evenBeats || patient.length > 0;
  const wanted = couldBreathe ? byBreathing.beats : isUneven ? least.unevenBeats : least.beats;
  // One pause more or less changes the rate of a few seconds, one beat more or less that of beats without a pattern.
  const coveredS = (60 * beats.count) / beats.ratePerMin;
  const vague = beats.intervalVariation / Math.sqrt(beats.count);
  const isVague = vague > mostVague && (coveredS < shortestPatternS || isIrregular);
  if (beats.count >= wanted && !isVague) return undefined;
  return {
    fault: 'too few beats',
    hides: 'nothing',
    beats: beats.count,
    wanted: isVague ? null : wanted,
    isUneven: wanted > least.beats,
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
  if (areUnlike(beats, found, agreement, around)) faults.push({ fault: 'beats disagree', hides: 'nothing' });
  const few = tooFew(beats, agreement, patient);
  if (few !== undefined) faults.push(few);
  if (leftOut > 0.55) faults.push({ fault: 'much left out', hides: 'nothing', share: leftOut });
  // Uneven beats move the level by themselves.
  const isIrregular = isTold(patient, 'irregular');
  if (
    endsOffLevel ||
    (movesLevel && (around.lengthS < shortS || leftOut > mostOffLevel)) ||
    (isIrregular && around.leftOutBesideFlushes > mostOffUneven) ||
    (movesLevel && patient.length === 0 && agreement.lopsidedMmHg > mostLopsidedMmHg) ||
    (patient.length === 0 && levelRangeMmHg > mostLevelRangeMmHg)
  )
    faults.push({ fault: 'level changes', hides: 'nothing' });
  return faults;
}
