import type { Tails } from './gamma-distribution.ts';

/** Halvings that take any bracket of doubles down to neighbours: 1074 to reach the least, 52 within it. */
const mostSteps = 1200;

/**
 * The x at which a distribution's lower tail is `p`: bracketed, then found by false position (Illinois) with halving as a
 * safeguard, on the smaller tail so that no digit of it is lost. Throws a RangeError unless 0 < p < 1.
 */
export function quantileOf(
  p: number,
  tailsAt: (x: number) => Tails,
  { least, most, start }: { least: number; most: number; start: number },
): number {
  if (!(p > 0 && p < 1)) throw new RangeError(`A quantile of ${p} was asked for; 0 < p < 1 is allowed.`);
  // Above 0 where x lies beyond the quantile.
  const beyond = (x: number) => {
    const { lower, upper } = tailsAt(x);
    return p <= 0.5 ? lower - p : 1 - p - upper;
  };
  let low = least;
  let high = most;
  if (high === Number.POSITIVE_INFINITY) {
    high = Math.max(start, 1);
    while (beyond(high) < 0) {
      low = high;
      high *= 2;
    }
  }
  let atLow = beyond(low);
  let atHigh = beyond(high);
  let side = 0;
  for (let step = 0; step < mostSteps; step++) {
    const width = high - low;
    if (width <= 2 * Number.EPSILON * high) break;
    const chord = high - (atHigh * width) / (atHigh - atLow);
    // Every third step halves: false position alone crawls where a tail is flat.
    const x = step % 3 === 2 || !(chord > low && chord < high) ? low + width / 2 : chord;
    if (x <= low || x >= high) break;
    const value = beyond(x);
    if (value === 0) return x;
    if (value > 0) {
      high = x;
      atHigh = value;
      if (side === 1) atLow /= 2;
      side = 1;
    } else {
      low = x;
      atLow = value;
      if (side === -1) atHigh /= 2;
      side = -1;
    }
  }
  return low + (high - low) / 2;
}
