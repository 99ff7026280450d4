import type { Beat } from './find-beats.ts';
import { mean, quantile, standardDeviation } from './smoothing.ts';

/** Runs of beats that follow each other without a break, at least so many. */
export function runsOf(beats: readonly Beat[], least: number): Beat[][] {
  const runs: Beat[][] = [];
  for (const beat of beats) {
    const last = runs.at(-1);
    if (last && Math.abs(beat.footAt - (last.at(-1)?.endsAt ?? -9)) <= 1) last.push(beat);
    else runs.push([beat]);
  }
  return runs.filter((run) => run.length >= least);
}

/** By how much values take turns: 1 where every second one is high, 0 where they do not; the two means, and how they vary. */
export interface Turns {
  share: number;
  low: number;
  high: number;
  /** Standard deviation within the highs and within the lows, the larger of the two. */
  within: number;
}

function turnsTaken(runs: readonly (readonly number[])[]): Turns {
  const [lows, highs]: [number[], number[]] = [[], []];
  let [turning, all] = [0, 0];
  for (const values of runs) {
    const even = mean(values.filter((_, i) => i % 2 === 0));
    const odd = mean(values.filter((_, i) => i % 2 === 1));
    lows.push(...values.filter((_, i) => (i % 2 === 0) === even < odd));
    highs.push(...values.filter((_, i) => (i % 2 === 0) !== even < odd));
    for (let i = 2; i < values.length; i += 1) {
      all += 1;
      const [a, b, c] = [values[i - 2] ?? 0, values[i - 1] ?? 0, values[i] ?? 0];
      if ((b > a && b > c) || (b < a && b < c)) turning += 1;
    }
  }
  return {
    share: all === 0 ? 0 : turning / all,
    low: quantile(lows, 0.5),
    high: quantile(highs, 0.5),
    within: Math.max(standardDeviation(lows), standardDeviation(highs)),
  };
}

/** How pulse pressures take turns, mmHg. */
export function turnsOfPulses(runs: readonly Beat[][]): Turns {
  return turnsTaken(runs.map((run) => run.map(({ sapMmHg, dapMmHg }) => sapMmHg - dapMmHg)));
}

/** How the distances between upstrokes take turns, samples. */
export function turnsOfIntervals(runs: readonly Beat[][]): Turns {
  return turnsTaken(
    runs
      .map((run) => run.slice(1).map(({ halfUpAt }, i) => halfUpAt - (run[i]?.halfUpAt ?? 0)))
      .filter(({ length }) => length >= 3),
  );
}
