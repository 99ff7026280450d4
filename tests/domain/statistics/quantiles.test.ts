import { describe, expect, it } from 'vitest';
import { betaQuantile, betaTails } from '../../../src/domain/statistics/beta-distribution.ts';
import { gammaQuantile, gammaTails } from '../../../src/domain/statistics/gamma-distribution.ts';
import { logGamma } from '../../../src/domain/statistics/log-gamma.ts';
import { normalQuantile, twoSidedZ } from '../../../src/domain/statistics/normal-quantile.ts';
import { median, quantile } from '../../../src/domain/statistics/quantile.ts';
import * as fc from '../../support/properties.ts';
import { referenceValues, relativeError } from './reference-values.ts';

const close = 1e-9;

describe('compared with R 4.2.2', () => {
  it.each(referenceValues['normal: p, quantile'])('finds the normal quantile of %d', (p, theirs) => {
    expect(relativeError(normalQuantile(p), theirs)).toBeLessThan(close);
  });

  it('finds gamma quantiles of shapes 0.5 to 50 000, far into both tails', () => {
    const off = referenceValues['gamma: p, shape, quantile'].filter(
      ([p, shape, theirs]) => relativeError(gammaQuantile(p, shape), theirs) >= close,
    );
    expect(off).toEqual([]);
  });

  it('finds beta quantiles of shapes 0.5 to 12 000, far into both tails', () => {
    const off = referenceValues['beta: p, a, b, quantile'].filter(
      ([p, a, b, theirs]) => relativeError(betaQuantile(p, a, b), theirs) >= close,
    );
    expect(off).toEqual([]);
  });

  it.each(referenceValues['gamma: shape, x, lower, upper'])(
    'finds both tails of a gamma of shape %d at %d',
    (shape, x, lower, upper) => {
      const tails = gammaTails(shape, x);
      expect(relativeError(tails.lower, lower)).toBeLessThan(close);
      expect(relativeError(tails.upper, upper)).toBeLessThan(close);
    },
  );

  it.each(referenceValues['log gamma: x, value'])('finds the logarithm of gamma of %d', (x, theirs) => {
    expect(Math.abs(logGamma(x) - theirs)).toBeLessThan(1e-13 * Math.max(1, Math.abs(theirs)));
  });

  it.each(referenceValues['quantiles: p, value'])('finds the %d quantile of seven values', (p, theirs) => {
    expect(quantile(referenceValues['quantiles of'], p)).toBeCloseTo(theirs, 12);
  });
});

// Printed tables of the normal and chi-squared distributions, as in any handbook.
describe('printed tables', () => {
  it.each([
    [0.8, 0.8416212336],
    [0.9, 1.2815515655],
    [0.95, 1.644853627],
    [0.975, 1.9599639845],
    [0.99, 2.326347874],
    [0.995, 2.5758293035],
    [0.9975, 2.8070337683],
    [0.999, 3.0902323062],
    [0.9995, 3.2905267315],
  ])('gives the z of %d as %d', (p, z) => {
    expect(normalQuantile(p)).toBeCloseTo(z, 10);
    expect(normalQuantile(1 - p)).toBeCloseTo(-z, 10);
  });

  it.each([
    [1, 0.000982, 0.003932, 3.841459, 5.023886],
    [2, 0.050636, 0.102587, 5.991465, 7.377759],
    [3, 0.215795, 0.351846, 7.814728, 9.348404],
    [4, 0.484419, 0.710723, 9.487729, 11.143287],
    [6, 1.237344, 1.635383, 12.591587, 14.449375],
    [10, 3.246973, 3.940299, 18.307038, 20.483177],
    [12, 4.403789, 5.226029, 21.02607, 23.336664],
    [20, 9.590777, 10.850811, 31.410433, 34.169607],
    [22, 10.982321, 12.338015, 33.924438, 36.780712],
  ])('gives chi-squared of %d degrees of freedom', (df, ...printed) => {
    for (const [index, p] of [0.025, 0.05, 0.95, 0.975].entries())
      expect(2 * gammaQuantile(p, df / 2)).toBeCloseTo(printed[index] ?? Number.NaN, 5);
  });

  it('has closed forms where a shape is 1: −ln(1 − p), and 1 − (1 − p)^(1/n)', () => {
    expect(gammaQuantile(0.975, 1)).toBeCloseTo(-Math.log(0.025), 13);
    expect(betaQuantile(0.025, 1, 29)).toBeCloseTo(1 - 0.975 ** (1 / 29), 14);
  });
});

describe('by their own laws', () => {
  const share = fc.double({ min: 1e-9, max: 1 - 1e-9, noNaN: true });
  const shape = fc.double({ min: 0.1, max: 5000, noNaN: true });

  it('the share below a gamma quantile is the share asked for', () => {
    fc.assert(
      fc.property(share, shape, (p, a) => {
        expect(gammaTails(a, gammaQuantile(p, a)).lower).toBeCloseTo(p, 10);
      }),
    );
  });

  it('the share below a beta quantile is the share asked for, where a double can name it', () => {
    fc.assert(
      fc.property(
        share,
        fc.double({ min: 0.5, max: 5000, noNaN: true }),
        shape.filter((b) => b >= 0.5),
        (p, a, b) => {
          expect(betaTails(a, b, betaQuantile(p, a, b)).lower).toBeCloseTo(p, 6);
        },
      ),
    );
  });

  it('beta tails turn round: below x for a and b is above 1 − x for b and a', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 64 }), shape, shape, (sixtyFourths, a, b) => {
        const x = sixtyFourths / 64;
        expect(betaTails(a, b, x).lower).toBeCloseTo(betaTails(b, a, 1 - x).upper, 11);
      }),
    );
  });

  it('a quantile of values lies within them and does not depend on their order', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer(), { minLength: 1 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (values, p) => {
          const found = quantile(values, p) ?? Number.NaN;
          expect(found).toBeGreaterThanOrEqual(Math.min(...values));
          expect(found).toBeLessThanOrEqual(Math.max(...values));
          expect(quantile(values.toReversed(), p)).toBe(found);
        },
      ),
    );
  });

  it('there is no median of nothing', () => {
    expect(median([])).toBeNull();
    expect(median([3, 1])).toBe(2);
  });
});

describe('what cannot be asked', () => {
  it.each([0, 1, -0.1, 1.1, Number.NaN])('refuses the quantile of %d', (p) => {
    expect(() => normalQuantile(p)).toThrow(RangeError);
    expect(() => gammaQuantile(p, 2)).toThrow(RangeError);
    expect(() => betaQuantile(p, 2, 2)).toThrow(RangeError);
    expect(() => twoSidedZ(p)).toThrow(RangeError);
  });

  it.each([0, -1, Number.NaN, Number.POSITIVE_INFINITY, 2e6])('refuses a shape of %d', (shape) => {
    expect(() => gammaQuantile(0.5, shape)).toThrow(/shape/);
    expect(() => betaQuantile(0.5, shape, 2)).toThrow(/shape/);
    expect(() => betaQuantile(0.5, 2, shape)).toThrow(/shape/);
  });

  it('refuses places outside a distribution', () => {
    expect(() => gammaTails(1, -1)).toThrow(/-1/);
    expect(() => betaTails(1, 1, 1.5)).toThrow(/1.5/);
    expect(() => logGamma(0)).toThrow(RangeError);
    expect(() => quantile([1], 2)).toThrow(RangeError);
    expect(() => quantile([Number.NaN], 0.5)).toThrow(/not a number/);
  });
});
