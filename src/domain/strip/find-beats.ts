import { boxSmoothed, mean, noiseOf, parabolaSmoothed, quantile } from './smoothing.ts';

/** One beat, by sample numbers from the start of the strip. */
export interface Beat {
  /** Where the upstroke begins. */
  footAt: number;
  /** Highest pressure of the beat. */
  peakAt: number;
  /** Foot of the next beat: the beat ends before it. */
  endsAt: number;
  /** Lowest pressure before the upstroke, since the peak before; mmHg. */
  dapMmHg: number;
  sapMmHg: number;
  /** Mean over time from foot to foot, mmHg. */
  mapMmHg: number;
}

/** Beats of a stretch with nothing left out between them. */
export interface FoundBeats {
  beats: Beat[];
  /** Intervals between the peaks of neighbouring beats, s; none across what was left out. */
  intervalsS: number[];
}

/** What is not to be read: samples from `from` to before `to`. */
export interface LeftOut {
  from: number;
  to: number;
}

/** Heart rates that are looked for, /min (dogs and cats; common practice, no source). */
export const readableRate = { lowestPerMin: 40, highestPerMin: 260 } as const;
/** No two beats are nearer than this, s: 300 /min. */
const nearestS = 0.2;

/** How alike a wave is to itself so many samples later, for each lag; 1 is the same. */
function selfLikeness(values: Float64Array, lags: number): Float64Array {
  const likeness = new Float64Array(lags + 1);
  let power = 0;
  for (const v of values) power += v * v;
  for (let lag = 0; lag <= lags; lag += 1) {
    let sum = 0;
    for (let i = 0; i + lag < values.length; i += 1) sum += (values[i] ?? 0) * (values[i + lag] ?? 0);
    likeness[lag] = power > 0 ? (sum / power) * (values.length / (values.length - lag)) : 0;
  }
  return likeness;
}

/** The usual length of a beat, s, and how sure that is (0 to 1), from the wave's likeness to itself. */
function usualBeat(pressures: Float64Array, samplesPerS: number): { lengthS: number; likeness: number } {
  // 60 values a second and 60 s are enough for a length.
  const every = Math.max(1, Math.floor(samplesPerS / 60));
  const smooth = boxSmoothed(pressures, every);
  const level = boxSmoothed(smooth, 2 * samplesPerS);
  const count = Math.min(Math.floor(pressures.length / every), 3600);
  const coarse = Float64Array.from(
    { length: count },
    (_, i) => (smooth[i * every] ?? 0) - (level[i * every] ?? 0),
  );
  const perS = samplesPerS / every;
  const [least, most] = [Math.floor(0.2 * perS), Math.min(Math.ceil(1.7 * perS), Math.floor(count / 2))];
  const likeness = selfLikeness(coarse, most);
  const crests: number[] = [];
  for (let lag = Math.max(2, least); lag < most; lag += 1) {
    const [a, b, c] = [likeness[lag - 1] ?? 0, likeness[lag] ?? 0, likeness[lag + 1] ?? 0];
    if (b > a && b >= c && b > 0.2) crests.push(lag);
  }
  const best = Math.max(0, ...crests.map((lag) => likeness[lag] ?? 0));
  const lag = crests.find((one) => (likeness[one] ?? 0) >= 0.85 * best);
  if (lag === undefined) return { lengthS: 0.5, likeness: 0 };
  return { lengthS: lag / perS, likeness: likeness[lag] ?? 0 };
}

/** Peaks and troughs in turn, each at least `least(i)` away from the one before. */
function turns(values: Float64Array, least: (at: number) => number): { at: number; isPeak: boolean }[] {
  const found: { at: number; isPeak: boolean }[] = [];
  let [highAt, lowAt] = [0, 0];
  let rising: boolean | null = null;
  for (let i = 1; i < values.length; i += 1) {
    const v = values[i] ?? 0;
    if (v > (values[highAt] ?? 0)) highAt = i;
    if (v < (values[lowAt] ?? 0)) lowAt = i;
    const by = least(i);
    if (rising !== false && (values[highAt] ?? 0) - v >= by) {
      // A stretch that begins on the way down has no upstroke: that height is no peak.
      if (rising !== null) found.push({ at: highAt, isPeak: true });
      rising = false;
      lowAt = i;
    } else if (rising !== true && v - (values[lowAt] ?? 0) >= by) {
      found.push({ at: lowAt, isPeak: false });
      rising = true;
      highAt = i;
    }
  }
  return found;
}

function extremeAt(values: Float64Array, from: number, to: number, isPeak: boolean): number {
  let best = Math.max(0, from);
  for (let i = best; i <= Math.min(values.length - 1, to); i += 1) {
    const [v, b] = [values[i] ?? 0, values[best] ?? 0];
    if (isPeak ? v > b : v < b) best = i;
  }
  return best;
}

/** Range of the wave around each place, in steps of half a beat: what a beat is tall there. */
function localRange(values: Float64Array, beat: number): (at: number) => number {
  const step = Math.max(1, Math.round(beat / 2));
  const ranges: number[] = [];
  for (let from = 0; from < values.length; from += step) {
    const part = values.subarray(Math.max(0, from - Math.round(1.1 * beat)), from + Math.round(1.1 * beat));
    ranges.push(quantile(part, 0.98) - quantile(part, 0.02));
  }
  const usual = quantile(ranges, 0.5);
  // One movement must not hide the beats around it, nor a still stretch make beats of nothing.
  return (at) => Math.min(2 * usual, Math.max(0.5 * usual, ranges[Math.round(at / step)] ?? usual));
}

/** Beats within one stretch, in its own sample numbers. */
function beatsOfStretch(
  pressures: Float64Array,
  samplesPerS: number,
  { lengthS, likeness }: { lengthS: number; likeness: number },
): Beat[] {
  const beat = lengthS * samplesPerS;
  const width = 0.12 * beat;
  const smooth = boxSmoothed(boxSmoothed(pressures, width), width);
  const level = boxSmoothed(smooth, beat);
  const seen = smooth.map((p, i) => p - (level[i] ?? 0));
  const range = localRange(seen, beat);
  const found = turns(seen, (at) => 0.4 * range(at));
  // Where the rhythm is plain, two peaks within half a beat are one beat with a ringing or a notch.
  const apart = samplesPerS * Math.max(nearestS, likeness > 0.6 ? 0.55 * lengthS : 0);
  const peaks: number[] = [];
  for (const { at } of found.filter(({ isPeak }) => isPeak)) {
    const before = peaks.at(-1);
    if (before === undefined || at - before >= apart) peaks.push(at);
    else if ((seen[at] ?? 0) > (seen[before] ?? 0)) peaks[peaks.length - 1] = at;
  }
  // The noisier, the more is smoothed, as far as the length of a beat lets it.
  const widthS = 0.025 + 0.015 * Math.min(3, noiseOf(pressures));
  const fine = parabolaSmoothed(pressures, Math.min(widthS, 0.1 * lengthS) * samplesPerS);
  const calm = parabolaSmoothed(pressures, Math.min(2 * widthS, 0.15 * lengthS) * samplesPerS);
  const marks = peaks.map((at, i) => {
    const earlier = peaks[i - 1] ?? Math.max(0, at - Math.round(0.6 * beat));
    const later = peaks[i + 1] ?? at + Math.round(0.6 * beat);
    const troughAt = extremeAt(smooth, earlier, at, false);
    const peakAt = extremeAt(fine, troughAt, Math.min(later, at + Math.round(0.35 * beat)), true);
    return { peakAt, troughAt };
  });
  const lowsAt = marks.map(({ peakAt }, i) => {
    const from = marks[i - 1]?.peakAt ?? Math.max(0, peakAt - Math.round(0.6 * beat));
    return extremeAt(calm, from, peakAt, false);
  });
  const reach = Math.max(1, Math.round(0.01 * samplesPerS));
  const feet = marks.map(({ peakAt, troughAt }, i) => {
    // Where the steepest tangent of the upstroke meets the diastolic pressure: steadier than a lowest sample.
    let [steepest, rise] = [peakAt, 0];
    for (let k = Math.max(reach, troughAt - Math.round(0.1 * beat)); k <= peakAt; k += 1) {
      const by = ((fine[k + reach] ?? 0) - (fine[k - reach] ?? 0)) / (2 * reach);
      if (by > rise) [rise, steepest] = [by, k];
    }
    const above = (fine[steepest] ?? 0) - (calm[lowsAt[i] ?? 0] ?? 0);
    return Math.max(0, Math.round(rise > 0 ? steepest - above / rise : steepest));
  });
  const beats: Beat[] = [];
  for (let i = 0; i + 1 < marks.length; i += 1) {
    const [mark, footAt, endsAt] = [marks[i], feet[i] ?? 0, feet[i + 1] ?? 0];
    if (!mark || endsAt <= mark.peakAt || footAt >= mark.peakAt) continue;
    // A stretch that begins within an upstroke has lost that beat's foot.
    if (footAt <= reach || (lowsAt[i] ?? 0) <= 1) continue;
    beats.push({
      footAt,
      endsAt,
      peakAt: mark.peakAt,
      sapMmHg: fine[mark.peakAt] ?? 0,
      dapMmHg: calm[lowsAt[i] ?? 0] ?? 0,
      mapMmHg: mean(pressures.subarray(footAt, endsAt)),
    });
  }
  return beats;
}

/**
 * The beats of a strip: foot, systolic peak, lowest pressure before it and the mean over the whole beat. `pressures` in
 * mmHg, none missing; `leftOut` (ascending) is not read, and no beat or interval reaches across it. Rates of 40 to
 * 260 /min are looked for. Peaks are found on a smoothed wave, so that ringing and the dicrotic wave are not taken for
 * beats, and read on one smoothed over 25 ms.
 */
export function findBeats(
  pressures: Float64Array,
  samplesPerS: number,
  leftOut: readonly LeftOut[] = [],
): FoundBeats {
  const stretches: { from: number; to: number }[] = [];
  let from = 0;
  for (const out of [...leftOut, { from: pressures.length, to: pressures.length }]) {
    if (out.from - from >= samplesPerS) stretches.push({ from, to: out.from });
    from = Math.max(from, out.to);
  }
  const longest = stretches.toSorted((a, b) => b.to - b.from - (a.to - a.from))[0];
  if (longest === undefined) return { beats: [], intervalsS: [] };
  const usual = usualBeat(pressures.subarray(longest.from, longest.to), samplesPerS);
  const beats: Beat[] = [];
  const intervalsS: number[] = [];
  for (const stretch of stretches) {
    const own = beatsOfStretch(pressures.subarray(stretch.from, stretch.to), samplesPerS, usual);
    for (const [i, beat] of own.entries()) {
      const before = own[i - 1];
      if (before) intervalsS.push((beat.peakAt - before.peakAt) / samplesPerS);
      beats.push({
        ...beat,
        footAt: beat.footAt + stretch.from,
        peakAt: beat.peakAt + stretch.from,
        endsAt: beat.endsAt + stretch.from,
      });
    }
  }
  return { beats, intervalsS };
}
