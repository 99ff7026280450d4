import type { Excursion } from './excursions.ts';
import type { Beat, LeftOut } from './find-beats.ts';
import { mean, quantile, rangeWithin, standardDeviation } from './smoothing.ts';

/** Beats are at another level if systolic and diastolic are off by so much of the pulse: uneven ones vary by themselves (own rule). */
const otherLevel = { leastMmHg: 8, ofEven: 0.15, ofUneven: 0.3, evenBelow: 0.1 } as const;

/**
 * Beats that lie at another level than most, systolic and diastolic alike, for a second or more: a limb or the transducer
 * was moved. `driftMmHgPerS` is taken off first. A beat after a pause begins low by itself, an early
 * one high; they are not looked at.
 */
export function offLevel(
  { beats, intervalsS }: { beats: readonly Beat[]; intervalsS: readonly number[] },
  samplesPerS: number,
  drift: number,
): Excursion[] {
  if (beats.length < 5) return [];
  const straight = (mmHg: number, at: number) => mmHg - (drift * at) / samplesPerS;
  const saps = beats.map(({ sapMmHg, peakAt }) => straight(sapMmHg, peakAt));
  const daps = beats.map(({ dapMmHg, footAt }) => straight(dapMmHg, footAt));
  const [sap, dap] = [modeOf(saps), modeOf(daps)];
  const isEven = standardDeviation(intervalsS) < otherLevel.evenBelow * mean(intervalsS);
  const share = isEven ? otherLevel.ofEven : otherLevel.ofUneven;
  const limit = Math.max(otherLevel.leastMmHg, share * (quantile(saps, 0.5) - quantile(daps, 0.5)));
  const usual = quantile(intervalsS, 0.5) * samplesPerS;
  const offBy = beats.map(({ peakAt }, i) => {
    const [up, low] = [(saps[i] ?? 0) - sap, (daps[i] ?? 0) - dap];
    const before = beats[i - 1];
    const apart = before === undefined ? usual : peakAt - before.peakAt;
    const isLate = apart > 1.25 * usual && apart < 4 * usual;
    const isEarly = apart < 0.8 * usual;
    return isLate || isEarly || Math.sign(up) !== Math.sign(low) ? 0 : Math.min(Math.abs(up), Math.abs(low));
  });
  // Breathing can hide a part of it in one beat between two that are off.
  const isOff = offBy.map(
    (by, i) => by > limit || (by > 0.45 * limit && Math.min(offBy[i - 1] ?? 0, offBy[i + 1] ?? 0) > limit),
  );
  const found: Excursion[] = [];
  for (let i = 0; i < beats.length; i += 1) {
    if (isOff[i] !== true) continue;
    const first = i;
    while (isOff[i + 1] === true) i += 1;
    const [from, to] = [beats[first]?.footAt ?? 0, beats[i]?.endsAt ?? 0];
    if (to - from >= samplesPerS && (i > first || usual > 1.3 * samplesPerS)) {
      const margin = Math.round(Math.min(usual, samplesPerS));
      found.push({ kind: 'level', from: Math.max(0, from - margin), to: to + margin });
    }
  }
  // What lies off again and again is the rhythm, or breathing.
  const isRhythm =
    found.length > 3 || (found.length > 1 && isOff.filter(Boolean).length > 0.45 * beats.length);
  return isRhythm ? [] : found;
}

/** A transducer that is open to air reads less, mmHg. */
const airMmHg = 15;

/**
 * Whether a stretch that was left out holds a pulse as tall as the rest's: then the level moved, and which one is usual is not
 * known. Its ends are not looked at; a stretch of less than two usual beats between them says nothing.
 */
export function holdsPulse(
  pressures: Float64Array,
  samplesPerS: number,
  { from, to }: LeftOut,
  { usualS, pulseMmHg }: { usualS: number; pulseMmHg: number },
): boolean {
  const edge = Math.round(0.5 * samplesPerS);
  const width = Math.round(1.2 * usualS * samplesPerS);
  const [first, last] = [from === 0 ? 0 : from + edge, to >= pressures.length ? pressures.length : to - edge];
  const ranges: number[] = [];
  for (let at = first; at + width <= last; at += Math.max(1, Math.round(width / 2)))
    ranges.push(rangeWithin(pressures, at, at + width));
  if (last - first < 2 * usualS * samplesPerS || ranges.length === 0) return false;
  const usual = quantile(ranges, 0.5);
  const lowest = quantile(pressures.subarray(first, last), 0.05);
  // Open to air it reads about 0, and what pulses there is what comes after it.
  return lowest > airMmHg && usual > 0.6 * pulseMmHg && usual < 1.6 * pulseMmHg;
}

/** The value around which most lie: the middle of the shortest stretch that holds half of them. */
function modeOf(values: ArrayLike<number>): number {
  const sorted = Float64Array.from(values).sort();
  const half = Math.floor(sorted.length / 2);
  let [best, width] = [0, Number.POSITIVE_INFINITY];
  for (let i = 0; i + half < sorted.length; i += 1) {
    const by = (sorted[i + half] ?? 0) - (sorted[i] ?? 0);
    if (by < width) [best, width] = [i, by];
  }
  return mean(sorted.subarray(best, best + half + 1));
}
