import { describe, expect, it } from 'vitest';
import type { Interval } from '../../../src/domain/statistics/interval.ts';
import { poissonRateInterval } from '../../../src/domain/statistics/poisson-rate-interval.ts';
import {
  clopperPearsonInterval,
  newcombeDifferenceInterval,
  wilsonContinuityInterval,
  wilsonInterval,
} from '../../../src/domain/statistics/proportion-intervals.ts';
import * as fc from '../../support/properties.ts';
import { referenceValues, relativeError } from './reference-values.ts';

function expectEnds({ lower, upper }: Interval, ends: readonly [number, number], digits: number): void {
  expect(lower).toBeCloseTo(ends[0], digits);
  expect(upper).toBeCloseTo(ends[1], digits);
}

describe('a share', () => {
  // The cases of Newcombe RG, Stat Med 1998;17:857-872 (cases and print from memory), recomputed to four figures.
  it.each([
    [81, 263, [0.2553, 0.3662], [0.2535, 0.3682], [0.2527, 0.3676]],
    [15, 148, [0.0624, 0.1605], [0.0598, 0.1644], [0.0578, 0.1617]],
    [0, 20, [0, 0.1611], [0, 0.2005], [0, 0.1684]],
    [1, 29, [0.0061, 0.1718], [0.0018, 0.1963], [0.0009, 0.1776]],
    [29, 29, [0.883, 1], [0.8544, 1], [0.8806, 1]],
  ] as const)(
    'of %i in %i has the intervals of the published comparison',
    (count, total, wilson, continuity, exact) => {
      expectEnds(wilsonInterval(count, total), wilson, 4);
      expectEnds(wilsonContinuityInterval(count, total), continuity, 4);
      expectEnds(clopperPearsonInterval(count, total), exact, 4);
    },
  );

  // R 4.2.2: binom.test, and prop.test without and with correction.
  it.each(referenceValues['shares: x, n, exact, Wilson, Wilson with continuity'])(
    'of %i in %i has the intervals of R',
    (count, total, ...theirs) => {
      const ours = [
        clopperPearsonInterval(count, total),
        wilsonInterval(count, total),
        wilsonContinuityInterval(count, total),
      ];
      for (const [index, { lower, upper }] of ours.entries()) {
        expect(relativeError(lower, theirs[2 * index] ?? Number.NaN)).toBeLessThan(1e-9);
        expect(relativeError(upper, theirs[2 * index + 1] ?? Number.NaN)).toBeLessThan(1e-9);
      }
    },
  );

  it('lies within its intervals, which lie within 0 to 1', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 2000 }), fc.nat(2000), (total, seed) => {
        const count = seed % (total + 1);
        for (const interval of [clopperPearsonInterval, wilsonInterval, wilsonContinuityInterval]) {
          const { lower, upper } = interval(count, total);
          expect(lower).toBeGreaterThanOrEqual(0);
          expect(upper).toBeLessThanOrEqual(1);
          expect(lower).toBeLessThanOrEqual(count / total);
          expect(upper).toBeGreaterThanOrEqual(count / total);
        }
      }),
    );
  });

  it('and its opposite mirror each other', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 500 }), fc.nat(500), (total, seed) => {
        const count = seed % (total + 1);
        for (const interval of [clopperPearsonInterval, wilsonInterval, wilsonContinuityInterval])
          expect(interval(total - count, total).lower).toBeCloseTo(1 - interval(count, total).upper, 12);
      }),
    );
  });

  it.each([
    [1, 0],
    [-1, 5],
    [6, 5],
    [0.5, 5],
    [Number.NaN, 5],
  ])('of %d in %d is refused', (count, total) => {
    expect(() => clopperPearsonInterval(count, total)).toThrow(RangeError);
    expect(() => wilsonInterval(count, total)).toThrow(RangeError);
    expect(() => wilsonContinuityInterval(count, total)).toThrow(RangeError);
  });

  it('is refused at a level of 1', () => {
    expect(() => clopperPearsonInterval(1, 5, 1)).toThrow(/level was 1/);
  });
});

describe('the difference of two shares', () => {
  // Newcombe RG, Stat Med 1998;17:873-890, Table II, method 10 (from memory).
  it.each([
    [56, 70, 48, 80, 0.2, 0.0524, 0.3339],
    [9, 10, 3, 10, 0.6, 0.1705, 0.809],
    [5, 56, 0, 29, 0.0893, -0.0381, 0.1926],
  ])('%i/%i less %i/%i is as published', (x1, n1, x2, n2, difference, lower, upper) => {
    const found = newcombeDifferenceInterval({ count: x1, total: n1 }, { count: x2, total: n2 });
    expect(found.difference).toBeCloseTo(difference, 4);
    expectEnds(found, [lower, upper], 4);
  });

  it('turned round changes its sign', () => {
    const one = { count: 63, total: 71 };
    const two = { count: 43, total: 70 };
    const there = newcombeDifferenceInterval(one, two);
    const back = newcombeDifferenceInterval(two, one);
    expectEnds(back, [-there.upper, -there.lower], 14);
  });
});

describe('a rate', () => {
  // Garwood's exact limits: anchors 0 -> 3.689 and 10 -> 4.80 to 18.39 are printed in textbooks; the rest recomputed.
  it.each([
    [0, 0, 3.6889],
    [1, 0.0253, 5.5716],
    [2, 0.2422, 7.2247],
    [3, 0.6187, 8.7673],
    [4, 1.0899, 10.2416],
    [5, 1.6235, 11.6683],
    [10, 4.7954, 18.3904],
    [20, 12.2165, 30.8884],
    [50, 37.111, 65.9188],
    [100, 81.364, 121.6268],
  ])('of %i events has the exact limits', (events, lower, upper) => {
    expectEnds(poissonRateInterval(events, 1), [lower, upper], 4);
  });

  // R 4.2.2: poisson.test.
  it.each(referenceValues['poisson: k, level, lower, upper'])(
    'of %i events at level %d is that of R',
    (events, level, lower, upper) => {
      const ours = poissonRateInterval(events, 1, { level });
      expect(relativeError(ours.lower, lower)).toBeLessThan(1e-9);
      expect(relativeError(ours.upper, upper)).toBeLessThan(1e-9);
    },
  );

  // Lorente et al., Crit Care 2006, doi:10.1186/cc4930: the printed rates per 1000 catheter-days; limits recomputed.
  it.each([
    ['radial, local', 9, 12_007, 0.75, 0.343, 1.423],
    ['radial, bloodstream', 3, 12_007, 0.25, 0.052, 0.73],
    ['femoral, local', 11, 3647, 3.02, 1.506, 5.397],
    ['femoral, bloodstream', 7, 3647, 1.92, 0.772, 3.955],
    ['brachial', 0, 649, 0, 0, 5.684],
    ['dorsalis pedis', 0, 754, 0, 0, 4.892],
  ])('of a published series is as printed: %s', (_, events, days, printed, lower, upper) => {
    const found = poissonRateInterval(events, days, { per: 1000 });
    expect(found.rate).toBeCloseTo(printed, 2);
    expectEnds(found, [lower, upper], 3);
  });

  // Koh et al., Crit Care Med 2008 print 15.7 (9.5 to 25.9) and 0.92 (0.13 to 6.44) per 1000 days by another method: limits
  // say nothing without their method's name. The others: Freireich's crude rates, and two made up; all recomputed.
  it.each([
    [17, 1082, 1000, 15.712, 9.153, 25.156],
    [1, 1082, 1000, 0.924, 0.023, 5.149],
    [9, 359, 100, 2.507, 1.146, 4.759],
    [21, 182, 100, 11.538, 7.143, 17.638],
    [3, 41.5, 1000, 72.289, 14.908, 211.259],
    [5, 1234, 1000, 4.052, 1.316, 9.456],
  ])('of %i events in %d, per %i, is %d', (events, exposure, per, rate, lower, upper) => {
    const found = poissonRateInterval(events, exposure, { per });
    expect(found.rate).toBeCloseTo(rate, 3);
    expectEnds(found, [lower, upper], 2);
  });

  it.each([
    [-1, 1],
    [1.5, 1],
    [1e6, 1],
    [1, 0],
    [1, Number.POSITIVE_INFINITY],
  ])('of %d events in %d is refused', (events, exposure) => {
    expect(() => poissonRateInterval(events, exposure)).toThrow(RangeError);
  });
});
