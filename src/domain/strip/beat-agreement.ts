import { selfLikeness } from './beat-hypotheses.ts';
import { overtonesOf } from './beat-overtones.ts';
import type { Beat, FoundBeats, LeftOut } from './find-beats.ts';
import { likenessOfBeats } from './likeness-of-beats.ts';
import { climbsLong, hidesSecond } from './second-strokes.ts';
import { mean, quantile, standardDeviation, thinned } from './smoothing.ts';
import { slopeSkewness } from './trace-shape.ts';
import { runsOf, turnsOfIntervals, turnsOfPulses } from './turns-taken.ts';
import { hidesBeats, inPause, tallestLateRise, waveInPause } from './waves-within-beats.ts';

/** How far the beats bear each other out. */
export interface BeatAgreement {
  /** Median correlation of a beat with the mean of all, laid over each other at their upstrokes, over most of a short beat. */
  alike: number;
  /** Share of beats whose correlation is above 0.8. */
  alikeShare: number;
  /** Standard deviation of the intervals as a share of their mean. */
  intervalVariation: number;
  /** Standard deviation of the pulse pressures as a share of their mean. */
  pulseVariation: number;
  /** How alike the trace is to itself one, or two, beats later: 1 is the same. */
  repeats: number;
  /** Above 0 where it rises quicker than it falls, as a pulse does; 0 for a sine or noise. */
  skewness: number;
  /** Share of the beats' variance that lies in the second and third harmonic of a beat; 0 for a sine. */
  overtones: number;
  /** How far above the foot before, by its pulse, beats begin that follow soon enough to be swings; null where they are few. */
  soonTrough: number | null;
  /** Whether waves within the beats could be beats that were not counted. */
  hidesBeats: boolean;
  /** The short ones of intervals that take turns; null where they do not. */
  turns: { shortS: number } | null;
  /** Small beats by the tall ones, where they take turns; 1 where they do not. */
  smallToTall: number;
  /** Whether the pauses hold a wave where a beat could have come early; other beats have none there. */
  pausesHideBeats: boolean;
  /** How tall it is, by the pulse. */
  waveInPause: number;
  /** The tallest rise of any beat later than a stroke and its notch last, beside the usual one, by the pulse: a beat that was not counted. */
  lateRise: number;
  /** Whether the beats look as if each hid a second stroke. */
  hidesSecond: boolean;
  /** Whether the beats climb for as long as they fall, as no single stroke does at such a rate. */
  climbsLong: boolean;
  /** By how much means and medians of systolic or diastolic differ: beats of another kind are among them, mmHg. */
  lopsidedMmHg: number;
}

/** Mean and median are further apart where a few beats are unlike the others. */
function lopsided(values: readonly number[]): number {
  return Math.abs(mean(values) - quantile(values, 0.5));
}

/** Swings of a line come so soon, s, and clearly sooner than the beats; after most beats, not now and then. */
const soon = { latestS: 0.23, ofMean: 0.87, leastShare: 0.2 } as const;

function soonTroughOf(beats: readonly Beat[], samplesPerS: number, meanS: number): number | null {
  const troughs = beats.slice(1).flatMap((beat, i) => {
    const before = beats[i];
    if (!before || Math.abs(beat.footAt - before.endsAt) > 1) return [];
    const apartS = (beat.halfUpAt - before.halfUpAt) / samplesPerS;
    if (apartS > Math.min(soon.latestS, soon.ofMean * meanS)) return [];
    return [(beat.dapMmHg - before.dapMmHg) / Math.max(1, before.sapMmHg - before.dapMmHg)];
  });
  return troughs.length < soon.leastShare * beats.length ? null : quantile(troughs, 0.5);
}

/** So many values a second are enough to compare a trace with itself. */
const enoughPerS = 100;

/** What the trace shows by itself, whatever is taken for a beat: whether it repeats, and rises quicker than it falls. */
function shapeOfTrace(
  pressures: Float64Array,
  fullPerS: number,
  read: readonly LeftOut[],
  usualS: number,
): { repeats: number; skewness: number } {
  const every = Math.max(1, Math.floor(fullPerS / enoughPerS));
  const samplesPerS = fullPerS / every;
  const stretches = read.map(({ from, to }) => thinned(pressures.subarray(from, to), every));
  const after = (n: number) =>
    selfLikeness(stretches, Math.round((n * usualS * fullPerS) / every), samplesPerS);
  return {
    repeats: Math.max(after(1), after(2)),
    skewness: slopeSkewness(
      Float64Array.from(stretches.flatMap((one) => Array.from(one))),
      samplesPerS,
      Math.max(0.02, 0.1 * usualS),
    ),
  };
}

/** How far the beats agree; null of fewer than three. */
export function beatAgreement(
  pressures: Float64Array,
  samplesPerS: number,
  { beats, intervalsS }: FoundBeats,
  read: readonly LeftOut[],
): BeatAgreement | null {
  if (beats.length < 3 || intervalsS.length < 2) return null;
  const pulses = beats.map(({ sapMmHg, dapMmHg }) => sapMmHg - dapMmHg);
  const runs = runsOf(beats, 4);
  const [pulseTurns, lengthTurns] = [turnsOfPulses(runs), turnsOfIntervals(runs)];
  const takeTurns =
    lengthTurns.share > 0.85 && lengthTurns.low < 0.85 * lengthTurns.high && beats.length >= 8;
  const apart = mean(intervalsS);
  const shape = shapeOfTrace(pressures, samplesPerS, read, quantile(intervalsS, 0.5));
  const overtones = overtonesOf(pressures, beats);
  const inPauses = waveInPause(pressures, beats, samplesPerS);
  return {
    ...likenessOfBeats(pressures, beats, takeTurns),
    ...shape,
    turns: takeTurns ? { shortS: lengthTurns.low / samplesPerS } : null,
    smallToTall: pulseTurns.share > 0.7 ? pulseTurns.low / pulseTurns.high : 1,
    soonTrough: soonTroughOf(beats, samplesPerS, apart),
    hidesSecond: hidesSecond(pressures, samplesPerS, beats),
    climbsLong: climbsLong(beats, samplesPerS, { skewness: shape.skewness, overtones }),
    pausesHideBeats: inPauses > inPause.wave,
    waveInPause: inPauses,
    lateRise: tallestLateRise(pressures, beats, samplesPerS),
    hidesBeats: hidesBeats(pressures, beats, samplesPerS),
    lopsidedMmHg: Math.max(
      lopsided(beats.map(({ sapMmHg }) => sapMmHg)),
      lopsided(beats.map(({ dapMmHg }) => dapMmHg)),
    ),
    intervalVariation: standardDeviation(intervalsS) / apart,
    pulseVariation: standardDeviation(pulses) / Math.max(1, mean(pulses)),
    overtones,
  };
}
