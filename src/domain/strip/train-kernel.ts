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

/** The values of a wave moved later by a share of a value, and one, so tall: three longer than the wave. Into `out`, to spare arrays. */
function moved(wave: Float64Array, share: number, tall: number, out: Float64Array): Float64Array {
  const [w0, w1, w2, w3] = weightsAt(share);
  const t0 = tall * w0;
  const t1 = tall * w1;
  const t2 = tall * w2;
  const t3 = tall * w3;
  let v1 = 0;
  let v2 = 0;
  let v3 = 0;
  for (let j = 0; j < out.length; j += 1) {
    const v = j < wave.length ? (wave[j] ?? 0) : 0;
    out[j] = t0 * v + t1 * v1 + t2 * v2 + t3 * v3;
    v3 = v2;
    v2 = v1;
    v1 = v;
  }
  return out;
}

/** Adds a course, so tall, to what is there, from a place on. */
function addFrom(onto: Float64Array, offset: number, size: number, course: Float64Array): void {
  const to = Math.min(course.length, onto.length - offset);
  for (let j = Math.max(0, -offset); j < to; j += 1)
    onto[offset + j] = (onto[offset + j] ?? 0) + size * (course[j] ?? 0);
}

const roomFor = (wave: Float64Array) => new Float64Array(wave.length + 3);

/** Adds a wave that begins at a place, so tall, to what is there. */
function addWave(onto: Float64Array, at: number, size: number, wave: Float64Array, room: Float64Array): void {
  const whole = Math.floor(at);
  addFrom(onto, whole - 1, 1, moved(wave, at - whole, size, room));
}

/** The strokes as a course of their own: a wave laid on it by convolution is the row. From `before` values ahead of the signal. */
function pinsOf({ at, size }: Strokes, before: number, length: number): Float64Array {
  const pins = new Float64Array(before + length + 2);
  for (let n = 0; n < at.length; n += 1) {
    const place = at[n] ?? 0;
    const whole = Math.floor(place);
    const weights = weightsAt(place - whole);
    for (let k = 0; k < 4; k += 1) {
      const i = before + whole - 1 + k;
      if (i >= 0 && i < pins.length) pins[i] = (pins[i] ?? 0) + (size[n] ?? 0) * (weights[k] ?? 0);
    }
  }
  return pins;
}

/** What lies after the strokes, laid over each other: the transpose of adding a wave at each. */
function gathered(from: Float64Array, { at, size }: Strokes, length: number): Float64Array {
  const sum = new Float64Array(length);
  for (let n = 0; n < at.length; n += 1) {
    const place = at[n] ?? 0;
    const whole = Math.floor(place);
    const [w0, w1, w2, w3] = weightsAt(place - whole);
    const tall = size[n] ?? 0;
    const offset = whole - 1;
    const first = Math.max(0, -offset);
    const last = Math.min(length, from.length - offset - 3);
    for (let j = first; j < last; j += 1) {
      const i = offset + j;
      const all =
        w0 * (from[i] ?? 0) + w1 * (from[i + 1] ?? 0) + w2 * (from[i + 2] ?? 0) + w3 * (from[i + 3] ?? 0);
      sum[j] = (sum[j] ?? 0) + tall * all;
    }
    for (const [k, weight] of [w0, w1, w2, w3].entries()) {
      const to = Math.min(length, from.length - offset - k);
      const at0 = Math.max(0, -offset - k);
      for (let j = at0; j < Math.min(first, to); j += 1)
        sum[j] = (sum[j] ?? 0) + tall * weight * (from[offset + k + j] ?? 0);
      for (let j = Math.max(last, at0); j < to; j += 1)
        sum[j] = (sum[j] ?? 0) + tall * weight * (from[offset + k + j] ?? 0);
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
  const room = roomFor(wave);
  for (let n = 0; n < at.length; n += 1) addWave(left, at[n] ?? 0, -(size[n] ?? 0), wave, room);
  for (let i = 0; i < left.length; i += 1) left[i] = counts[i] === 1 ? (left[i] ?? 0) + (values[i] ?? 0) : 0;
  return left;
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i += 1) sum += (a[i] ?? 0) * (b[i] ?? 0);
  return sum;
}

/**
 * How much a wave's value j and its value k stand on the same places of the signal: the matrix of the normal equations, row by
 * row. Along a diagonal only the ends of what counts move, so running sums give it.
 */
function overlaps({ values, counts }: TrainSignal, strokes: Strokes, length: number): Float64Array {
  const pins = pinsOf(strokes, length, values.length);
  const places: number[] = [];
  for (let i = 0; i < pins.length; i += 1) if (pins[i] !== 0) places.push(i);
  const edges: number[] = [];
  for (let i = 0; i <= counts.length; i += 1)
    if ((counts[i] ?? 0) !== (i > 0 ? (counts[i - 1] ?? 0) : 0)) edges.push(i + length);
  const all = new Float64Array(length * length);
  const sums = new Float64Array(pins.length + 1);
  for (let lag = 0; lag < length; lag += 1) {
    let [sum, from] = [0, 0];
    for (const i of places) {
      if (i < lag) continue;
      const by = (pins[i] ?? 0) * (pins[i - lag] ?? 0);
      if (by === 0) continue;
      sums.fill(sum, from, i + 1);
      sum += by;
      from = i + 1;
    }
    sums.fill(sum, from);
    for (let j = 0; j + lag < length; j += 1) {
      let total = 0;
      for (let e = 0; e < edges.length; e += 2)
        total +=
          (sums[Math.min(pins.length, (edges[e + 1] ?? 0) - j)] ?? 0) -
          (sums[Math.min(pins.length, (edges[e] ?? 0) - j)] ?? 0);
      all[j * length + j + lag] = total;
      all[(j + lag) * length + j] = total;
    }
  }
  return all;
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
  const { length } = wave;
  const hold = holdsBack * strokes.size.reduce((sum, size) => sum + size * size, 0);
  const matrix = overlaps(signal, strokes, length);
  for (let j = 0; j < length; j += 1) matrix[j * length + j] = (matrix[j * length + j] ?? 0) + hold;
  const slope = gathered(leftOver(signal, strokes, wave), strokes, length);
  for (let j = 0; j < length; j += 1) slope[j] = (slope[j] ?? 0) - hold * (wave[j] ?? 0);
  const way = Float64Array.from(slope);
  const seen = new Float64Array(length);
  let steep = dot(slope, slope);
  const enough = 1e-7 * steep;
  for (let round = 0; round < rounds && steep > enough; round += 1) {
    for (let j = 0; j < length; j += 1) {
      let sum = 0;
      for (let k = 0, at = j * length; k < length; k += 1, at += 1) sum += (matrix[at] ?? 0) * (way[k] ?? 0);
      seen[j] = sum;
    }
    const step = steep / Math.max(1e-12, dot(seen, way));
    for (let j = 0; j < length; j += 1) {
      wave[j] = (wave[j] ?? 0) + step * (way[j] ?? 0);
      slope[j] = (slope[j] ?? 0) - step * (seen[j] ?? 0);
    }
    const next = dot(slope, slope);
    for (let j = 0; j < length; j += 1) way[j] = (slope[j] ?? 0) + (next / steep) * (way[j] ?? 0);
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
  const shape = roomFor(wave);
  const room = roomFor(wave);
  for (let n = 0; n < at.length; n += 1) {
    const place = at[n] ?? 0;
    const tall = size[n] ?? 0;
    const whole = Math.floor(place);
    moved(wave, place - whole, 1, shape);
    let vv = 0;
    let vs = 0;
    let ss = 0;
    let ev = 0;
    let es = 0;
    const last = Math.min(until, counts.length - whole + 1);
    for (let j = Math.max(1, 1 - whole); j < last; j += 1) {
      const i = whole - 1 + j;
      if (counts[i] !== 1) continue;
      const v = shape[j] ?? 0;
      const s = ((shape[j + 1] ?? 0) - (shape[j - 1] ?? 0)) / 2;
      const e = left[i] ?? 0;
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
    addFrom(left, whole - 1, tall, shape);
    addWave(left, next, -nextTall, wave, room);
    at[n] = next;
    size[n] = nextTall;
  }
  for (let i = 0; i < left.length; i += 1) if (counts[i] !== 1) left[i] = 0;
}
