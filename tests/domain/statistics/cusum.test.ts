import { describe, expect, it } from 'vitest';
import { cusumCurve, cusumLimits } from '../../../src/domain/statistics/cusum.ts';
import * as fc from '../../support/properties.ts';

const ten = { alpha: 0.1, beta: 0.1 };

/** Attempts to reach the acceptable line when the first `failed` fail and the rest succeed. */
function attemptsToAcceptable(acceptable: number, unacceptable: number, failed: number): number {
  const { s, h0 } = cusumLimits({ acceptable, unacceptable, ...ten });
  // The upper line is set aside: the count is of the lower one.
  const outcomes = Array.from({ length: 200 }, (_, index) => index < failed);
  return (
    cusumCurve(outcomes, { s, h0, h1: Number.POSITIVE_INFINITY }).findIndex(({ crossed }) => crossed) + 1
  );
}

describe('steps and limits', () => {
  // Formulas as published: Kestin IG, Br J Anaesth 1995;75:805-809; the figures worked out from them in double precision.
  it.each([
    [0.05, 0.1, 0.07236, 2.9406],
    [0.05, 0.15, 0.09193, 1.8161],
    [0.1, 0.2, 0.14524, 2.7095],
    [0.15, 0.3, 0.21882, 2.4763],
    [0.2, 0.4, 0.2933, 2.2402],
  ])('of %d and %d are s %d and h %d', (acceptable, unacceptable, s, h) => {
    const limits = cusumLimits({ acceptable, unacceptable, ...ten });
    expect(limits.s).toBeCloseTo(s, 5);
    expect(limits.h0).toBeCloseTo(h, 4);
    expect(limits.h1).toBeCloseTo(h, 4);
  });

  it('of unequal errors differ: α 0.05, β 0.20 give h0 1.9214, h1 3.4190', () => {
    const { h0, h1 } = cusumLimits({ acceptable: 0.1, unacceptable: 0.2, alpha: 0.05, beta: 0.2 });
    expect(h0).toBeCloseTo(1.9214, 4);
    expect(h1).toBeCloseTo(3.419, 4);
  });

  it.each([
    [0.4, 0.2, 0.1, 0.1],
    [0, 0.2, 0.1, 0.1],
    [0.2, 1, 0.1, 0.1],
    [0.2, 0.4, 0, 0.1],
    [0.2, 0.4, 0.5, 0.5],
  ])('of %d, %d, %d, %d are refused', (acceptable, unacceptable, alpha, beta) => {
    expect(() => cusumLimits({ acceptable, unacceptable, alpha, beta })).toThrow(RangeError);
  });
});

describe('the curve', () => {
  it('goes the way of the worked path S S F S S S F S S S at 0.20 and 0.40', () => {
    const failures = 'SSFSSSFSSS'.split('').map((letter) => letter === 'F');
    const sums = cusumCurve(failures, cusumLimits({ acceptable: 0.2, unacceptable: 0.4, ...ten })).map(
      ({ sum }) => Math.round(sum * 1000) / 1000,
    );
    expect(sums).toEqual([-0.293, -0.587, 0.12, -0.173, -0.467, -0.76, -0.053, -0.346, -0.64, -0.933]);
  });

  it.each([
    [0.05, 0.1, [41, 55, 69, 83]],
    [0.1, 0.2, [19, 26, 33, 40]],
    [0.15, 0.3, [12, 16, 21, 26]],
    [0.2, 0.4, [8, 12, 15, 18]],
  ])(
    'at %d and %d reaches the acceptable line after %j attempts with 0 to 3 failures',
    (acceptable, unacceptable, attempts) => {
      expect([0, 1, 2, 3].map((failed) => attemptsToAcceptable(acceptable, unacceptable, failed))).toEqual(
        attempts,
      );
    },
  );

  it('begins anew after each crossing, so that one who was acceptable can be found not to be', () => {
    const limits = cusumLimits({ acceptable: 0.2, unacceptable: 0.4, ...ten });
    const outcomes = [...Array<boolean>(8).fill(false), ...Array<boolean>(4).fill(true)];
    const crossings = cusumCurve(outcomes, limits).filter(({ crossed }) => crossed);
    expect(crossings.map(({ attempt, crossed }) => [attempt, crossed])).toEqual([
      [8, 'acceptable'],
      [12, 'unacceptable'],
    ]);
  });

  it('as drawn ends at failures less s for each attempt', () => {
    fc.assert(
      fc.property(fc.array(fc.boolean(), { minLength: 1, maxLength: 300 }), (outcomes) => {
        const limits = cusumLimits({ acceptable: 0.2, unacceptable: 0.4, ...ten });
        const last = cusumCurve(outcomes, limits).at(-1);
        expect(last?.sum).toBeCloseTo(outcomes.filter(Boolean).length - outcomes.length * limits.s, 10);
      }),
    );
  });
});
