import { meanBeat } from './averaged-out.ts';
import type { Beat } from './find-beats.ts';
import { boxSmoothed } from './smoothing.ts';

/**
 * The mean of beats this long, smoothed so much that most of a line's ringing is gone, is two strokes if it halts so far below its
 * peak (of a slow heart's lower still) and goes on a third as steeply as it began. A wave after the notch that tops the stroke's
 * own peak begins higher up: so it did in each of 600 made steady pulses of 50 to 165 /min (own rule).
 */
const two = {
  fromS: 0.55,
  toS: 1.15,
  smoothS: 0.1,
  haltsBelow: 0.795,
  slow: { fromS: 0.85, haltsBelow: 0.72 },
  halts: 0.1,
  goesOn: 0.3,
} as const;

/** Whether the mean of the beats climbs in two goes, as the strokes of a pair do that come soon after each other. */
export function climbsInTwo(
  pressures: Float64Array,
  samplesPerS: number,
  beats: readonly Beat[],
  usualS: number,
): boolean {
  if (usualS < two.fromS || usualS > two.toS) return false;
  const length = Math.round(usualS * samplesPerS);
  const before = Math.round(length / 4);
  const mean = meanBeat(pressures, beats, before, length);
  if (mean === null) return false;
  const smooth = boxSmoothed(mean, two.smoothS * samplesPerS);
  const peakAt = smooth.indexOf(Math.max(...smooth));
  const low = Math.min(...smooth);
  const slopes = smooth.map((p, i) => (i === 0 ? 0 : p - (smooth[i - 1] ?? p))).subarray(0, peakAt);
  if (slopes.length === 0) return false;
  const steepest = Math.max(...slopes);
  const rest = slopes.subarray(slopes.indexOf(steepest));
  const haltAt = slopes.indexOf(steepest) + rest.indexOf(Math.min(...rest));
  const height = ((smooth[haltAt] ?? low) - low) / ((smooth[peakAt] ?? low) - low);
  const again = Math.max(...slopes.subarray(haltAt)) / steepest;
  const below = usualS > two.slow.fromS ? two.slow.haltsBelow : two.haltsBelow;
  return height < below && (slopes[haltAt] ?? 0) < two.halts * steepest && again > two.goesOn;
}
