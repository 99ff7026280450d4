import { boxSmoothed, picked, quantile } from './smoothing.ts';

/**
 * Two levels: so much of the trace at each, and hardly anything between; or little between, where this share of its ups and
 * downs are jumps. Half of them jumps are enough with more between. Made square waves have at most 0.03 between and jumps of
 * 0.21 or more; a fast pulse with a flat top, or one that was clamped off for half of the strip, has 0.15 between and no jumps.
 */
const twoLevels = {
  each: 1 / 6,
  hardly: 0.08,
  little: 0.2,
  jumps: 0.4,
  mostlyJumps: 0.5,
  some: 0.3,
} as const;

/**
 * Whether the trace stays at two levels, the lowest and the highest quarter of its range, and jumps between them, by a third of
 * its range within 12 ms. A sine has a third of its samples between, a pulse more, and no artery jumps.
 */
export function isSquare(pressures: Float64Array, samplesPerS: number): boolean {
  const some = picked(pressures);
  const [low, high] = [quantile(some, 0.01), quantile(some, 0.99)];
  const range = high - low;
  let [top, bottom, between, all, jumps] = [0, 0, 0, 0, 0];
  const step = Math.max(1, Math.floor(0.012 * samplesPerS));
  for (let i = 0; i < pressures.length; i += 1) {
    const p = pressures[i] ?? 0;
    if (p > low + 0.75 * range) top += 1;
    else if (p < low + 0.25 * range) bottom += 1;
    else between += 1;
    if (i < step || i % step !== 0) continue;
    const by = Math.abs(p - (pressures[i - step] ?? p));
    all += by;
    if (by > 0.35 * range) jumps += by;
  }
  const n = pressures.length;
  const { each, hardly, little, mostlyJumps, some: mostBetween } = twoLevels;
  const areBoth = top > each * n && bottom > each * n;
  if (areBoth && (between < hardly * n || (between < little * n && jumps > twoLevels.jumps * all)))
    return true;
  return jumps > mostlyJumps * all && between < mostBetween * n;
}

/**
 * How lopsided the slopes are (skewness): above 0 where the wave rises quicker than it falls, as a pulse does; below 0 where
 * it is upside down; about 0 for a sine or noise. Smoothed over `widthS`, s, so that ringing has no say.
 */
export function slopeSkewness(pressures: Float64Array, samplesPerS: number, widthS: number): number {
  const smooth = boxSmoothed(boxSmoothed(pressures, widthS * samplesPerS), widthS * samplesPerS);
  let [n, sum2, sum3] = [0, 0, 0];
  for (let i = 1; i < smooth.length; i += 1) {
    const slope = (smooth[i] ?? 0) - (smooth[i - 1] ?? 0);
    n += 1;
    sum2 += slope * slope;
    sum3 += slope * slope * slope;
  }
  return sum2 > 0 ? sum3 / n / (sum2 / n) ** 1.5 : 0;
}
