import type { Interval } from '../statistics/interval.ts';
import { clopperPearsonInterval, wilsonInterval } from '../statistics/proportion-intervals.ts';
import { fewest } from './too-few.ts';

/** A part of a whole, never without its denominator. */
export interface Share {
  count: number;
  total: number;
  /** 0 to 1; null where there is nothing to share, and so for the intervals (95 %). */
  share: number | null;
  /** Score interval (Wilson). */
  score: Interval | null;
  /** Exact interval (Clopper-Pearson). */
  exact: Interval | null;
  tooFew: boolean;
}

/** The share of `count` in `total` with its 95 % intervals. Throws a RangeError where `count` is not within `total`. */
export function shareOf(count: number, total: number): Share {
  if (total === 0 && count === 0)
    return { count, total, share: null, score: null, exact: null, tooFew: true };
  return {
    count,
    total,
    share: count / total,
    score: wilsonInterval(count, total),
    exact: clopperPearsonInterval(count, total),
    tooFew: total < fewest.ofShare,
  };
}
