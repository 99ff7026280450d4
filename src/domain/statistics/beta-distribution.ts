import type { Tails } from './gamma-distribution.ts';
import { logGamma } from './log-gamma.ts';
import { quantileOf } from './quantile-of.ts';

const enough = 4e-16;
const mostTerms = 100_000;
const largestShape = 1e6;
/** Stands in for a denominator of 0 (Lentz's method). */
const tiny = 1e-300;

/**
 * Beta distribution: the shares below and above `x`. Continued fraction 26.5.8 of Abramowitz and Stegun, by Lentz's method,
 * taken from the side on which it settles fast. Throws a RangeError unless both shapes are above 0 up to 1e6 and
 * 0 ≤ x ≤ 1.
 *
 * Example: shapes 2 and 3 at 0.5 → 0.6875 below.
 */
export function betaTails(a: number, b: number, x: number): Tails {
  for (const shape of [a, b])
    if (!(shape > 0 && shape <= largestShape))
      throw new RangeError(
        `A beta distribution of shape ${shape} was asked for; above 0 up to 1e6 is allowed.`,
      );
  if (!(x >= 0 && x <= 1))
    throw new RangeError(`A beta distribution was asked for at ${x}; 0 to 1 is allowed.`);
  if (x === 0) return { lower: 0, upper: 1 };
  if (x === 1) return { lower: 1, upper: 0 };
  const front = Math.exp(logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log1p(-x));
  if (x < (a + 1) / (a + b + 2)) {
    const lower = (front * fraction(a, b, x)) / a;
    return { lower, upper: 1 - lower };
  }
  const upper = (front * fraction(b, a, 1 - x)) / b;
  return { lower: 1 - upper, upper };
}

function fraction(a: number, b: number, x: number): number {
  const notZero = (value: number) => (Math.abs(value) < tiny ? tiny : value);
  let c = 1;
  let d = 1 / notZero(1 - ((a + b) * x) / (a + 1));
  let result = d;
  for (let m = 1; ; m++) {
    if (m > mostTerms) throw new Error(`the beta fraction did not settle: shapes ${a} and ${b}, x ${x}`);
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / notZero(1 + even * d);
    c = notZero(1 + even / c);
    result *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / notZero(1 + odd * d);
    c = notZero(1 + odd / c);
    const step = d * c;
    result *= step;
    if (Math.abs(step - 1) < enough) return result;
  }
}

/**
 * Beta quantile: the x below which a share `p` lies. Throws a RangeError unless 0 < p < 1 and both shapes are above 0 up
 * to 1e6.
 *
 * Example: p 0.975, shapes 2 and 28 → 0.177644.
 */
export function betaQuantile(p: number, a: number, b: number): number {
  return quantileOf(p, (x) => betaTails(a, b, x), { least: 0, most: 1, start: a / (a + b) });
}
