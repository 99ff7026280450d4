import type { Beat, LeftOut } from './find-beats.ts';
import { laidOn, leadS, type PulseTrain, riseAt } from './pulse-train.ts';
import { boxSmoothed, mean, noiseOf, quantile, standardDeviation } from './smoothing.ts';
import { firstPart, type TrainSignal, trainSignal } from './train-signal.ts';

/** How well the beats that were found account for the trace, as a row of strokes that make one wave. */
export interface RowCheck {
  /** What is left over beyond noise, as a share of the trace’s own ups and downs. */
  leftShare: number;
  /** Strokes that the trace wants beside the beats found, and beats that it does not want. */
  missed: number;
  madeUp: number;
  /** Where the stroke of each beat begins, in samples; NaN of a beat that has none. */
  strokesAt: number[];
  /** The rate if each beat hides a second one that the trace shows and a row with it is far better, /min; null where none is. */
  secondPerMin: number | null;
}

/** A stroke that was missed has at least this share of the usual size, and of the usual rise. */
const missedFrom = 0.35;
/** Near the ends of a stretch the row is not sure, s. */
const endS = 0.5;

/** A second stroke is looked for at these shares of a beat, no nearer than this, in even beats of a fast heart, on so much, s. */
const second = {
  shares: [0.3, 0.37, 0.44, 0.51, 0.58, 0.65, 0.72],
  nearestS: 0.1,
  longestS: 0.8,
  mostUneven: 0.08,
  onS: 15,
  /** The row with it leaves so many times less over, and its rise shows: by the beat’s, after a fall. */
  times: 1.5,
  rise: 0.3,
  fall: 0.03,
} as const;

/** How high the trace rises again after the peak of a beat, median of the beats, by their own rise. */
function secondRise(
  trace: Float64Array,
  samplesPerS: number,
  strokesS: readonly number[],
  delayS: number,
): number {
  const shares = strokesS.slice(0, -1).map((strokeS, n) => {
    const [from, split, to] = [strokeS, strokeS + delayS, strokesS[n + 1] ?? strokeS].map((s) =>
      Math.max(0, Math.round(s * samplesPerS)),
    );
    let [low, peak] = [from ?? 0, from ?? 0];
    for (let i = from ?? 0; i < (split ?? 0); i += 1) if ((trace[i] ?? 0) > (trace[peak] ?? 0)) peak = i;
    for (let i = from ?? 0; i < peak; i += 1) if ((trace[i] ?? 0) < (trace[low] ?? 0)) low = i;
    const rise = (trace[peak] ?? 0) - (trace[low] ?? 0);
    let [lowest, most, fallen] = [trace[peak] ?? 0, 0, 0];
    for (let i = peak; i < (to ?? 0) - 0.03 * samplesPerS; i += 1) {
      lowest = Math.min(lowest, trace[i] ?? 0);
      const by = (trace[i] ?? 0) - lowest;
      if (by > most) [most, fallen] = [by, (trace[peak] ?? 0) - lowest];
    }
    return fallen < second.fall * rise ? 0 : most / Math.max(1, rise);
  });
  return shares.length === 0 ? 0 : quantile(shares, 0.5);
}

/** The rate with a second stroke in each beat, where the trace shows one and a row with it leaves far less over. */
function secondPerMin(
  pressures: Float64Array,
  samplesPerS: number,
  whole: TrainSignal,
  train: PulseTrain,
  lengthS: number,
): number | null {
  const apart = train.strokesS.slice(1).map((s, n) => s - (train.strokesS[n] ?? 0));
  const near = apart.filter((s) => s < 1.6 * lengthS);
  if (
    lengthS > second.longestS ||
    near.length < 4 ||
    standardDeviation(near) > second.mostUneven * mean(near)
  )
    return null;
  const trace = boxSmoothed(pressures, Math.max(1, 0.02 * samplesPerS));
  if (secondRise(trace, samplesPerS, train.strokesS, 0.3 * lengthS) < second.rise) return null;
  const signal = firstPart(whole, second.onS);
  const perS = signal.samplesPerS;
  const own = train.strokesS.filter((s) => s * perS < signal.values.length);
  const one = laidOn(
    signal,
    own.map((s) => s * perS),
    lengthS,
    { pursues: false },
  );
  const tried = second.shares
    .map((share) => share * lengthS)
    .filter((delayS) => delayS > second.nearestS && lengthS - delayS > second.nearestS)
    .map((delayS) =>
      laidOn(
        signal,
        own.flatMap((s) => [s * perS, (s + delayS) * perS]),
        lengthS / 2,
        { pursues: false, most: 3 },
      ),
    );
  const [best] = tried.toSorted((a, b) => a.leftSquares - b.leftSquares);
  if (best === undefined) return null;
  const both = laidOn(
    signal,
    best.strokesS.map((s) => s * perS),
    lengthS / 2,
    { pursues: false },
  );
  const noise = noiseOf(pressures);
  const expected = 0.7 * noise * noise * signal.noiseGain * one.count;
  const times = (one.leftSquares - expected) / Math.max(1e-9, both.leftSquares - expected);
  return times > second.times || both.leftSquares < expected ? 120 / lengthS : null;
}

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
    secondPerMin: secondPerMin(pressures, samplesPerS, signal, train, lengthS),
  };
}
