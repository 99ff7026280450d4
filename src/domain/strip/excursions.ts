import type { LeftOut } from './find-beats.ts';
import { boxSmoothed, quantile } from './smoothing.ts';

/** What takes the trace away from its usual pulse for a while. */
export type ExcursionKind = 'above' | 'below' | 'level' | 'no pulse';

/** A stretch that is not read, by sample numbers. */
export interface Excursion extends LeftOut {
  kind: ExcursionKind;
}

/** Usual highest and lowest pressure of the pulse. */
export interface UsualBand {
  high: number;
  low: number;
}

interface Window extends UsualBand {
  from: number;
}

function windowsOf(pressures: Float64Array, width: number): Window[] {
  const found: Window[] = [];
  const step = Math.max(1, Math.round(width / 6));
  for (let from = 0; from + width <= pressures.length; from += step) {
    let [high, low] = [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
    for (let i = from; i < from + width; i += 1) {
      const p = pressures[i] ?? 0;
      if (p > high) high = p;
      if (p < low) low = p;
    }
    found.push({ from, high, low });
  }
  return found;
}

/** No pulse is taller, mmHg (own rule). */
const tallestPulseMmHg = 170;

/**
 * The usual band of the pulse: highest and lowest pressure of the windows that agree with most others. A flush that most
 * windows hold agrees with itself, too; so among bands that many windows hold the narrowest is taken that is still a pulse.
 */
export function usualBand(pressures: Float64Array, samplesPerS: number): UsualBand {
  const lengthS = pressures.length / samplesPerS;
  // Two beats of a slow heart, where the strip is long enough to have many such windows.
  const widthS = lengthS >= 28 ? 7 : lengthS >= 14 ? 4 : 2;
  const width = Math.min(pressures.length, Math.round(widthS * samplesPerS));
  const all = windowsOf(pressures, width);
  // A minute or so of windows says enough.
  const every = Math.ceil(all.length / 200);
  const windows = all.filter((_, i) => i % every === 0);
  const ranges = windows.map(({ high, low }) => high - low);
  // A window that holds more than any pulse's height holds a flush, or air.
  const could = ranges.filter((range) => range < tallestPulseMmHg);
  const least = 0.35 * quantile(could.length > 0 ? could : ranges, 0.4);
  const agreeing = windows.map(({ high, low }) => {
    const range = high - low;
    const near = windows.filter(
      (one) =>
        Math.abs(one.high - high) <= Math.max(8, 0.25 * range) &&
        Math.abs(one.low - low) <= Math.max(8, 0.25 * range) &&
        one.high - one.low < 2 * range + 5 &&
        one.high - one.low > 0.5 * range - 5,
    );
    return { near, range, support: near.length };
  });
  const pulses = agreeing.filter(({ range }) => range >= least);
  const best = Math.max(0, ...pulses.map(({ support }) => support));
  const [taken] = pulses
    .filter(({ support }) => support >= Math.max(Math.min(2, best), 0.4 * best))
    .toSorted((a, b) => a.range - b.range);
  const near = taken?.near ?? windows;
  return {
    high: quantile(
      near.map(({ high }) => high),
      0.5,
    ),
    low: quantile(
      near.map(({ low }) => low),
      0.5,
    ),
  };
}

/** Stretches where `is` holds, those less than `bridge` apart taken as one. */
function stretchesWhere(count: number, bridge: number, is: (i: number) => boolean): LeftOut[] {
  const found: LeftOut[] = [];
  for (let i = 0; i < count; i += 1) {
    if (!is(i)) continue;
    const last = found.at(-1);
    if (last && i - last.to <= bridge) last.to = i + 1;
    else found.push({ from: i, to: i + 1 });
  }
  return found;
}

/** From `at` on: where the trace has stayed within the usual band, a little wider, for a while; its end where it does not. */
function settledFrom(pressures: Float64Array, at: number, calm: number, { high, low }: UsualBand): number {
  const margin = Math.max(5, 0.12 * (high - low));
  let since = at;
  for (let i = at; i < pressures.length; i += 1) {
    const p = pressures[i] ?? 0;
    if (p > high + margin || p < low - margin) since = i + 1;
    if (i - since >= calm) return since;
  }
  return pressures.length;
}

/** Where the trace leaves the band far above or far below, until it has settled. */
function farOff(pressures: Float64Array, samplesPerS: number, band: UsualBand): Excursion[] {
  const pulse = band.high - band.low;
  const [top, bottom] = [band.high + Math.max(20, 0.5 * pulse), band.low - Math.max(15, 0.45 * pulse)];
  const found: Excursion[] = [];
  const outside = stretchesWhere(pressures.length, 0.3 * samplesPerS, (i) => {
    const p = pressures[i] ?? 0;
    return p > top || p < bottom;
  });
  for (const { from, to } of outside) {
    const last = found.at(-1);
    const end = settledFrom(pressures, to, Math.round(1.2 * samplesPerS), band);
    const settled = Math.min(pressures.length, Math.max(end, to + Math.round(0.35 * samplesPerS)));
    if (last && from <= last.to) {
      last.to = Math.max(last.to, settled);
      continue;
    }
    const kind = (pressures[from] ?? 0) > top ? 'above' : 'below';
    found.push({ kind, from: Math.max(0, from - Math.round(0.15 * samplesPerS)), to: settled });
  }
  return found;
}

/** The mean of some seconds around each sample, of what is not left out; NaN where too little is. */
export function levelAround(
  pressures: Float64Array,
  samplesPerS: number,
  out: readonly LeftOut[],
  widthS = 3,
): Float64Array {
  const kept = new Float64Array(pressures.length).fill(1);
  for (const { from, to } of out) kept.fill(0, from, to);
  const width = widthS * samplesPerS;
  const sums = boxSmoothed(
    pressures.map((p, i) => p * (kept[i] ?? 0)),
    width,
  );
  const shares = boxSmoothed(kept, width);
  return sums.map((sum, i) => ((shares[i] ?? 0) > 0.4 ? sum / (shares[i] ?? 1) : Number.NaN));
}

/** Slope of the level, mmHg/s: the median of slopes between parts a third of the strip apart (Theil and Sen). */
export function driftMmHgPerS(level: Float64Array, samplesPerS: number, edgeS = 0): number {
  const step = Math.max(1, Math.round(samplesPerS / 4));
  const points: { t: number; p: number }[] = [];
  // Near the ends the level is that of what lies further in, and would seem to drift less.
  const edge = Math.min(edgeS, level.length / samplesPerS / 5) * samplesPerS;
  for (let i = Math.ceil(edge); i < level.length - edge; i += step) {
    const p = level[i] ?? Number.NaN;
    if (!Number.isNaN(p)) points.push({ t: i / samplesPerS, p });
  }
  return middleSlope(points, level.length / samplesPerS / 3);
}

function middleSlope(points: readonly { t: number; p: number }[], apart: number): number {
  // Some hundred points are enough.
  const every = Math.ceil(points.length / 120);
  const some = points.filter((_, i) => i % every === 0);
  const slopes: number[] = [];
  for (const a of some) for (const b of some) if (b.t - a.t >= apart) slopes.push((b.p - a.p) / (b.t - a.t));
  return slopes.length === 0 ? 0 : quantile(slopes, 0.5);
}

/** From low to high of a level beside its drift, mmHg (5th to 95th percentile), without what is left out and some time beside it. */
export function rangeBesideDrift(
  level: Float64Array,
  samplesPerS: number,
  drift: number,
  { out, besideS }: { out: readonly LeftOut[]; besideS: number },
): number {
  const beside = besideS * samplesPerS;
  const step = Math.max(1, Math.round(samplesPerS / 8));
  const levels: number[] = [];
  for (let i = Math.ceil(beside); i < level.length - beside; i += step) {
    const p = level[i] ?? Number.NaN;
    if (!Number.isNaN(p) && !out.some(({ from, to }) => i >= from - beside && i < to + beside))
      levels.push(p - (drift * i) / samplesPerS);
  }
  return levels.length < 4 ? 0 : quantile(levels, 0.95) - quantile(levels, 0.05);
}

/** Stretches as few as can be: those that touch become one, of the kind of the first. */
export function joined<T extends LeftOut>(stretches: readonly T[]): T[] {
  const found: T[] = [];
  for (const one of stretches.toSorted((a, b) => a.from - b.from)) {
    const last = found.at(-1);
    if (last && one.from <= last.to) last.to = Math.max(last.to, one.to);
    else found.push({ ...one });
  }
  return found;
}

/**
 * A drift is no quicker than this, mmHg/s, and lows without it vary by less than this share of what they do with it (own rules): a
 * level that was left for a third of the strip, as open to air, was straightened for a drift.
 */
const aDrift = { mostMmHgPerS: 8, leavesLess: 0.4 } as const;

/** The slope of the lows of some seconds, mmHg/s, where it is a drift; 0 where it is none. */
function slopeOfLows(pressures: Float64Array, samplesPerS: number): number {
  const lows = windowsOf(pressures, Math.round(2 * samplesPerS)).map(({ from, low }) => ({
    t: from / samplesPerS,
    p: low,
  }));
  const slope = middleSlope(lows, pressures.length / samplesPerS / 3);
  const spread = (off: number) => {
    const of = lows.map(({ t, p }) => p - off * t);
    return quantile(of, 0.75) - quantile(of, 0.25);
  };
  const isDrift = Math.abs(slope) < aDrift.mostMmHgPerS && spread(slope) < aDrift.leavesLess * spread(0);
  return isDrift ? slope : 0;
}

/**
 * Sustained excursions of a trace (mmHg, none missing): far above or below the usual pulse, as a flush, air or a closed tap
 * make, until it has settled. Looked for before any beat, so that none of it is taken for a beat.
 */
export function findExcursions(pressures: Float64Array, samplesPerS: number): Excursion[] {
  if (pressures.length < 2 * samplesPerS) return [];
  // A steady drift must not carry the pulse out of its own band.
  const slope = slopeOfLows(pressures, samplesPerS);
  const straight = pressures.map((p, i) => p - (slope * i) / samplesPerS);
  return joined(farOff(straight, samplesPerS, usualBand(straight, samplesPerS)));
}
