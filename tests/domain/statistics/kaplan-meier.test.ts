import { describe, expect, it } from 'vitest';
import {
  atRiskAt,
  type FollowUp,
  kaplanMeier,
  survivalAt,
} from '../../../src/domain/statistics/kaplan-meier.ts';
import * as fc from '../../support/properties.ts';
import { referenceValues } from './reference-values.ts';

const failedAt = (times: number[]): FollowUp[] => times.map((time) => ({ time, failed: true }));
const leftAt = (times: number[]): FollowUp[] => times.map((time) => ({ time, failed: false }));

// Freireich EJ et al., Blood 1963;21:699-716: weeks in remission.
const treated = [
  ...failedAt([6, 6, 6, 7, 10, 13, 16, 22, 23]),
  ...leftAt([6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35]),
];
const placebo = failedAt([1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23]);

describe('the published remissions under 6-MP', () => {
  // Survival and standard error as textbooks print them; bands recomputed.
  it.each([
    [6, 21, 3, 0.857, 0.0764, 0.6197, 0.9516, 0.7075, 1],
    [7, 17, 1, 0.807, 0.0869, 0.5631, 0.9228, 0.6363, 0.9771],
    [10, 15, 1, 0.753, 0.0963, 0.5032, 0.8894, 0.5641, 0.9418],
    [13, 12, 1, 0.69, 0.1068, 0.4316, 0.8491, 0.4808, 0.8995],
    [16, 11, 1, 0.627, 0.1141, 0.3675, 0.8049, 0.4039, 0.851],
    [22, 7, 1, 0.538, 0.1282, 0.2678, 0.7468, 0.2865, 0.7891],
    [23, 6, 1, 0.448, 0.1346, 0.1881, 0.6801, 0.1844, 0.712],
  ])(
    'at week %i are as published',
    (time, atRisk, failures, survival, error, low, high, plainLow, plainHigh) => {
      const step = kaplanMeier(treated).steps.find((one) => one.time === time);
      const plain = kaplanMeier(treated, { band: 'plain' }).steps.find((one) => one.time === time);
      expect(step).toMatchObject({ atRisk, failures });
      expect(step?.survival).toBeCloseTo(survival, 3);
      expect(step?.standardError).toBeCloseTo(error, 4);
      expect(step?.band?.lower).toBeCloseTo(low, 4);
      expect(step?.band?.upper).toBeCloseTo(high, 4);
      expect(plain?.band?.lower).toBeCloseTo(plainLow, 4);
      expect(plain?.band?.upper).toBeCloseTo(plainHigh, 4);
    },
  );

  it('have as many at risk at each time as are published, and between them those that neither failed nor left', () => {
    const curve = kaplanMeier(treated);
    const published = [21, 17, 15, 12, 11, 7, 6];
    expect([6, 7, 10, 13, 16, 22, 23].map((week) => atRiskAt(curve, week))).toEqual(published);
    // By hand: by week 8 four had relapsed and one left; by week 33 nine and ten.
    expect([0, 8, 33, 35, 36].map((week) => atRiskAt(curve, week))).toEqual([21, 16, 2, 1, 0]);
    expect([5.9, 6, 9.9, 40].map((week) => survivalAt(curve, week).survival.toFixed(3))).toEqual([
      '1.000',
      '0.857',
      '0.807',
      '0.448',
    ]);
  });

  it('have a median of 23 weeks, against 8 under placebo, in 359 and 182 weeks at risk', () => {
    expect(kaplanMeier(treated)).toMatchObject({
      subjects: 21,
      failures: 9,
      exposure: 359,
      median: { time: 23 },
    });
    expect(kaplanMeier(placebo)).toMatchObject({
      subjects: 21,
      failures: 21,
      exposure: 182,
      median: { time: 8 },
    });
  });

  it('have no median where the last two had not failed', () => {
    const still = treated.map((one) => (one.time >= 22 ? { ...one, failed: false } : one));
    expect(kaplanMeier(still).median).toEqual({ time: null, lower: 13, upper: null });
  });
});

describe.each(referenceValues.curves)('$name, by R 4.2.2 with survival 3.5-3', (curve) => {
  const followUps = curve.time.map((time, index) => ({ time, failed: curve.failed[index] === 1 }));

  it.each(['log-log', 'plain'] as const)('has the same curve, variance, %s band and median', (band) => {
    const ours = kaplanMeier(followUps, { band });
    const [lower, upper, median] =
      band === 'plain'
        ? [curve.plainLower, curve.plainUpper, curve.plainMedian]
        : [curve.loglogLower, curve.loglogUpper, curve.loglogMedian];
    expect(ours.steps.map(({ time, atRisk, failures }) => [time, atRisk, failures])).toEqual(
      curve.at.map((time, index) => [time, curve.atRisk[index], curve.failures[index]]),
    );
    for (const [index, step] of ours.steps.entries()) {
      expect(step.survival).toBeCloseTo(curve.survival[index] ?? Number.NaN, 12);
      if (step.band === null) continue;
      expect(Math.sqrt(step.greenwood)).toBeCloseTo(curve.rootOfGreenwood[index] ?? Number.NaN, 11);
      expect(step.band.lower).toBeCloseTo(lower[index] ?? Number.NaN, 11);
      expect(step.band.upper).toBeCloseTo(upper[index] ?? Number.NaN, 11);
    }
    expect([ours.median.time, ours.median.lower, ours.median.upper]).toEqual(median);
  });
});

describe('any follow-up', () => {
  const someFollowUps = fc.array(fc.record({ time: fc.nat(30), failed: fc.boolean() }), { maxLength: 60 });

  it('gives a curve that only falls, within its band', () => {
    fc.assert(
      fc.property(someFollowUps, fc.constantFrom('log-log' as const, 'plain' as const), (followUps, band) => {
        let before = 1;
        for (const { survival, band: about } of kaplanMeier(followUps, { band }).steps) {
          expect(survival).toBeLessThan(before);
          before = survival;
          if (!about) continue;
          expect(about.lower).toBeGreaterThanOrEqual(0);
          expect(about.lower).toBeLessThanOrEqual(survival);
          expect(about.upper).toBeGreaterThanOrEqual(survival);
          expect(about.upper).toBeLessThanOrEqual(1);
        }
      }),
    );
  });

  it('without censoring is the plain share that is left, with error sqrt(S(1 − S)/n)', () => {
    fc.assert(
      fc.property(fc.array(fc.nat(30), { minLength: 1, maxLength: 60 }), (times) => {
        for (const { time, survival, standardError } of kaplanMeier(failedAt(times)).steps) {
          const left = times.filter((one) => one > time).length / times.length;
          expect(survival).toBeCloseTo(left, 12);
          // Where nobody is left there is no error to give.
          expect(standardError ?? 0).toBeCloseTo(Math.sqrt((left * (1 - left)) / times.length), 12);
        }
      }),
    );
  });

  it('finds the median of an even number where roundings leave a hair more than half', () => {
    for (let pairs = 1; pairs <= 60; pairs++) {
      const times = Array.from({ length: 2 * pairs }, (_, index) => index + 1);
      expect(kaplanMeier(failedAt(times)).median.time).toBe(pairs);
    }
  });

  it('of nobody is no curve', () => {
    expect(kaplanMeier([])).toMatchObject({ subjects: 0, steps: [], median: { time: null } });
  });

  it.each([-1, Number.NaN, Number.POSITIVE_INFINITY])('refuses a time of %d', (time) => {
    expect(() => kaplanMeier([{ time, failed: false }])).toThrow(RangeError);
  });
});
