import { correlation } from './correlation.ts';
import type { Beat } from './find-beats.ts';
import { quantile } from './smoothing.ts';

/** The mean of a strip's beats, laid over each other at their feet. */
export interface AverageBeat {
  /** Mean pressures from the foot on, mmHg above the beat's own foot line, one for each sample. */
  aboveFootMmHg: Float64Array;
  /** How alike each beat is to the mean (correlation, 1 is the same). */
  likeness: number[];
  /** Median length of a beat, samples. */
  length: number;
}

/**
 * The average beat of a strip: pressures of all beats from their feet on, over the median length of a beat, each less the
 * straight line from its foot to the next, so that breathing drops out. Null of fewer than 3 beats.
 */
export function averageBeat(pressures: Float64Array, beats: readonly Beat[]): AverageBeat | null {
  if (beats.length < 3) return null;
  const length = Math.round(
    quantile(
      beats.map(({ footAt, endsAt }) => endsAt - footAt),
      0.5,
    ),
  );
  const shortest = Math.max(4, Math.round(0.9 * length));
  const parts = beats.map(({ footAt, endsAt, dapMmHg }) => {
    const part = new Float64Array(shortest);
    const end = pressures[endsAt] ?? dapMmHg;
    for (let i = 0; i < shortest; i += 1) {
      // A beat shorter than usual is held at its end; what would be the next upstroke is not this beat.
      const at = Math.min(footAt + i, endsAt - 1);
      part[i] = (pressures[at] ?? 0) - (dapMmHg + ((end - dapMmHg) * Math.min(i, length)) / length);
    }
    return part;
  });
  const sum = new Float64Array(shortest);
  for (const part of parts) for (let i = 0; i < shortest; i += 1) sum[i] = (sum[i] ?? 0) + (part[i] ?? 0);
  const aboveFootMmHg = sum.map((s) => s / parts.length);
  return { aboveFootMmHg, likeness: parts.map((part) => correlation(part, aboveFootMmHg)), length };
}
