/** Puts the value of a rank in its place: none before it is higher, none behind it lower (Hoare, Commun ACM 1961;4:321). */
function placed(values: Float64Array, rank: number): number {
  let from = 0;
  let to = values.length - 1;
  while (to > from) {
    const middle = values[(from + to) >> 1] ?? 0;
    let i = from;
    let j = to;
    while (i <= j) {
      while ((values[i] ?? 0) < middle) i += 1;
      while ((values[j] ?? 0) > middle) j -= 1;
      if (i > j) break;
      const v = values[i] ?? 0;
      values[i] = values[j] ?? 0;
      values[j] = v;
      i += 1;
      j -= 1;
    }
    if (rank <= j) to = j;
    else if (rank >= i) from = i;
    else break;
  }
  return values[rank] ?? Number.NaN;
}

/** From so many numbers on it is quicker to place one than to sort all. */
const manyNumbers = 40;

/** The value below which a share (0 to 1) of the numbers lies, between neighbours; NaN of none. */
export function quantile(numbers: ArrayLike<number>, share: number): number {
  const own = Float64Array.from(numbers);
  const place = share * (own.length - 1);
  const rank = Math.floor(place);
  // A missing value is no rank: sorting leaves it at the end.
  const isSorted = own.length < manyNumbers || Number.isNaN(mean(own));
  if (isSorted) own.sort();
  const below = isSorted ? (own[rank] ?? Number.NaN) : placed(own, rank);
  if (rank === place) return below;
  let above = own[rank + 1] ?? Number.NaN;
  if (!isSorted) for (let i = rank + 2; i < own.length; i += 1) above = Math.min(above, own[i] ?? Number.NaN);
  return below + (above - below) * (place - rank);
}

/** At most some thousands of the numbers, evenly picked: enough for quantiles of a long wave. */
export function picked(numbers: Float64Array): Float64Array {
  const every = Math.ceil(numbers.length / 6000);
  return every <= 1 ? numbers : numbers.filter((_, i) => i % every === 0);
}

/** The mean; NaN of none. */
export function mean(numbers: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < numbers.length; i += 1) sum += numbers[i] ?? 0;
  return sum / numbers.length;
}

/** Standard deviation (of a sample); NaN of fewer than two. */
export function standardDeviation(numbers: ArrayLike<number>): number {
  const middle = mean(numbers);
  let sum = 0;
  for (let i = 0; i < numbers.length; i += 1) sum += ((numbers[i] ?? 0) - middle) ** 2;
  return Math.sqrt(sum / (numbers.length - 1));
}

/** Missing values (NaN) drawn straight between their neighbours; those at an end take the nearest value. */
export function filled(values: Float64Array): Float64Array {
  const out = Float64Array.from(values);
  let last = -1;
  for (let i = 0; i <= out.length; i += 1) {
    if (i < out.length && Number.isNaN(out[i])) continue;
    const [before, after] = [out[last] ?? out[i] ?? 0, out[i] ?? out[last] ?? 0];
    for (let j = last + 1; j < i; j += 1) out[j] = before + ((after - before) * (j - last)) / (i - last);
    last = i;
  }
  return out;
}

/** Room for running sums, kept between calls: a strip is smoothed some hundred times. */
let sumsRoom = new Float64Array(0);

/** The mean of `width` values (made odd, at least 1) around each; at the ends of those that are there. */
export function boxSmoothed(values: Float64Array, width: number): Float64Array {
  const half = Math.max(0, Math.round((width - 1) / 2));
  if (half === 0) return Float64Array.from(values);
  const { length } = values;
  if (sumsRoom.length <= length) sumsRoom = new Float64Array(2 * length + 1);
  const sums = sumsRoom;
  sums[0] = 0;
  let sum = 0;
  for (let i = 0; i < length; i += 1) {
    sum += values[i] ?? 0;
    sums[i + 1] = sum;
  }
  const out = new Float64Array(length);
  const whole = 2 * half + 1;
  const [firstWhole, lastWhole] = [Math.min(half, length), Math.max(half, length - half)];
  for (let i = 0; i < firstWhole; i += 1) {
    const to = Math.min(length, i + half + 1);
    out[i] = (sums[to] ?? 0) / to;
  }
  for (let i = firstWhole; i < lastWhole; i += 1)
    out[i] = ((sums[i + half + 1] ?? 0) - (sums[i - half] ?? 0)) / whole;
  for (let i = Math.max(firstWhole, lastWhole); i < length; i += 1)
    out[i] = ((sums[length] ?? 0) - (sums[i - half] ?? 0)) / (length - i + half);
  return out;
}

/**
 * A parabola laid through `width` values (made odd) around each: takes noise off and keeps peaks, unlike a mean (Savitzky
 * and Golay, Anal Chem 1964;36:1627-1639). Below 5 values nothing is changed; ends are left as they are.
 */
export function parabolaSmoothed(values: Float64Array, width: number): Float64Array {
  const half = Math.round((width - 1) / 2);
  if (half < 2) return Float64Array.from(values);
  const weights: number[] = [];
  const m = 2 * half + 1;
  for (let k = -half; k <= half; k += 1) {
    weights.push((3 * (3 * m * m - 7 - 20 * k * k)) / 4 / (m * (m * m - 4)));
  }
  return values.map((value, i) => {
    if (i < half || i >= values.length - half) return value;
    let sum = 0;
    for (let k = -half; k <= half; k += 1) sum += (weights[k + half] ?? 0) * (values[i + k] ?? 0);
    return sum;
  });
}

/**
 * Standard deviation of the white noise on a wave, from its third differences (a smooth wave has nearly none):
 * median(|Δ³|) / 0.6745 / sqrt(20). An upper bound where the wave itself is quick against the sampling.
 */
export function noiseOf(values: Float64Array): number {
  if (values.length < 8) return 0;
  // Some thousands of places say enough of a long wave.
  const every = Math.ceil(values.length / 5000);
  const thirds = new Float64Array(Math.floor((values.length - 4) / every) + 1);
  for (let k = 0; k < thirds.length; k += 1) {
    const i = k * every;
    thirds[k] = Math.abs(
      (values[i + 3] ?? 0) - 3 * (values[i + 2] ?? 0) + 3 * (values[i + 1] ?? 0) - (values[i] ?? 0),
    );
  }
  return quantile(thirds, 0.5) / 0.6745 / Math.sqrt(20);
}

/** Values between the samples, `factor` for each, by a windowed sinc of 8 samples to either side. */
export function finerBetween(values: Float64Array, from: number, to: number, factor: number): Float64Array {
  const reach = 8;
  const out = new Float64Array((to - from) * factor);
  for (let k = 0; k < out.length; k += 1) {
    const at = from + k / factor;
    const near = Math.floor(at);
    let [sum, weight] = [0, 0];
    for (let i = near - reach + 1; i <= near + reach; i += 1) {
      const x = at - i;
      const window = Math.cos((Math.PI * x) / (2 * reach)) ** 2;
      const w = (x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x)) * window;
      sum += w * (values[Math.min(values.length - 1, Math.max(0, i))] ?? 0);
      weight += w;
    }
    out[k] = sum / weight;
  }
  return out;
}

/** Every nth value, each the mean of n around it; 1 leaves the wave as it is. */
export function thinned(values: Float64Array, every: number): Float64Array {
  if (every <= 1) return values;
  const smooth = boxSmoothed(values, every);
  const out = new Float64Array(Math.floor(values.length / every));
  for (let i = 0; i < out.length; i += 1) out[i] = smooth[i * every] ?? 0;
  return out;
}

/** Highest less lowest value from one place to before another. */
export function rangeWithin(values: Float64Array, from: number, to: number): number {
  let high = Number.NEGATIVE_INFINITY;
  let low = Number.POSITIVE_INFINITY;
  for (let i = Math.max(0, from); i < Math.min(values.length, to); i += 1) {
    const v = values[i] ?? 0;
    if (v > high) high = v;
    if (v < low) low = v;
  }
  return Math.max(0, high - low);
}
