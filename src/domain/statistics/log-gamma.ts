/** B(2k) / (2k (2k − 1)), k = 1 to 8: Stirling's series, Abramowitz and Stegun, Handbook of Mathematical Functions, 6.1.41. */
const stirling = [
  1 / 12,
  -1 / 360,
  1 / 1260,
  -1 / 1680,
  1 / 1188,
  -691 / 360_360,
  1 / 156,
  -3617 / 122_400,
] as const;

/** From here on eight terms of Stirling's series leave less than 1e-16. */
const largeEnough = 15;

/**
 * Natural logarithm of the gamma function for x > 0: Stirling's series, after `Γ(x + 1) = x Γ(x)` has led there. Absolute
 * error below 1e-13 up to x = 1000. Throws a RangeError for any other x.
 *
 * Example: ln Γ(5) = ln 24 = 3.178054.
 */
export function logGamma(x: number): number {
  if (!(x > 0 && x < Number.POSITIVE_INFINITY))
    throw new RangeError(`The logarithm of gamma of ${x} was asked for; a finite x above 0 is allowed.`);
  let shifted = x;
  let product = 1;
  while (shifted < largeEnough) {
    product *= shifted;
    shifted += 1;
  }
  const square = 1 / (shifted * shifted);
  const series = stirling.reduceRight((sum, term) => sum * square + term, 0) / shifted;
  return (
    (shifted - 0.5) * Math.log(shifted) - shifted + 0.5 * Math.log(2 * Math.PI) + series - Math.log(product)
  );
}
