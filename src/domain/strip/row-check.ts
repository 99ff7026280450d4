import type { Beat, LeftOut } from './find-beats.ts';
import { laidOn, leadS, riseAt } from './pulse-train.ts';
import { noiseOf, quantile } from './smoothing.ts';
import { trainSignal } from './train-signal.ts';

/** How well the beats that were found account for the trace, as a row of strokes that make one wave. */
export interface RowCheck {
  /** What is left over beyond noise, as a share of the trace’s own ups and downs. */
  leftShare: number;
  /** Strokes that the trace wants beside the beats found, and beats that it does not want. */
  missed: number;
  madeUp: number;
  /** Where the stroke of each beat begins, in samples; NaN of a beat that has none. */
  strokesAt: number[];
}

/** A stroke that was missed has at least this share of the usual size, and of the usual rise. */
const missedFrom = 0.35;
/** Near the ends of a stretch the row is not sure, s. */
const endS = 0.5;

/** Beats of a slow heart, s, stand apart, and vary more in their shape than one wave allows: they are not checked. */
const slowS = 1.1;

/** Lays a row of strokes on the trace where beats were found, and looks what it lacks; null where it is not checked. */
export function rowCheck(
  pressures: Float64Array,
  samplesPerS: number,
  stretches: readonly LeftOut[],
  beats: readonly Beat[],
): RowCheck | null {
  if (beats.length < 4) return null;
  const lengthS = quantile(
    beats.map(({ footAt, endsAt }) => (endsAt - footAt) / samplesPerS),
    0.5,
  );
  if (lengthS > slowS) return null;
  const signal = trainSignal(pressures, samplesPerS, stretches);
  const feet = beats.map(({ footAt }) => footAt / signal.every);
  const train = laidOn(signal, feet, lengthS);
  const perS = signal.samplesPerS;
  const isInside = (s: number) =>
    signal.stretches.some(({ from, to }) => s * perS > from + endS * perS && s * perS < to - endS * perS);
  const usual = quantile(
    feet.map((foot) => riseAt(signal, foot - leadS * perS)),
    0.5,
  );
  const near = 0.3 * lengthS;
  const isBeat = (s: number) =>
    beats.some(
      ({ footAt, endsAt }) =>
        Math.min(Math.abs(s - footAt / samplesPerS), Math.abs(s - endsAt / samplesPerS)) < near,
    );
  const missed = train.strokesS.filter(
    (s, n) =>
      isInside(s) &&
      !isBeat(s) &&
      (train.sizes[n] ?? 0) > missedFrom &&
      riseAt(signal, (s - leadS) * perS) > missedFrom * usual,
  ).length;
  const madeUp = beats.filter(({ footAt }) => {
    const at = footAt / samplesPerS;
    if (!isInside(at)) return false;
    const size = Math.max(0, ...train.sizes.filter((_, n) => Math.abs((train.strokesS[n] ?? 0) - at) < near));
    return size < 0.25;
  }).length;
  const nearestTo = (at: number) => {
    const s = at / samplesPerS;
    const nearest = train.strokesS.reduce(
      (a, b) => (Math.abs(b - s) < Math.abs(a - s) ? b : a),
      Number.POSITIVE_INFINITY,
    );
    return Math.abs(nearest - s) < near ? nearest * samplesPerS : Number.NaN;
  };
  const noise = noiseOf(pressures);
  const left = train.leftSquares - 0.7 * noise * noise * signal.noiseGain * train.count;
  return {
    leftShare: Math.max(0, left) / Math.max(1e-9, train.allSquares),
    missed,
    madeUp,
    strokesAt: beats.map(({ footAt }) => nearestTo(footAt)),
  };
}
