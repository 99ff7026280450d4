import type { AverageBeat } from './average-beat.ts';
import type { Beat } from './find-beats.ts';
import type { FoundFlush } from './find-flush.ts';

/** The rest of the strip, which the ringing is read against. */
export interface StripAround {
  beats: readonly Beat[];
  average: AverageBeat | null;
  /** Whether beats follow each other evenly enough to be foretold. */
  regular: boolean;
  /** Usual pulse pressure, mmHg. */
  pulseMmHg: number;
  noiseMmHg: number;
  /** Levels at which the recorder cuts off; null where none was seen. */
  cutsOffBelowMmHg: number | null;
  cutsOffAboveMmHg: number | null;
}

/** What the pulse would have been during the ringing, mmHg by sample number. */
export interface Pulse {
  at(sample: number): number;
}

/**
 * The pulse under the ringing: the average beat, repeated backwards from the first beat after it, at the beat length (up to
 * 8 % off the usual) that leaves least of the later half over. Where the rhythm is too uneven for that, the mean pressure.
 */
export function pulseUnder(
  pressures: Float64Array,
  { releasedAt, restTo }: FoundFlush,
  { beats, average, regular }: StripAround,
): Pulse | null {
  const next = beats.find(({ footAt }) => footAt >= restTo - 2);
  const near = next ?? beats.at(-1);
  if (near === undefined) return null;
  const flat: Pulse = { at: () => near.mapMmHg };
  if (!regular || average === null || next === undefined) return flat;
  const { aboveFootMmHg, length } = average;
  const repeated = (period: number): Pulse => ({
    at: (sample) => {
      const phase = (((sample - next.footAt) % period) + period) % period;
      const place = Math.min((phase * length) / period, aboveFootMmHg.length - 1);
      const below = Math.floor(place);
      const a = aboveFootMmHg[below] ?? 0;
      const b = aboveFootMmHg[Math.min(below + 1, aboveFootMmHg.length - 1)] ?? a;
      return next.dapMmHg + a + (b - a) * (place - below);
    },
  });
  let [best, least] = [flat, Number.POSITIVE_INFINITY];
  for (let step = -16; step <= 16; step += 1) {
    const pulse = repeated(length * (1 + step / 200));
    let left = 0;
    for (let i = Math.round((releasedAt + restTo) / 2); i < restTo; i += 1) {
      left += Math.abs((pressures[i] ?? 0) - pulse.at(i));
    }
    if (left < least) [best, least] = [pulse, left];
  }
  return best;
}
