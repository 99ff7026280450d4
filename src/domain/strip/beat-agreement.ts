import { selfLikeness } from './beat-hypotheses.ts';
import type { FoundBeats, LeftOut } from './find-beats.ts';
import { mean, quantile, standardDeviation, thinned } from './smoothing.ts';
import { slopeSkewness } from './trace-faults.ts';

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
}

function correlation(a: Float64Array, b: Float64Array): number {
  const [ma, mb] = [mean(a), mean(b)];
  let [ab, aa, bb] = [0, 0, 0];
  for (let i = 0; i < a.length; i += 1) {
    const [x, y] = [(a[i] ?? 0) - ma, (b[i] ?? 0) - mb];
    ab += x * y;
    aa += x * x;
    bb += y * y;
  }
  return aa > 0 && bb > 0 ? ab / Math.sqrt(aa * bb) : 0;
}

/** Power of the nth harmonic of a beat. */
function harmonicPower(beat: Float64Array, n: number): number {
  let [re, im] = [0, 0];
  for (const [i, p] of beat.entries()) {
    re += p * Math.cos((2 * Math.PI * n * i) / beat.length);
    im += p * Math.sin((2 * Math.PI * n * i) / beat.length);
  }
  return re * re + im * im;
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
  const lengths = beats.map(({ footAt, endsAt }) => endsAt - footAt);
  const length = Math.max(4, Math.round(0.85 * quantile(lengths, 0.15)));
  const before = Math.round(0.15 * length);
  const parts = beats
    .map((beat) => ({ ...beat, from: Math.max(0, Math.round(beat.halfUpAt) - before) }))
    .filter(({ from }) => from + length <= pressures.length)
    .map(({ from, sapMmHg, dapMmHg }) => {
      const part = pressures.subarray(from, from + length);
      // Small and tall beats count the same.
      return part.map((p) => (p - dapMmHg) / Math.max(1, sapMmHg - dapMmHg));
    });
  const template = new Float64Array(length);
  for (const part of parts)
    for (let i = 0; i < length; i += 1) template[i] = (template[i] ?? 0) + (part[i] ?? 0);
  const likeness = parts.map((part) => correlation(part, template));
  const apart = mean(intervalsS);
  // 100 values a second are enough to compare.
  const every = Math.max(1, Math.floor(samplesPerS / 100));
  const stretches = read.map(({ from, to }) => thinned(pressures.subarray(from, to), every));
  const usualS = quantile(intervalsS, 0.5);
  const after = (n: number) =>
    selfLikeness(stretches, Math.round((n * usualS * samplesPerS) / every), samplesPerS / every);
  const usual = beats[Math.floor(beats.length / 2)];
  const whole = usual ? pressures.slice(usual.footAt, usual.endsAt) : new Float64Array(0);
  const powers = [1, 2, 3].map((n) => harmonicPower(whole, n));
  return {
    alike: quantile(likeness, 0.5),
    alikeShare: likeness.filter((one) => one > 0.8).length / likeness.length,
    intervalVariation: standardDeviation(intervalsS) / apart,
    pulseVariation: standardDeviation(pulses) / Math.max(1, mean(pulses)),
    repeats: Math.max(after(1), after(2)),
    skewness: slopeSkewness(
      Float64Array.from(stretches.flatMap((one) => Array.from(one))),
      samplesPerS / every,
      Math.max(0.02, 0.1 * usualS),
    ),
    overtones:
      ((powers[1] ?? 0) + (powers[2] ?? 0)) /
      Math.max(
        1e-9,
        powers.reduce((a, b) => a + b, 0),
      ),
  };
}
