import { boxSmoothed, quantile, rangeWithin } from './smoothing.ts';

/** A rise of the trace from a low to the next high, by sample numbers, with its height, mmHg. */
export interface Upstroke {
  lowAt: number;
  peakAt: number;
  rise: number;
}

/** Peaks and troughs in turn, each at least `least` away from the one before; one value of `least` for each `step`. */
function turns(
  values: Float64Array,
  least: readonly number[],
  step: number,
): { at: number; isPeak: boolean }[] {
  const found: { at: number; isPeak: boolean }[] = [];
  let highAt = 0;
  let lowAt = 0;
  let high = values[0] ?? 0;
  let low = high;
  let rising: boolean | null = null;
  const leastOfAll = least.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
  for (let i = 1; i < values.length; i += 1) {
    const v = values[i] ?? 0;
    if (v > high) {
      high = v;
      highAt = i;
    }
    if (v < low) {
      low = v;
      lowAt = i;
    }
    if (rising === false ? v - low < leastOfAll : rising === true && high - v < leastOfAll) continue;
    const by = least[Math.min(least.length - 1, Math.round(i / step))] ?? 0;
    if (rising !== false && high - v >= by) {
      // A stretch that begins on the way down has no upstroke: that height is no peak.
      if (rising !== null) found.push({ at: highAt, isPeak: true });
      rising = false;
      low = v;
      lowAt = i;
    } else if (rising !== true && v - low >= by) {
      found.push({ at: lowAt, isPeak: false });
      rising = true;
      high = v;
      highAt = i;
    }
  }
  return found;
}

/** Range of the wave around each place, in steps of half a beat: what a beat is tall there. */
function localRange(values: Float64Array, beat: number): { ranges: number[]; step: number } {
  const step = Math.max(1, Math.round(beat / 2));
  const ranges: number[] = [];
  const reach = Math.round(1.1 * beat);
  for (let from = 0; from < values.length; from += step)
    ranges.push(rangeWithin(values, from - reach, from + reach));
  const usual = quantile(ranges, 0.6);
  // One movement must not hide the beats around it, nor a still stretch make beats of nothing.
  return { ranges: ranges.map((range) => Math.min(1.5 * usual, Math.max(0.7 * usual, range))), step };
}

/** Over which share of a beat the wave is smoothed, how high a rise must be by what a beat is tall, and up to which beat, s. */
export interface Looking {
  share: number;
  least: number;
  longestS: number;
}

/** Upstrokes of a stretch when beats of so many samples are looked for, on a wave smoothed over a share of a beat. */
function upstrokesOf(pressures: Float64Array, beat: number, { share, least }: Looking): Upstroke[] {
  const width = share * beat;
  const smooth = boxSmoothed(boxSmoothed(pressures, width), width);
  const level = boxSmoothed(smooth, 1.5 * beat);
  const seen = level;
  for (let i = 0; i < seen.length; i += 1) seen[i] = (smooth[i] ?? 0) - (level[i] ?? 0);
  const { ranges, step } = localRange(seen, beat);
  const found = turns(
    seen,
    ranges.map((range) => least * range),
    step,
  );
  const strokes: Upstroke[] = [];
  for (const [i, { at, isPeak }] of found.entries()) {
    const before = found[i - 1];
    if (!isPeak || !before) continue;
    strokes.push({ lowAt: before.at, peakAt: at, rise: (smooth[at] ?? 0) - (smooth[before.at] ?? 0) });
  }
  return strokes;
}

/** Lengths of a beat that make the very same widths, in whole samples, as `upstrokesOf` takes them. */
function sameWidths(beat: number, { share, least }: Looking): string {
  const half = (width: number) => Math.max(0, Math.round((width - 1) / 2));
  return [half(share * beat), half(1.5 * beat), Math.round(beat / 2), Math.round(1.1 * beat), least].join();
}

/** What was seen already, by the widths it was looked for with. */
export type Seen = Map<string, Upstroke[][]>;

export function strokesAt(
  stretches: readonly Float64Array[],
  beat: number,
  looking: Looking,
  seen: Seen,
): Upstroke[][] {
  const key = sameWidths(beat, looking);
  const known = seen.get(key);
  if (known !== undefined) return known;
  const strokes = stretches.map((one) => upstrokesOf(one, beat, looking));
  seen.set(key, strokes);
  return strokes;
}
