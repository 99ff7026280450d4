import { meanBeat } from './averaged-out.ts';
import type { Beat } from './find-beats.ts';
import { boxSmoothed, noiseOf, quantile, standardDeviation } from './smoothing.ts';

/** Smoothed twice over this, s: noise has no say, and two strokes 0.1 s apart stay two. */
const smoothS = 0.012;
/** A slope is taken over this to either side, s. */
const slopeS = 0.006;

/**
 * How far the upstroke of a beat breaks off before it goes on: from the lesser of its two steepest parts down to the slope
 * between them, by the steepest; 0 where it rises in one go, above 1 where it falls in between.
 */
function brokenOff(smooth: Float64Array, samplesPerS: number, { footAt, peakAt, endsAt }: Beat): number {
  const reach = Math.max(1, Math.round(slopeS * samplesPerS));
  const from = Math.max(reach, footAt - Math.round(0.05 * (endsAt - footAt)));
  const to = Math.min(peakAt, smooth.length - 1 - reach);
  if (to <= from) return 0;
  const slopeAt = (i: number) => (smooth[i + reach] ?? 0) - (smooth[i - reach] ?? 0);
  const steepestFrom = new Float64Array(to - from + 1);
  let after = Number.NEGATIVE_INFINITY;
  for (let i = to; i >= from; i -= 1) {
    after = Math.max(after, slopeAt(i));
    steepestFrom[i - from] = after;
  }
  let [before, most] = [Number.NEGATIVE_INFINITY, 0];
  for (let i = from; i <= to; i += 1) {
    before = Math.max(before, slopeAt(i));
    most = Math.max(most, Math.min(before, steepestFrom[i - from] ?? 0) - slopeAt(i));
  }
  return after > 0 ? most / after : 0;
}

/** The largest rise after a beat's highest pressure, before the next upstroke, by its pulse. */
function secondRise(smooth: Float64Array, samplesPerS: number, beat: Beat): number {
  let [low, most] = [Number.POSITIVE_INFINITY, 0];
  for (let i = beat.peakAt; i < beat.endsAt - 0.04 * samplesPerS; i += 1) {
    const p = smooth[i] ?? 0;
    low = Math.min(low, p);
    most = Math.max(most, p - low);
  }
  return most / Math.max(1, beat.sapMmHg - beat.dapMmHg);
}

/**
 * Beats of this length can be two of a fast heart, melted into one: their upstroke breaks off, and they peak in their first half;
 * a wave after the notch that is higher than the stroke's own peak comes later, but not as late as that of two so near that
 * they nearly are one. A rise within the beats of more than a third could be a beat at any rate (own rules, measured on made strips).
 */
const melted = {
  shortestS: 0.33,
  longS: 0.46,
  longestS: 0.65,
  brokenOff: 0.5,
  peaksBefore: 0.49,
  fallsIn: 1,
  /** Of beats as short as a fast heart's pairs. */
  late: { from: 0.53, before: 0.6, brokenOff: 0.6 },
  /** Of longer ones. */
  long: { peaksBefore: 0.47, brokenOff: 0.6 },
} as const;
/**
 * Longer beats still, through a line that swings: the upstroke falls in between, and breaks off even where that swinging is smoothed
 * away, over so much, s; and the line swings after the peak by a part of the pulse, too.
 */
const swinging = { longestS: 1.1, fallsIn: 1.05, brokenOff: 0.5, smoothS: 0.06, swing: 0.08 } as const;
const tallestSecond = 0.36;
/** In beats as long as two of a fast heart, s, less is one already. */
const secondOfTwo = { fromS: 0.35, toS: 0.5, tallest: 0.26 } as const;
/** Smoothed over this for the second rise, s: ringing that is quick has no say. */
const calmS = 0.03;

/** By how much the upstroke of beats that peak there must break off to be two; infinite where it tells nothing. */
function leastBroken(usualS: number, peaksAt: number): number {
  const { long, late } = melted;
  if (usualS > melted.longS) {
    if (peaksAt < long.peaksBefore) return long.brokenOff;
    return peaksAt < melted.peaksBefore ? melted.fallsIn : Number.POSITIVE_INFINITY;
  }
  if (peaksAt <= melted.peaksBefore) return melted.brokenOff;
  if (peaksAt <= late.from) return melted.fallsIn;
  return peaksAt < late.before ? late.brokenOff : Number.POSITIVE_INFINITY;
}

function smoothedBy(trace: Float64Array, samples: number): Float64Array {
  const width = Math.max(1, samples);
  return boxSmoothed(boxSmoothed(trace, width), width);
}

/** From this noise on, by the pulse, an upstroke is looked at in the mean of all beats, if they are as even as that. */
const noisy = { share: 0.02, uneven: 0.06 } as const;

/** The mean of noisy, even beats, with the one beat that it holds; null where there is little noise or few beats. */
function meanOfNoisy(
  pressures: Float64Array,
  beats: readonly Beat[],
): { mean: Float64Array; beat: Beat } | null {
  const middle = (of: (beat: Beat) => number) => quantile(beats.map(of), 0.5);
  const lengths = beats.map(({ footAt, endsAt }) => endsAt - footAt);
  if (noiseOf(pressures) < noisy.share * middle(({ sapMmHg, dapMmHg }) => sapMmHg - dapMmHg)) return null;
  if (standardDeviation(lengths) > noisy.uneven * quantile(lengths, 0.5)) return null;
  const length = quantile(lengths, 0.5);
  const before = Math.round(length / 2);
  const sum = meanBeat(pressures, beats, before, before + Math.round(length));
  const [usual] = beats;
  if (sum === null || usual === undefined) return null;
  const footAt = before - Math.round(middle((beat) => beat.halfUpAt - beat.footAt));
  const peakAt = before + Math.round(middle((beat) => beat.peakAt - beat.halfUpAt));
  return { mean: sum, beat: { ...usual, footAt, peakAt, endsAt: footAt + Math.round(length) } };
}

/**
 * A heart ejects for 0.3 s at most, a fast one for two fifths of a beat (common practice, no source). So a slow pulse that climbs
 * for longer is two strokes, and so is a climb that halts on its way. Steady beats peaked within 0.44 s, those that halt first
 * within 0.41 s or, of a fast heart, two fifths of a beat; there a wave after the notch that tops the stroke's own peak begins
 * above 0.86 of it (measured on made strips).
 */
const climb = {
  halts: { below: 0.8, slope: 0.15, from: 0.25, beforePeakS: 0.05 },
  slow: { fromS: 0.9, peaksByS: 0.45, haltsByS: 0.415 },
  fast: { belowS: 0.6, haltsBy: 0.4 },
} as const;

/** How high a beat has climbed, by its pulse, where it first halts before its peak; 1 where it climbs in one go. */
function haltsAt(
  smooth: Float64Array,
  samplesPerS: number,
  { footAt, peakAt, dapMmHg, sapMmHg }: Beat,
): number {
  const { below, slope, from, beforePeakS } = climb.halts;
  const reach = Math.max(1, Math.round(slopeS * samplesPerS));
  const slopeAt = (i: number) => (smooth[i + reach] ?? 0) - (smooth[i - reach] ?? 0);
  let steepest = 0;
  for (let i = Math.max(reach, footAt); i < peakAt; i += 1) steepest = Math.max(steepest, slopeAt(i));
  let seen = 0;
  for (let i = Math.max(reach, footAt); i < peakAt - beforePeakS * samplesPerS; i += 1) {
    seen = Math.max(seen, slopeAt(i));
    const climbed = ((smooth[i] ?? 0) - dapMmHg) / Math.max(1, sapMmHg - dapMmHg);
    if (climbed > below) return 1;
    if (climbed > from && seen > 0.4 * steepest && slopeAt(i) < slope * seen) return climbed;
  }
  return 1;
}

/** Whether beats so long climb for longer than one stroke lasts, or halt on their way up. */
function climbsTwice(usualS: number, peaksAtS: number, halts: () => boolean): boolean {
  if (usualS > climb.slow.fromS)
    return peaksAtS > climb.slow.peaksByS || (peaksAtS > climb.slow.haltsByS && halts());
  if (usualS < melted.shortestS || usualS > climb.fast.belowS) return false;
  return peaksAtS > climb.fast.haltsBy * usualS && halts();
}

/** Whether most beats look as if each hid a second stroke. */
export function hidesSecond(pressures: Float64Array, samplesPerS: number, beats: readonly Beat[]): boolean {
  const smoothed = (s: number) => smoothedBy(pressures, s * samplesPerS);
  const usualS =
    quantile(
      beats.map(({ footAt, endsAt }) => endsAt - footAt),
      0.5,
    ) / samplesPerS;
  const middle = (of: (beat: Beat) => number) => quantile(beats.map(of), 0.5);
  const calm = smoothed(calmS);
  const second = middle((beat) => secondRise(calm, samplesPerS, beat));
  const couldBeTwo = usualS > secondOfTwo.fromS && usualS < secondOfTwo.toS;
  if (second > (couldBeTwo ? secondOfTwo.tallest : tallestSecond)) return true;
  const averaged = meanOfNoisy(pressures, beats);
  const isNoisy = noiseOf(pressures) > noisy.share * middle(({ sapMmHg, dapMmHg }) => sapMmHg - dapMmHg);
  const halts = () => {
    if (averaged !== null)
      return haltsAt(smoothedBy(averaged.mean, smoothS * samplesPerS), samplesPerS, averaged.beat) < 1;
    const smooth = smoothed(smoothS);
    return !isNoisy && middle((beat) => haltsAt(smooth, samplesPerS, beat)) < climb.halts.below;
  };
  const peaksAtS = middle(({ footAt, peakAt }) => peakAt - footAt) / samplesPerS;
  if (climbsTwice(usualS, peaksAtS, halts)) return true;
  if (usualS < melted.shortestS || usualS > swinging.longestS) return false;
  const breaksOff = (s: number) => {
    if (averaged !== null)
      return brokenOff(smoothedBy(averaged.mean, s * samplesPerS), samplesPerS, averaged.beat);
    const smooth = smoothed(s);
    return middle((beat) => brokenOff(smooth, samplesPerS, beat));
  };
  if (usualS > melted.longestS) {
    if (second < swinging.swing || breaksOff(smoothS) < swinging.fallsIn) return false;
    return breaksOff(swinging.smoothS) > swinging.brokenOff;
  }
  const peaksAt = middle(({ footAt, peakAt, endsAt }) => (peakAt - footAt) / (endsAt - footAt));
  return breaksOff(smoothS) > leastBroken(usualS, peaksAt);
}

/**
 * Two strokes of a fast heart that a slow line melts into one climb for about half of the beat, no quicker than they fall, and
 * hardly show an overtone: made ones had 0.025 or less. Steady beats this long peak by 0.46 of a beat, rise the quicker
 * (skewness 0.2 and more), or have the overtones of a large wave after the notch (0.037 and more).
 */
const melts = { shortestS: 0.33, longestS: 0.6, peaksBy: 0.46, skewness: 0.1, overtones: 0.03 } as const;

/** Whether beats climb so long that they could be two strokes each, melted. */
export function climbsLong(
  beats: readonly Beat[],
  samplesPerS: number,
  { skewness, overtones }: { skewness: number; overtones: number },
): boolean {
  const middle = (of: (beat: Beat) => number) => quantile(beats.map(of), 0.5);
  const usualS = middle(({ footAt, endsAt }) => endsAt - footAt) / samplesPerS;
  if (usualS < melts.shortestS || usualS > melts.longestS) return false;
  if (skewness > melts.skewness || overtones > melts.overtones) return false;
  return middle(({ footAt, peakAt, endsAt }) => (peakAt - footAt) / (endsAt - footAt)) > melts.peaksBy;
}
