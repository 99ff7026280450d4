/**
 * The value below which a share `p` of the values lies, between neighbours by straight line: `h = (n − 1)p`, the seventh
 * definition of Hyndman and Fan, Am Stat 1996;50:361-365, as R and spreadsheets give it. Null where there are no values.
 * Order and unit of the values do not matter. Throws a RangeError unless 0 ≤ p ≤ 1 and every value is a number.
 *
 * Example: 0.25 of 1, 2, 3, 4 → 1.75.
 */
export function quantile(values: readonly number[], p: number): number | null {
  if (!(p >= 0 && p <= 1)) throw new RangeError(`A quantile of ${p} was asked for; 0 to 1 is allowed.`);
  if (values.some((value) => Number.isNaN(value)))
    throw new RangeError(
      'A quantile was asked for of something that is not a number; only numbers are allowed.',
    );
  const sorted = Float64Array.from(values).sort();
  const place = (sorted.length - 1) * p;
  const below = sorted[Math.floor(place)];
  const above = sorted[Math.ceil(place)];
  if (below === undefined || above === undefined) return null;
  return below === above ? below : below + (above - below) * (place - Math.floor(place));
}

/** The middle value; of an even number the mean of the two in the middle. Null where there are none. Example: 3, 1 → 2. */
export function median(values: readonly number[]): number | null {
  return quantile(values, 0.5);
}
