import { quantile } from './smoothing.ts';
import { commonWave, leftOver, type Strokes, settleStrokes } from './train-kernel.ts';
import type { TrainSignal } from './train-signal.ts';

/**
 * A trace as a row of strokes that all make the same wave, each of its own size and at its own time: the heart's strokes
 * through vessels and line. A stroke that was not counted leaves a wave over; one that was made up comes out without size.
 */
export interface PulseTrain {
  /** Where each stroke begins, s from the start of the strip. */
  strokesS: number[];
  /** How tall each is; 1 is usual. */
  sizes: number[];
  /** The wave that each makes, from `leadS` before it begins, without its slow level, mmHg. */
  wave: Float64Array;
  leadS: number;
  samplesPerS: number;
  /** What is left over, mmHg; 0 where the trace is left out. */
  left: Float64Array;
  /** Sum of squares left over, and of the whole signal, mmHg². */
  leftSquares: number;
  allSquares: number;
  /** How many values count. */
  count: number;
}

/** A wave is looked at from so long before its stroke begins, s. */
export const leadS = 0.06;
/** A wave is followed for so long: one and a half beats, but no shorter or longer than this, s. */
const waveS = { beats: 1.5, least: 0.8, most: 2.4 } as const;
/** A stroke may move so far from where it was first seen; one that was only guessed (share of a beat), further. */
const moves = { seenS: 0.05, guessed: 0.3 } as const;
/** What is left over is a stroke from this size on; what was one is none below that. */
const leastSize = { found: 0.25, kept: 0.15 } as const;
/** No two strokes are nearer than this, s. */
const nearestS = 0.11;

interface Row extends Strokes {
  home: number[];
  furthest: number[];
}

function inOrder(row: Row): Row {
  const order = row.at.map((_, n) => n).toSorted((a, b) => (row.at[a] ?? 0) - (row.at[b] ?? 0));
  const by = (values: readonly number[]) => order.map((n) => values[n] ?? 0);
  return { at: by(row.at), size: by(row.size), home: by(row.home), furthest: by(row.furthest) };
}

function keptOf(row: Row, isKept: (n: number) => boolean): Row {
  const by = (values: readonly number[]) => values.filter((_, n) => isKept(n));
  return { at: by(row.at), size: by(row.size), home: by(row.home), furthest: by(row.furthest) };
}

/** The strokes that were seen, and those that the ends of the stretches cut off, at the usual distance. */
function rowOf(signal: TrainSignal, feet: readonly number[], lengthS: number): Row {
  const { samplesPerS, stretches } = signal;
  const lead = leadS * samplesPerS;
  const apart = lengthS * samplesPerS;
  const row: Row = { at: [], size: [], home: [], furthest: [] };
  const add = (foot: number, furthest: number) => {
    row.at.push(foot - lead);
    row.home.push(foot - lead);
    row.size.push(1);
    row.furthest.push(furthest);
  };
  for (const { from, to } of stretches) {
    const own = feet.filter((foot) => foot >= from && foot < to);
    const [first, last] = [own[0], own.at(-1)];
    if (first === undefined || last === undefined) continue;
    for (const foot of own) add(foot, moves.seenS * samplesPerS);
    for (let at = first - apart; at > from - 0.8 * samplesPerS; at -= apart) add(at, moves.guessed * apart);
    for (let at = last + apart; at < to; at += apart) add(at, moves.guessed * apart);
  }
  return inOrder(row);
}

/** Strokes that were missed: places where what is left over looks like the wave’s beginning, tallest first. */
function missedStrokes(
  { counts, samplesPerS }: TrainSignal,
  row: Row,
  wave: Float64Array,
  left: Float64Array,
  lengthS: number,
): { at: number; size: number }[] {
  const length = Math.min(wave.length, Math.round((leadS + Math.min(0.35, 0.9 * lengthS)) * samplesPerS));
  let whole = 0;
  for (let j = 0; j < length; j += 1) whole += (wave[j] ?? 0) ** 2;
  const found: { at: number; size: number; gain: number }[] = [];
  const step = samplesPerS > 60 ? 2 : 1;
  for (let at = -Math.round(leadS * samplesPerS); at < left.length - 0.15 * samplesPerS; at += step) {
    let [along, own] = [0, 0];
    for (let j = Math.max(0, -at); j < length; j += 1) {
      if (counts[at + j] !== 1) continue;
      const v = wave[j] ?? 0;
      along += v * (left[at + j] ?? 0);
      own += v * v;
    }
    if (along <= 0 || own < 0.5 * whole) continue;
    const size = along / own;
    if (size > leastSize.found) found.push({ at, size, gain: along * size });
  }
  const taken: { at: number; size: number }[] = [];
  const isNear = (at: number, to: readonly number[], by: number) => to.some((one) => Math.abs(one - at) < by);
  for (const { at, size } of found.toSorted((a, b) => b.gain - a.gain)) {
    if (taken.length > 0.4 * row.at.length + 3) break;
    const others = taken.map((one) => one.at);
    if (isNear(at, row.at, nearestS * samplesPerS) || isNear(at, others, 0.15 * samplesPerS)) continue;
    taken.push({ at, size });
  }
  return taken;
}

/** Rounds at most, of a row as it is; and of looking for strokes that were missed, with the rounds after each. */
const rounds = { asIs: 7, looking: 5, between: 2, last: 5 } as const;
/** What was added and taken off must leave less than this share over of what was left before. */
const worthIt = 0.4;

/** A row while it is being laid on a signal. */
interface Laid {
  row: Row;
  wave: Float64Array;
  left: Float64Array;
  leftSquares: number;
}

/** Finds wave, times and sizes in turn until little more is gained. */
function settled(signal: TrainSignal, from: Laid, most: number): Laid {
  let { row, wave, left, leftSquares } = from;
  row = { ...row, at: [...row.at], size: [...row.size] };
  for (let round = 0; round < most; round += 1) {
    const before = leftSquares;
    wave = commonWave(
      signal,
      row,
      wave,
      from.leftSquares === Number.POSITIVE_INFINITY && round === 0 ? 25 : 8,
    );
    left = leftOver(signal, row, wave);
    for (let sweep = 0; sweep < 3; sweep += 1) settleStrokes(signal, row, wave, left, row);
    const usual = quantile(row.size, 0.75) || 1;
    row = { ...row, home: [...row.at], size: row.size.map((size) => size / usual) };
    wave = wave.map((v) => v * usual);
    leftSquares = left.reduce((sum, v) => sum + v * v, 0);
    if (leftSquares > 0.985 * before) break;
  }
  return { row, wave, left, leftSquares };
}

/** A rise of this share of the usual one shows. */
const showsFrom = 0.4;

/** How far the signal rises where a stroke begins. */
export function riseAt({ values, samplesPerS }: TrainSignal, at: number): number {
  const begins = at + leadS * samplesPerS;
  let [low, most] = [Number.POSITIVE_INFINITY, 0];
  for (
    let i = Math.max(0, Math.round(begins - 0.04 * samplesPerS));
    i < begins + 0.14 * samplesPerS;
    i += 1
  ) {
    const v = values[i] ?? 0;
    low = Math.min(low, v);
    most = Math.max(most, v - low);
  }
  return most;
}

/** Takes strokes off that have no size and adds those that were missed; null where there are none. */
function mended(signal: TrainSignal, { row, wave, left }: Laid, lengthS: number): Laid | null {
  const rises = row.at.map((at) => riseAt(signal, at));
  const usual = quantile(rises, 0.5);
  // A rise that shows is something, even where strokes beside it could account for it.
  const kept = keptOf(
    row,
    (n) => (row.size[n] ?? 0) >= leastSize.kept || (rises[n] ?? 0) > showsFrom * usual,
  );
  const isLess = kept.at.length < row.at.length;
  const over = isLess ? leftOver(signal, kept, wave) : left;
  const missed = missedStrokes(signal, kept, wave, over, lengthS);
  if (!isLess && missed.length === 0) return null;
  for (const { at, size } of missed) {
    kept.at.push(at);
    kept.home.push(at);
    kept.size.push(size);
    kept.furthest.push(moves.seenS * signal.samplesPerS);
  }
  // What it leaves over is not known before it has settled.
  return { row: inOrder(kept), wave, left: over, leftSquares: Number.MAX_VALUE };
}

/**
 * Lays a row of strokes on a signal, first seen at `feet` (in values of the signal) about `lengthS` apart: the wave that they
 * share, the time and the size of each. With `pursues` strokes are added where a wave is left over and taken off where
 * there is none, if that is worth it.
 */
export function laidOn(
  signal: TrainSignal,
  feet: readonly number[],
  lengthS: number,
  { pursues = true, most = rounds.asIs }: { pursues?: boolean; most?: number } = {},
): PulseTrain {
  const { values, counts, samplesPerS } = signal;
  const length = Math.round(
    (leadS + Math.min(waveS.most, Math.max(waveS.least, waveS.beats * lengthS))) * samplesPerS,
  );
  const start: Laid = {
    row: rowOf(signal, feet, lengthS),
    wave: new Float64Array(length),
    left: values,
    leftSquares: Number.POSITIVE_INFINITY,
  };
  const asSeen = settled(signal, start, most);
  let laid = asSeen;
  for (let look = 0; pursues && look < rounds.looking; look += 1) {
    const next = mended(signal, laid, lengthS);
    if (next === null) break;
    laid = settled(signal, next, rounds.between);
  }
  if (laid !== asSeen) {
    laid = settled(signal, laid, rounds.last);
    // As many rounds for the row as it was seen, or the other would win by those alone.
    const longer =
      laid.leftSquares > worthIt * asSeen.leftSquares ? asSeen : settled(signal, asSeen, rounds.last);
    if (laid.leftSquares > worthIt * longer.leftSquares) laid = longer;
  }
  let [allSquares, count] = [0, 0];
  for (let i = 0; i < values.length; i += 1) {
    if (counts[i] !== 1) continue;
    allSquares += (values[i] ?? 0) ** 2;
    count += 1;
  }
  const { row, wave, left, leftSquares } = laid;
  return {
    strokesS: row.at.map((at) => at / samplesPerS + leadS),
    sizes: row.size,
    wave,
    leadS,
    samplesPerS,
    left,
    leftSquares,
    allSquares,
    count,
  };
}
