import type { AverageBeat } from './average-beat.ts';
import { boxSmoothed, mean } from './smoothing.ts';

/** Whether the dicrotic notch is to be seen, and if not told, why. */
export type DicroticNotch =
  | { notch: 'present'; depthMmHg: number }
  | { notch: 'absent' }
  | { notch: 'cannot tell'; because: 'too few beats' | 'too noisy' | 'ringing hides it' | 'only a shoulder' };

/** Least beats averaged; least rise after the notch, as a share of the pulse pressure (own rules). */
const leastBeats = 5;
const leastShare = 0.015;

/**
 * Looks for the dicrotic notch on the average beat: a low between the systolic peak and the run-off, with a rise of at
 * least 1.5 % of the pulse pressure after it. Several evenly spaced ups and downs are ringing and hide it; a mere shoulder
 * is told as such. `pressures` noise: standard deviation on one beat, mmHg. Checked on made waves only.
 */
export function dicroticNotch(
  average: AverageBeat | null,
  beatCount: number,
  noiseMmHg: number,
  samplesPerS: number,
): DicroticNotch {
  if (average === null || beatCount < leastBeats) return { notch: 'cannot tell', because: 'too few beats' };
  const wave = boxSmoothed(average.aboveFootMmHg, Math.max(1, 0.02 * average.length));
  let [peakAt, lowest] = [0, Number.POSITIVE_INFINITY];
  for (const [i, p] of wave.entries()) {
    if (p > (wave[peakAt] ?? 0)) peakAt = i;
    lowest = Math.min(lowest, p);
  }
  const pulse = (wave[peakAt] ?? 0) - lowest;
  const noise = noiseMmHg / Math.sqrt(beatCount);
  if (!(pulse > 0) || noise > leastShare * pulse) return { notch: 'cannot tell', because: 'too noisy' };
  const least = Math.max(leastShare * pulse, 3 * noise);
  const until = Math.round(0.9 * average.length);
  const rises: { from: number; by: number }[] = [];
  let lowAt = peakAt;
  let highAt = peakAt;
  let falling = true;
  for (let i = peakAt + 1; i < Math.min(until, wave.length); i += 1) {
    const p = wave[i] ?? 0;
    if (falling) {
      if (p < (wave[lowAt] ?? 0)) lowAt = i;
      else if (p - (wave[lowAt] ?? 0) >= least) [falling, highAt] = [false, i];
    } else if (p > (wave[highAt] ?? 0)) highAt = i;
    else if ((wave[highAt] ?? 0) - p >= least) {
      rises.push({ from: lowAt, by: (wave[highAt] ?? 0) - (wave[lowAt] ?? 0) });
      [falling, lowAt] = [true, i];
    }
  }
  if (rises.length > 2) return { notch: 'cannot tell', because: 'ringing hides it' };
  const [first, second] = rises;
  if (first !== undefined) {
    // A notch lies a quarter to over half into the beat; two bumps near each other are a line that rings.
    if (second !== undefined && second.from - first.from < 0.16 * samplesPerS) {
      return { notch: 'cannot tell', because: 'ringing hides it' };
    }
    return { notch: 'present', depthMmHg: Math.max(...rises.map(({ by }) => by)) };
  }
  return hasShoulder(wave.subarray(peakAt, until), pulse)
    ? { notch: 'cannot tell', because: 'only a shoulder' }
    : { notch: 'absent' };
}

/** Whether the way down eases off to nearly level and then goes on steeper. */
function hasShoulder(down: Float64Array, pulse: number): boolean {
  const step = Math.max(1, Math.round(down.length / 16));
  const slopes: number[] = [];
  for (let i = 0; i + step < down.length; i += step)
    slopes.push(((down[i] ?? 0) - (down[i + step] ?? 0)) / pulse);
  const steepestAt = slopes.indexOf(Math.max(...slopes));
  const eased = slopes.findIndex((slope, i) => i > steepestAt && slope < 0.012);
  if (eased < 0) return false;
  return (
    Math.max(0, ...slopes.slice(eased + 1)) > 0.012 + 1.5 * Math.abs(mean(slopes.slice(eased, eased + 1)))
  );
}
