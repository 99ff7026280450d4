import { betaQuantile } from './beta-distribution.ts';
import { assertLevel, assertShare, type Interval, usualLevel } from './interval.ts';
import { twoSidedZ } from './normal-quantile.ts';

/**
 * Exact two-sided interval of a share (Clopper and Pearson, Biometrika 1934;26:404-413): Beta(α/2; x, n − x + 1) and
 * Beta(1 − α/2; x + 1, n − x); 0 below where x = 0, 1 above where x = n. It covers at least its level, mostly more. Throws
 * a RangeError unless 0 ≤ x ≤ n, n ≥ 1, whole, n ≤ 1e6, and 0 < level < 1.
 *
 * Example: 21 of 94 → 0.144 to 0.321.
 */
export function clopperPearsonInterval(count: number, total: number, level = usualLevel): Interval {
  assertShare(count, total);
  assertLevel(level);
  const tail = (1 - level) / 2;
  return {
    lower: count === 0 ? 0 : betaQuantile(tail, count, total - count + 1),
    upper: count === total ? 1 : betaQuantile(1 - tail, count + 1, total - count),
  };
}

/**
 * Score interval of a share (Wilson EB, J Am Stat Assoc 1927;22:209-212):
 * `(p + z²/2n ± z sqrt(p(1 − p)/n + z²/4n²)) / (1 + z²/n)`, kept within 0 to 1. On average it covers its level. Throws as
 * `clopperPearsonInterval` does.
 *
 * Example: 81 of 263 → 0.2553 to 0.3662.
 */
export function wilsonInterval(count: number, total: number, level = usualLevel): Interval {
  assertShare(count, total);
  assertLevel(level);
  const z = twoSidedZ(level);
  const share = count / total;
  const middle = share + (z * z) / (2 * total);
  const half = z * Math.sqrt((share * (1 - share)) / total + (z * z) / (4 * total * total));
  const by = 1 + (z * z) / total;
  return {
    lower: count === 0 ? 0 : Math.max(0, (middle - half) / by),
    upper: count === total ? 1 : Math.min(1, (middle + half) / by),
  };
}

/**
 * Score interval with continuity correction (Newcombe RG, Stat Med 1998;17:857-872, method 4), kept within 0 to 1:
 * `(2np + z² ± 1 ± z sqrt(z² ± 2 − 1/n + 4p(n(1 − p) ± 1))) / 2(n + z²)`, upper signs above, and below
 * `2np + z² − 1 − z sqrt(z² − 2 − 1/n + 4p(n(1 − p) + 1))`. Throws as `clopperPearsonInterval` does.
 *
 * Example: 81 of 263 → 0.2535 to 0.3682.
 */
export function wilsonContinuityInterval(count: number, total: number, level = usualLevel): Interval {
  assertShare(count, total);
  assertLevel(level);
  const z = twoSidedZ(level);
  const share = count / total;
  const by = 2 * (total + z * z);
  const end = (sign: -1 | 1) =>
    (2 * count +
      z * z +
      sign +
      sign * z * Math.sqrt(z * z + sign * 2 - 1 / total + 4 * share * (total - count - sign))) /
    by;
  return {
    lower: count === 0 ? 0 : Math.max(0, end(-1)),
    upper: count === total ? 1 : Math.min(1, end(1)),
  };
}

/**
 * Score interval of the difference of two unpaired shares, first less second (Newcombe RG, Stat Med 1998;17:873-890, method
 * 10), from the Wilson limits l and u of each: `d − sqrt((p1 − l1)² + (u2 − p2)²)` to
 * `d + sqrt((u1 − p1)² + (p2 − l2)²)`. Throws as `clopperPearsonInterval` does, for either share.
 *
 * Example: 56 of 70 less 48 of 80 → 0.2 (0.0524 to 0.3339).
 */
export function newcombeDifferenceInterval(
  first: { count: number; total: number },
  second: { count: number; total: number },
  level = usualLevel,
): Interval & { difference: number } {
  const one = wilsonInterval(first.count, first.total, level);
  const two = wilsonInterval(second.count, second.total, level);
  const p1 = first.count / first.total;
  const p2 = second.count / second.total;
  const difference = p1 - p2;
  return {
    difference,
    lower: difference - Math.hypot(p1 - one.lower, two.upper - p2),
    upper: difference + Math.hypot(one.upper - p1, p2 - two.lower),
  };
}
