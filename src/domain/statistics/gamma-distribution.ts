import { logGamma } from './log-gamma.ts';
import { quantileOf } from './quantile-of.ts';

const enough = 1e-16;
/** Terms after which a sum that has not settled is a bug; a shape of 1e6 needs about 10 000. */
const mostTerms = 100_000;
const largestShape = 1e6;

/** Below and above `x`, both kept: of the small one no digit may be lost. */
export interface Tails {
  lower: number;
  upper: number;
}

/**
 * Gamma distribution of shape `shape` and scale 1: the shares below and above `x`. Below `shape + 1` the series 6.5.29, above
 * it the continued fraction 6.5.31 of Abramowitz and Stegun, by Lentz's method. Throws a RangeError unless
 * 0 < shape ≤ 1e6 and x ≥ 0.
 *
 * Example: shape 1, x 2 → 0.864665 below.
 */
export function gammaTails(shape: number, x: number): Tails {
  if (!(shape > 0 && shape <= largestShape))
    throw new RangeError(
      `A gamma distribution of shape ${shape} was asked for; above 0 up to 1e6 is allowed.`,
    );
  if (!(x >= 0)) throw new RangeError(`A gamma distribution was asked for at ${x}; 0 or more is allowed.`);
  if (x === 0) return { lower: 0, upper: 1 };
  const front = Math.exp(shape * Math.log(x) - x - logGamma(shape));
  if (x < shape + 1) {
    let term = 1 / shape;
    let sum = term;
    for (let n = 1; term > sum * enough; n++) {
      if (n > mostTerms) throw new Error(`the gamma series did not settle: shape ${shape}, x ${x}`);
      term *= x / (shape + n);
      sum += term;
    }
    return { lower: front * sum, upper: 1 - front * sum };
  }
  let b = x + 1 - shape;
  let c = Number.POSITIVE_INFINITY;
  let d = 1 / b;
  let fraction = d;
  for (let n = 1; ; n++) {
    if (n > mostTerms) throw new Error(`the gamma fraction did not settle: shape ${shape}, x ${x}`);
    const a = -n * (n - shape);
    b += 2;
    d = 1 / (a * d + b);
    c = b + a / c;
    const step = c * d;
    fraction *= step;
    if (Math.abs(step - 1) < 4 * enough) break;
  }
  return { lower: 1 - front * fraction, upper: front * fraction };
}

/**
 * Gamma quantile, scale 1: the x below which a share `p` lies; a chi-squared quantile of `df` is twice that of shape `df / 2`.
 * Throws a RangeError unless 0 < p < 1 and 0 < shape ≤ 1e6.
 *
 * Example: p 0.975, shape 1 → 3.688879.
 */
export function gammaQuantile(p: number, shape: number): number {
  return quantileOf(p, (x) => gammaTails(shape, x), {
    least: 0,
    most: Number.POSITIVE_INFINITY,
    start: shape,
  });
}
