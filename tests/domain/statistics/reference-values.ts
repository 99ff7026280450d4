import { readFileSync } from 'node:fs';

interface Curve {
  name: string;
  time: number[];
  failed: number[];
  at: number[];
  atRisk: number[];
  failures: number[];
  survival: number[];
  rootOfGreenwood: (number | null)[];
  loglogLower: (number | null)[];
  loglogUpper: (number | null)[];
  plainLower: (number | null)[];
  plainUpper: (number | null)[];
  loglogMedian: (number | null)[];
  plainMedian: (number | null)[];
}

interface ReferenceValues {
  'normal: p, quantile': [number, number][];
  'gamma: p, shape, quantile': [number, number, number][];
  'gamma: shape, x, lower, upper': [number, number, number, number][];
  'beta: p, a, b, quantile': [number, number, number, number][];
  'log gamma: x, value': [number, number][];
  'poisson: k, level, lower, upper': [number, number, number, number][];
  'shares: x, n, exact, Wilson, Wilson with continuity': [
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
  ][];
  'quantiles of': number[];
  'quantiles: p, value': [number, number][];
  curves: Curve[];
}

/** What R 4.2.2 and its package survival 3.5-3 make of the same numbers; see tests/fixtures/statistics. */
export const referenceValues = JSON.parse(
  readFileSync(new URL('../../fixtures/statistics/reference-values.json', import.meta.url), 'utf8'),
) as ReferenceValues;

/** How far a value is from R's, as a share of R's; of 0 how far it is. */
export function relativeError(ours: number, theirs: number): number {
  return Math.abs(ours - theirs) / (theirs === 0 ? 1 : Math.abs(theirs));
}
