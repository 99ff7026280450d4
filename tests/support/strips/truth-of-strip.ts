import { standardDeviation } from '../../../src/domain/strip/smoothing.ts';
import type { MadeStrip } from './made-strip.ts';

/** One beat as a perfect reader would read it off the clean wave. */
export interface TrueBeat {
  peakS: number;
  sapMmHg: number;
  dapMmHg: number;
}

/** What is true of a made strip; see docs/strip-accuracy.md for every rule. */
export interface StripTruth {
  beats: TrueBeat[];
  ratePerMin: number;
  /** The rate of all beats that were made, some before and after the strip among them. */
  longRunPerMin: number;
  /** The rate with those beats, too, that are below 40 % of the tall ones. */
  rateOfAllPerMin: number;
  /** Their pressures with those beats, too. */
  ofAll: { sapMmHg: number; dapMmHg: number };
  /** Rate and pressures of the beats of at least half the tall ones' pulse alone. */
  ofStrong: { ratePerMin: number; sapMmHg: number; dapMmHg: number };
  /** Standard deviation of the intervals of counted beats, without the first and the last, as a share of their mean. */
  intervalVariation: number;
  sapMmHg: number;
  dapMmHg: number;
  mapMmHg: number;
  pulseMmHg: number;
  /** Pulse of the smaller half of beats by that of the taller half, medians. */
  smallToTall: number;
  /** Smallest pulse of any beat by that of the tall ones. */
  leastToTall: number;
  /** Largest upswing within a beat other than its upstroke, as a share of the upstroke; median of the beats. */
  secondSwing: number;
  /** Share of a beat's ups and downs that is no sine of the beat's length; median of the beats. */
  overtones: number;
  /** Stretches in which the trace is not the pulse's, s, with the time the line needs to settle to 1 mmHg. */
  disturbed: { fromS: number; toS: number; kind: string }[];
  /** Seconds that are not disturbed, and whole beats within them. */
  clearS: number;
  clearBeats: number;
  /** Share of clear samples at a rail of the recorder. */
  pegged: number;
}

const middle = (of: readonly number[]) =>
  of.toSorted((a, b) => a - b)[Math.floor(of.length / 2)] ?? Number.NaN;
const average = (of: readonly number[]) => of.reduce((sum, one) => sum + one, 0) / of.length;

/** Largest rise within a stretch: from a low to a later high. */
function largestRise(wave: Float64Array, from: number, to: number): number {
  let [low, most] = [Number.POSITIVE_INFINITY, 0];
  for (let i = from; i < to; i += 1) {
    const p = wave[i] ?? 0;
    low = Math.min(low, p);
    most = Math.max(most, p - low);
  }
  return most;
}

/** Share of a wave's variance that no sine of its own length accounts for. */
function overtonesOf(wave: Float64Array): number {
  const level = wave.reduce((sum, p) => sum + p, 0) / wave.length;
  let [re, im, all] = [0, 0, 0];
  for (const [i, p] of wave.entries()) {
    const angle = (2 * Math.PI * i) / wave.length;
    re += (p - level) * Math.cos(angle);
    im += (p - level) * Math.sin(angle);
    all += (p - level) ** 2;
  }
  return 1 - (2 * (re * re + im * im)) / wave.length / Math.max(1e-9, all);
}

function disturbedOf({ options: { excursions, line, seconds } }: MadeStrip): StripTruth['disturbed'] {
  // Ringing of 200 mmHg dies down to 1 mmHg; a slow overdamped line creeps by its slower root.
  const w = 2 * Math.PI * line.naturalHz;
  const rootPerS =
    line.damping < 1 ? line.damping * w : w * (line.damping - Math.sqrt(line.damping ** 2 - 1));
  const settleS = Math.log(200) / rootPerS;
  return excursions.map(({ kind, atS, lengthS }) => ({
    kind,
    fromS: atS,
    toS: Math.min(seconds, atS + lengthS + settleS),
  }));
}

/**
 * Beats with their highest pressure up to the next one's foot: an early beat too weak to count, or one that a slow line melts
 * into the beat before it, adds to that beat's wave.
 */
function wholeBeats<T extends TrueBeat & { lowAt: number }>(
  wave: Float64Array,
  samplesPerS: number,
  beats: readonly T[],
): T[] {
  return beats.map((beat, i) => {
    const next = beats[i + 1]?.lowAt;
    if (next === undefined) return beat;
    let best = Math.round(beat.peakS * samplesPerS);
    for (let k = beat.lowAt; k < next; k += 1) if ((wave[k] ?? 0) > (wave[best] ?? 0)) best = k;
    return { ...beat, peakS: best / samplesPerS, sapMmHg: wave[best] ?? 0 };
  });
}

const rateOf = (beats: readonly { atS: number }[]) => {
  const [first, last] = [beats[0], beats.at(-1)];
  return first && last && last !== first ? (60 * (beats.length - 1)) / (last.atS - first.atS) : 0;
};

/** Reads the truth off the clean wave. */
export function truthOf(made: MadeStrip): StripTruth {
  const { clean, beats, options, strip } = made;
  const { samplesPerS, line, seconds } = options;
  const disturbed = disturbedOf(made);
  // A line is late by 2 ζ / ω at low frequencies.
  const lateS = line.damping / (Math.PI * line.naturalHz);
  const peaks: number[] = [];
  const begins: number[] = [];
  for (const [i, { atS }] of beats.entries()) {
    const next = beats[i + 1];
    const [from, to] = [atS + lateS, (next?.atS ?? Number.POSITIVE_INFINITY) + lateS].map((s) =>
      Math.round(s * samplesPerS),
    );
    if (from === undefined || to === undefined || from < 0 || to > clean.length) continue;
    let best = from;
    for (let k = from; k < to; k += 1) if ((clean[k] ?? 0) > (clean[best] ?? 0)) best = k;
    peaks.push(best);
    begins.push(atS);
  }
  const found: (TrueBeat & { lowAt: number; atS: number })[] = [];
  for (let i = 1; i < peaks.length; i += 1) {
    const [before, peak] = [peaks[i - 1] ?? 0, peaks[i] ?? 0];
    let lowAt = before;
    for (let k = before; k < peak; k += 1) if ((clean[k] ?? 0) <= (clean[lowAt] ?? 0)) lowAt = k;
    found.push({
      atS: begins[i] ?? 0,
      peakS: peak / samplesPerS,
      sapMmHg: clean[peak] ?? 0,
      dapMmHg: clean[lowAt] ?? 0,
      lowAt,
    });
  }
  const pulses = found.map(({ sapMmHg, dapMmHg }) => sapMmHg - dapMmHg);
  const sorted = pulses.toSorted((a, b) => a - b);
  const tall = middle(sorted.slice(Math.floor(sorted.length / 2)));
  const counted = wholeBeats(
    clean,
    samplesPerS,
    found.filter((_, i) => (pulses[i] ?? 0) >= 0.4 * tall),
  );
  const all = wholeBeats(clean, samplesPerS, found);
  const strong = wholeBeats(
    clean,
    samplesPerS,
    found.filter((_, i) => (pulses[i] ?? 0) >= 0.5 * tall),
  );
  const inner = counted.slice(1, -1);
  const intervals = inner.slice(1).map(({ atS }, i) => atS - (inner[i]?.atS ?? 0));
  const [first, last] = [counted[0], counted.at(-1)];
  const swings = found.slice(0, -1).map(({ peakS }, i) => {
    // Up to the next stroke, not to the lowest pressure before it: that can lie before a second wave.
    const nextAt = Math.round(((found[i + 1]?.atS ?? 0) + lateS) * samplesPerS);
    return largestRise(clean, Math.round(peakS * samplesPerS), nextAt) / Math.max(1e-9, pulses[i] ?? 0);
  });
  const isClear = (s: number) => !disturbed.some(({ fromS, toS }) => s >= fromS && s < toS);
  const { pressuresMmHg } = strip;
  let [clear, rails] = [0, 0];
  for (let i = 0; i < pressuresMmHg.length; i += 1) {
    if (!isClear(i / samplesPerS)) continue;
    clear += 1;
    const p = pressuresMmHg[i] ?? 0;
    if (p >= options.clipAboveMmHg || p <= options.clipBelowMmHg) rails += 1;
  }
  const whole = first && last ? clean.subarray(first.lowAt, last.lowAt) : clean;
  return {
    beats: counted,
    // By when the strokes begin: a peak can be the first or the second of two humps as high.
    ratePerMin: rateOf(counted),
    longRunPerMin: rateOf(beats),
    rateOfAllPerMin: rateOf(found),
    ofAll: {
      sapMmHg: average(all.map(({ sapMmHg }) => sapMmHg)),
      dapMmHg: average(all.map(({ dapMmHg }) => dapMmHg)),
    },
    ofStrong: {
      ratePerMin: rateOf(strong),
      sapMmHg: average(strong.map(({ sapMmHg }) => sapMmHg)),
      dapMmHg: average(strong.map(({ dapMmHg }) => dapMmHg)),
    },
    intervalVariation: standardDeviation(intervals) / average(intervals),
    sapMmHg: average(counted.map(({ sapMmHg }) => sapMmHg)),
    dapMmHg: average(counted.map(({ dapMmHg }) => dapMmHg)),
    mapMmHg: whole.reduce((sum, p) => sum + p, 0) / whole.length,
    pulseMmHg: average(pulses),
    smallToTall: middle(sorted.slice(0, Math.ceil(sorted.length / 2))) / tall,
    leastToTall: (sorted[0] ?? 0) / tall,
    secondSwing: middle(swings),
    overtones: middle(
      found
        .slice(1)
        .map(({ lowAt }, i) => clean.subarray(found[i]?.lowAt ?? 0, lowAt))
        .filter(({ length }) => length > 3)
        .map(overtonesOf),
    ),
    disturbed,
    clearS: clear / samplesPerS,
    clearBeats: counted.filter(({ peakS }) => isClear(peakS) && peakS < seconds).length,
    pegged: clear === 0 ? 0 : rails / clear,
  };
}
