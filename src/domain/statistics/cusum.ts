/** What a procedure's learning curve is measured against. All are shares between 0 and 1. */
export interface CusumRates {
  /** Failure rate that is acceptable, p0, and that is not, p1 (p0 < p1). */
  acceptable: number;
  unacceptable: number;
  /** Chance of calling an acceptable operator unacceptable, α, and the other way round, β. */
  alpha: number;
  beta: number;
}

/** Magnitudes; the curve of one who is acceptable comes down to −h0, of one who is not goes up to +h1. */
export interface CusumLimits {
  /** Taken off at a success; a failure adds 1 − s. Never rounded: a rounded s moves the crossing by attempts. */
  s: number;
  h0: number;
  h1: number;
}

/** One attempt on a CUSUM curve. */
export interface CusumPoint {
  /** From 1. */
  attempt: number;
  failed: boolean;
  /** The curve as it is drawn, never set back. */
  sum: number;
  /** What the limits are held against: set back to 0 after each crossing, so that a later change is seen. */
  sinceCrossing: number;
  crossed: 'acceptable' | 'unacceptable' | null;
}

/**
 * Step and limits of a CUSUM chart, from Wald's sequential test as in Kestin IG, Br J Anaesth 1995;75:805-809:
 * `a = ln((1 − β)/α)`, `b = ln((1 − α)/β)`, `P = ln(p1/p0)`, `Q = ln((1 − p0)/(1 − p1))`, `s = Q/(P + Q)`,
 * `h0 = b/(P + Q)`, `h1 = a/(P + Q)`. Throws a RangeError unless 0 < p0 < p1 < 1, α and β above 0 and α + β below 1.
 *
 * Example: 0.20 and 0.40, α = β = 0.10 → s 0.2933, h0 = h1 = 2.2402: eight successes in a row reach −h0.
 */
export function cusumLimits({ acceptable, unacceptable, alpha, beta }: CusumRates): CusumLimits {
  if (!(acceptable > 0 && acceptable < unacceptable && unacceptable < 1))
    throw new RangeError(
      `Failure rates of ${acceptable} (acceptable) and ${unacceptable} (unacceptable) were given; 0 < acceptable < unacceptable < 1 is allowed.`,
    );
  if (!(alpha > 0 && beta > 0 && alpha + beta < 1))
    throw new RangeError(
      `Error rates of ${alpha} and ${beta} were given; above 0 and together below 1 is allowed.`,
    );
  const p = Math.log(unacceptable / acceptable);
  const q = Math.log((1 - acceptable) / (1 - unacceptable));
  return {
    s: q / (p + q),
    h0: Math.log((1 - alpha) / beta) / (p + q),
    h1: Math.log((1 - beta) / alpha) / (p + q),
  };
}

/** The chart of attempts in the order they were made; `true` is a failure. */
export function cusumCurve(failures: readonly boolean[], { s, h0, h1 }: CusumLimits): CusumPoint[] {
  let sum = 0;
  let since = 0;
  return failures.map((failed, index) => {
    const step = failed ? 1 - s : -s;
    sum += step;
    since += step;
    const crossed = since <= -h0 ? 'acceptable' : since >= h1 ? 'unacceptable' : null;
    const point: CusumPoint = { attempt: index + 1, failed, sum, sinceCrossing: since, crossed };
    if (crossed) since = 0;
    return point;
  });
}
