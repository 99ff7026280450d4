import type { Beat } from './find-beats.ts';

/** Beats within this share of the usual length are laid over each other for their harmonics. */
const asLong = 0.1;

/** Share of the second and third harmonic in the mean of the usual beats: over many, noise and breathing have no say. */
export function overtonesOf(pressures: Float64Array, beats: readonly Beat[]): number {
  // One that is there: of two kinds of beats the median lies between them.
  const lengths = beats.map(({ footAt, endsAt }) => endsAt - footAt).toSorted((a, b) => a - b);
  const usual = lengths[Math.floor(lengths.length / 2)] ?? 1;
  const sums = [1, 2, 3].map(() => ({ re: 0, im: 0 }));
  for (const { footAt, endsAt } of beats) {
    const length = endsAt - footAt;
    if (Math.abs(length / usual - 1) > asLong) continue;
    const [first, last] = [pressures[footAt] ?? 0, pressures[endsAt] ?? pressures[endsAt - 1] ?? 0];
    for (let i = 0; i < length; i += 1) {
      const p = (pressures[footAt + i] ?? 0) - ((last - first) * i) / length;
      const angle = (2 * Math.PI * i) / length;
      for (const [n, sum] of sums.entries()) {
        sum.re += (p * Math.cos((n + 1) * angle)) / length;
        sum.im += (p * Math.sin((n + 1) * angle)) / length;
      }
    }
  }
  const [one = 0, two = 0, three = 0] = sums.map(({ re, im }) => re * re + im * im);
  return (two + three) / Math.max(1e-9, one + two + three);
}
