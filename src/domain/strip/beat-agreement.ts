import { selfLikeness } from './beat-hypotheses.ts';
import { correlation } from './correlation.ts';
import { type ExtraWaves, weighedExtra } from './extra-waves.ts';
import type { Beat, FoundBeats, LeftOut } from './find-beats.ts';
import { boxSmoothed, mean, quantile, standardDeviation, thinned } from './smoothing.ts';
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
  /** How far above the foot before, by its pulse, beats begin that follow soon enough to be swings; null where they are few. */
  soonTrough: number | null;
  /** Whether waves within the beats could be beats that were not counted. */
  hidesBeats: boolean;
  /** By how much means and medians of systolic or diastolic differ: beats of another kind are among them, mmHg. */
  lopsidedMmHg: number;
}

/** Waves within beats, from the highest pressure on: the largest rise before the next foot, whatever set of beats was weighed. */
function hidesBeats(pressures: Float64Array, beats: readonly Beat[], samplesPerS: number): boolean {
  const longerS = quantile(
    beats.map(({ footAt, endsAt }) => (endsAt - footAt) / samplesPerS),
    0.5,
  );
  const smooth = boxSmoothed(pressures, Math.min(0.04, 0.1 * longerS) * samplesPerS);
  const usual = quantile(
    beats.map(({ sapMmHg, dapMmHg }) => sapMmHg - dapMmHg),
    0.5,
  );
  const found: { ratio: number; delayS: number; trough: number }[] = [];
  for (const { peakAt, endsAt, dapMmHg } of beats) {
    let [lowAt, rise, delayS, trough] = [peakAt, 0, 0, 0];
    // The next upstroke begins a little before the foot that its tangent gives.
    for (let i = peakAt; i < endsAt - 0.06 * longerS * samplesPerS; i += 1) {
      const [p, low] = [smooth[i] ?? 0, smooth[lowAt] ?? 0];
      if (p < low) lowAt = i;
      else if (p - low > rise)
        [rise, delayS, trough] = [p - low, (i - peakAt) / samplesPerS, (low - dapMmHg) / usual];
    }
    if (rise > 0.3 * usual) found.push({ ratio: rise / usual, delayS, trough });
  }
  const middle = (of: 'ratio' | 'delayS' | 'trough') =>
    quantile(
      found.map((one) => one[of]),
      0.5,
    );
  const perBeat = found.length / beats.length;
  // Before a pause the wave runs off for longer, and shows more than in other beats.
  if (found.length < 2 || perBeat < 0.35) return false;
  const waves: ExtraWaves = {
    perBeat,
    ratio: middle('ratio'),
    leastRatio: middle('ratio'),
    delayS: middle('delayS'),
    trough: middle('trough'),
    longerS,
    shorterPerMin: (60 * (1 + perBeat)) / longerS,
    gain: () => 0,
  };
  // A line that rings swings within each beat, and a slow pulse has a dicrotic wave.
  const isSwing = waves.delayS < 0.23 && waves.trough < 0.33;
  if (longerS > 0.6 || isSwing) return false;
  return weighedExtra(waves) !== 'no beats';
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
    soonTrough: soonTroughOf(beats, samplesPerS, apart),
    hidesBeats: hidesBeats(pressures, beats, samplesPerS),
    lopsidedMmHg: Math.max(
      lopsided(beats.map(({ sapMmHg }) => sapMmHg)),
      lopsided(beats.map(({ dapMmHg }) => dapMmHg)),
    ),
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
