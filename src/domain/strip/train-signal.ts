import type { LeftOut } from './find-beats.ts';
import { boxSmoothed } from './smoothing.ts';

/** A trace as a row of beats is laid on it: without its slow level, smoothed, and no more values a second than that needs. */
export interface TrainSignal {
  values: Float64Array;
  /** 1 where the trace is to be matched; 0 in what is left out and while the filter settles. */
  counts: Uint8Array;
  samplesPerS: number;
  /** Every so many samples of the trace one value. */
  every: number;
  stretches: readonly LeftOut[];
  /** Variance of white noise of 1 mmHg² on the trace that is left on the values. */
  noiseGain: number;
}

/** So many values a second show beats of 340 /min and ringing of up to about 20 Hz. */
const enoughPerS = 60;
/** Smoothed twice over this, s. */
const smoothS = 0.03;
/** The slow level below this is taken away, twice: breathing and drift have no say, Hz. */
const levelHz = 1.1;
/** So long the filter takes to settle, s. */
export const settlesS = 0.3;

/** The stretches of a trace as a row of beats is laid on them. `stretches` and the trace in its own sample numbers. */
export function trainSignal(
  pressures: Float64Array,
  fullPerS: number,
  stretches: readonly LeftOut[],
): TrainSignal {
  const every = Math.max(1, Math.floor(fullPerS / enoughPerS));
  const samplesPerS = fullPerS / every;
  const count = Math.ceil(pressures.length / every);
  const [values, counts] = [new Float64Array(count), new Uint8Array(count)];
  const keep = Math.exp((-2 * Math.PI * levelHz) / samplesPerS);
  const width = Math.max(1, smoothS * fullPerS);
  for (const { from, to } of stretches) {
    const part = boxSmoothed(boxSmoothed(pressures.subarray(from, to), width), width);
    const first = Math.ceil(from / every);
    const offset = first * every - from;
    let [once, twice, before, onceBefore] = [0, 0, part[offset] ?? 0, 0];
    for (let i = 0; offset + i * every < part.length; i += 1) {
      const p = part[offset + i * every] ?? 0;
      once = keep * (once + p - before);
      twice = keep * (twice + once - onceBefore);
      [before, onceBefore] = [p, once];
      values[first + i] = twice;
      counts[first + i] =
        i >= settlesS * samplesPerS && offset + i * every < part.length - smoothS * fullPerS ? 1 : 0;
    }
  }
  const odd = 2 * Math.max(0, Math.round((width - 1) / 2)) + 1;
  const noiseGain = (2 * odd * odd + 1) / (3 * odd ** 3);
  const own = stretches.map(({ from, to }) => ({
    from: Math.ceil(from / every),
    to: Math.floor(to / every),
  }));
  return { values, counts, samplesPerS, every, stretches: own, noiseGain };
}
