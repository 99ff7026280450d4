import { median, quantile } from '../statistics/quantile.ts';
import { fewest } from './too-few.ts';

/** How values of one unit lie: median and quartiles, null where there are none. */
export interface Spread {
  values: number;
  lowerQuartile: number | null;
  median: number | null;
  upperQuartile: number | null;
  most: number | null;
  tooFew: boolean;
}

/** Median, quartiles and the largest of values, in their unit. */
export function spreadOf(values: readonly number[]): Spread {
  return {
    values: values.length,
    lowerQuartile: quantile(values, 0.25),
    median: median(values),
    upperQuartile: quantile(values, 0.75),
    most: quantile(values, 1),
    tooFew: values.length < fewest.ofMedian,
  };
}
