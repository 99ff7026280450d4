import type { TrainSignal } from './train-signal.ts';

/** A row of strokes: when each begins (in values of the signal, between them too) and how tall it is; 1 is usual. */
export interface Strokes {
  at: number[];
  size: number[];
}

/** Weights of the four values around a place a share past the second of them (Lagrange, third order). */
function weightsAt(share: number): readonly [number, number, number, number] {
  const f = share;
  return [
    (-f * (f - 1) * (f - 2)) / 6,
    ((f + 1) * (f - 1) * (f - 2)) / 2,
    (-(f + 1) * f * (f - 2)) / 2,
    ((f + 1) * f * (f - 1)) / 6,
  ];
}

/** Adds a wave that begins at a place, so tall, to what is there. */
export function addWave(onto: Float64Array, at: number, size: number, wave: Float64Array): void {
  const whole = Math.floor(at);
  const weights = weightsAt(at - whole);
  for (let k = 0; k < 4; k += 1) {
    const weight = size * (weights[k] ?? 0);
    const offset = whole - 1 + k;
    const to = Math.min(wave.length, onto.length - offset);
    for (let j = Math.max(0, -offset); j < to; j += 1)
      onto[offset + j] = (onto[offset + j] ?? 0) + weight * (wave[j] ?? 0);
  }
}

/** What lies after the strokes, laid over each other: the transpose of adding a wave at each. */
function gathered(from: Float64Array, { at, size }: Strokes, length: number): Float64Array {
  const sum = new Float64Array(length);
  for (let n = 0; n < at.length; n += 1) {
    const place = at[n] ?? 0;
    const whole = Math.floor(place);
    const weights = weightsAt(place - whole);
    for (let k = 0; k < 4; k += 1) {
      const weight = (size[n] ?? 0) * (weights[k] ?? 0);
      const offset = whole - 1 + k;
      const to = Math.min(length, from.length - offset);
      for (let j = Math.max(0, -offset); j < to; j += 1)
        sum[j] = (sum[j] ?? 0) + weight * (from[offset + j] ?? 0);
    }
  }
  return sum;
}

/** The signal less the strokes with their wave; 0 where it does not count. */
export function leftOver(
  { values, counts }: TrainSignal,
  { at, size }: Strokes,
  wave: Float64Array,
): Float64Array {
  const left = new Float64Array(values.length);
  for (let n = 0; n < at.length; n += 1) addWave(left, at[n] ?? 0, -(size[n] ?? 0), wave);
  for (let i = 0; i < left.length; i += 1) left[i] = counts[i] === 1 ? (left[i] ?? 0) + (values[i] ?? 0) : 0;
  return left;
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i += 1) sum += (a[i] ?? 0) * (b[i] ?? 0);
  return sum;
}

/** Share of the strokes' own weight that holds the wave back from what noise alone would make of it. */
const holdsBack = 0.003;

/**
 * The one wave that, begun at each stroke, leaves least of the signal over: least squares by conjugate gradients, from the
 * wave that is known so far (Hestenes and Stiefel, J Res Natl Bur Stand 1952;49:409-436).
 */
export function commonWave(
  signal: TrainSignal,
  strokes: Strokes,
  start: Float64Array,
  rounds: number,
): Float64Array {
  const wave = Float64Array.from(start);
  const hold = holdsBack * strokes.size.reduce((sum, size) => sum + size * size, 0);
  const left = leftOver(signal, strokes, wave);
  const downhill = (): Float64Array => {
    const way = gathered(left, strokes, wave.length);
    for (let j = 0; j < way.length; j += 1) way[j] = (way[j] ?? 0) - hold * (wave[j] ?? 0);
    return way;
  };
  let slope = downhill();
  const way = Float64Array.from(slope);
  let steep = dot(slope, slope);
  const enough = 1e-7 * steep;
  for (let round = 0; round < rounds && steep > enough; round += 1) {
    const seen = new Float64Array(left.length);
    for (let n = 0; n < strokes.at.length; n += 1)
      addWave(seen, strokes.at[n] ?? 0, strokes.size[n] ?? 0, way);
    for (let i = 0; i < seen.length; i += 1) if (signal.counts[i] !== 1) seen[i] = 0;
    const step = steep / Math.max(1e-12, dot(seen, seen) + hold * dot(way, way));
    for (let j = 0; j < wave.length; j += 1) wave[j] = (wave[j] ?? 0) + step * (way[j] ?? 0);
    for (let i = 0; i < left.length; i += 1) left[i] = (left[i] ?? 0) - step * (seen[i] ?? 0);
    slope = downhill();
    const next = dot(slope, slope);
    for (let j = 0; j < way.length; j += 1) way[j] = (slope[j] ?? 0) + (next / steep) * (way[j] ?? 0);
    steep = next;
  }
  return wave;
}

/** The first part of a wave says when and how tall it is, s. */
const saysMostS = 0.5;

/** How strongly a stroke is held to the size of those beside it, as a share of its own weight. */
const likeOthers = 0.03;

/**
 * Shifts each stroke and makes it taller or smaller so that least of the signal is left over, one after the other
 * (Gauss and Newton, Seidel). `left` is what is over, and is kept up; none moves further than `furthest` from `home`.
 */
export function settleStrokes(
  signal: TrainSignal,
  { at, size }: Strokes,
  wave: Float64Array,
  left: Float64Array,
  { home, furthest }: { home: readonly number[]; furthest: readonly number[] },
): void {
  const { counts } = signal;
  const until = Math.min(wave.length + 2, Math.round(saysMostS * signal.samplesPerS));
  const shape = new Float64Array(wave.length + 3);
  for (let n = 0; n < at.length; n += 1) {
    const [place, tall] = [at[n] ?? 0, size[n] ?? 0];
    const whole = Math.floor(place);
    shape.fill(0);
    addWave(shape, 1 + place - whole, 1, wave);
    let [vv, vs, ss, ev, es] = [0, 0, 0, 0, 0];
    for (let j = 1; j < until; j += 1) {
      const i = whole - 1 + j;
      if (counts[i] !== 1) continue;
      const [v, s, e] = [shape[j] ?? 0, ((shape[j + 1] ?? 0) - (shape[j - 1] ?? 0)) / 2, left[i] ?? 0];
      vv += v * v;
      vs += v * s;
      ss += s * s;
      ev += e * v;
      es += e * s;
    }
    if (vv < 1e-9) continue;
    // Where it makes no odds, a stroke is as tall as those beside it.
    const beside = ((size[n - 1] ?? size[n + 1] ?? tall) + (size[n + 1] ?? size[n - 1] ?? tall)) / 2;
    ev += likeOthers * vv * (beside - tall);
    vv *= 1 + likeOthers;
    let [taller, later] = [ev / vv, 0];
    const [a, b, c] = [vv, -tall * vs, tall * tall * ss * 1.02 + 1e-9];
    const det = a * c - b * b;
    if (tall >= 0.1 && det > 1e-6 * a * c) {
      taller = (ev * c + tall * es * b) / det;
      later = Math.max(-1, Math.min(1, (-tall * es * a - ev * b) / det));
    }
    const [from, reach] = [home[n] ?? place, furthest[n] ?? 0];
    const next = Math.max(from - reach, Math.min(from + reach, place + later));
    const nextTall = Math.max(0, tall + taller);
    addWave(left, place, tall, wave);
    addWave(left, next, -nextTall, wave);
    at[n] = next;
    size[n] = nextTall;
  }
  for (let i = 0; i < left.length; i += 1) if (counts[i] !== 1) left[i] = 0;
}
