import type { Beat } from './find-beats.ts';
import { boxSmoothed, quantile } from './smoothing.ts';

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
 * Beats of this length can be two of a heart as fast as hearts get, melted into one: their upstroke breaks off, and they peak in
 * their first half (a wave after the notch that is higher than the stroke's own peak comes later). Longer ones only if it falls
 * in between. A rise within the beats of more than a third could be a beat at any rate (own rules, measured on made strips).
 */
const melted = {
  shortestS: 0.33,
  longS: 0.46,
  longestS: 0.52,
  brokenOff: 0.5,
  fallsIn: 1,
  peaksBefore: 0.49,
} as const;
const tallestSecond = 0.36;
/** Smoothed over this for the second rise, s: ringing that is quick has no say. */
const calmS = 0.03;

/** Whether most beats look as if each hid a second stroke. */
export function hidesSecond(pressures: Float64Array, samplesPerS: number, beats: readonly Beat[]): boolean {
  const smoothed = (s: number) => {
    const width = Math.max(1, s * samplesPerS);
    return boxSmoothed(boxSmoothed(pressures, width), width);
  };
  const usualS =
    quantile(
      beats.map(({ footAt, endsAt }) => endsAt - footAt),
      0.5,
    ) / samplesPerS;
  const middle = (of: (beat: Beat) => number) => quantile(beats.map(of), 0.5);
  const calm = smoothed(calmS);
  if (middle((beat) => secondRise(calm, samplesPerS, beat)) > tallestSecond) return true;
  if (usualS < melted.shortestS || usualS > melted.longestS) return false;
  const peaksAt = middle(({ footAt, peakAt, endsAt }) => (peakAt - footAt) / (endsAt - footAt));
  if (peaksAt > melted.peaksBefore) return false;
  const fine = smoothed(smoothS);
  const least = usualS > melted.longS ? melted.fallsIn : melted.brokenOff;
  return middle((beat) => brokenOff(fine, samplesPerS, beat)) > least;
}
