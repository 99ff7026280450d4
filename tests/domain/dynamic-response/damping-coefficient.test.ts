import { describe, expect, it } from 'vitest';
import {
  type Damping,
  dampingOfFullCycle,
  dampingOfHalfCycle,
  dampingWithoutSecond,
  halfCycleRatio,
} from '../../../src/domain/dynamic-response/damping-coefficient.ts';
import * as fc from '../../support/properties.ts';

function valueOf(damping: Damping): number {
  if (damping.found !== 'value') throw new Error(`no value: ${JSON.stringify(damping)}`);
  return damping.damping;
}

describe('the published worked example: 17 mm after 24 mm', () => {
  // Mark JB, Atlas of Cardiovascular Monitoring, Churchill Livingstone 1998, Figs 9-9, 9-10; Miller's Anesthesia 6th ed., Fig 32-11.
  it('has damping 0.11 by half cycles', () => {
    expect(valueOf(dampingOfHalfCycle(17 / 24))).toBeCloseTo(0.11, 2);
    expect(valueOf(dampingOfHalfCycle(17 / 24))).toBeCloseTo(0.1091, 4);
  });

  it('is not 0.055, which the full-cycle formula makes of the same heights', () => {
    expect(valueOf(dampingOfFullCycle(17 / 24))).toBeCloseTo(0.0548, 4);
    expect(valueOf(dampingOfHalfCycle(17 / 24))).toBeGreaterThan(0.1);
  });
});

// Logarithmic decrement of the second-order system, worked out independently in double precision.
describe.each([
  [0.05, 0.6901, 0.4304],
  [0.1, 0.5912, 0.3441],
  [0.2, 0.4559, 0.2481],
  [0.3, 0.3579, 0.1882],
  [0.4, 0.28, 0.1443],
  [0.5, 0.2155, 0.1097],
  [0.6, 0.1605, 0.081],
  [0.7, 0.1128, 0.0567],
  [0.8, 0.0709, 0.0355],
  [0.9, 0.0335, 0.0168],
])('when the ratio is %f', (ratio, half, full) => {
  it(`is damping ${half} by half cycles and ${full} by full cycles`, () => {
    expect(valueOf(dampingOfHalfCycle(ratio))).toBeCloseTo(half, 4);
    expect(valueOf(dampingOfFullCycle(ratio))).toBeCloseTo(full, 4);
  });
});

describe('halfCycleRatio', () => {
  it.each([
    [0.1, 0.7292, 0.5318],
    [0.2, 0.5266, 0.2773],
    [0.3, 0.3723, 0.1386],
    [0.4, 0.2538, 0.0644],
    [0.5, 0.163, 0.0266],
    [0.6, 0.0948, 0.009],
    [0.64, 0.073, 0.0053],
    [0.7, 0.046, 0.0021],
    [0.8, 0.0152, 0.0002],
  ])('makes of damping %f the ratio %f, by full cycles its square %f', (damping, half, full) => {
    expect(halfCycleRatio(damping)).toBeCloseTo(half, 4);
    expect(halfCycleRatio(damping) ** 2).toBeCloseTo(full, 4);
  });

  it.each([1, 1.2, -0.1])('throws at damping %f, where nothing swings', (damping) => {
    expect(() => halfCycleRatio(damping)).toThrow(RangeError);
  });
});

const ratio = fc.double({ min: 1e-4, max: 0.9999, noNaN: true });

describe('properties', () => {
  it('comes back to the ratio it was made of', () => {
    fc.assert(fc.property(ratio, (r) => Math.abs(halfCycleRatio(valueOf(dampingOfHalfCycle(r))) - r) < 1e-9));
  });

  it('agrees between the definitions: the full-cycle ratio is the square of the half-cycle ratio', () => {
    fc.assert(
      fc.property(
        ratio,
        (r) => Math.abs(valueOf(dampingOfHalfCycle(r)) - valueOf(dampingOfFullCycle(r * r))) < 1e-9,
      ),
    );
  });

  it('is less damped the higher the second swing, and always between 0 and 1', () => {
    fc.assert(
      fc.property(ratio, ratio, (a, b) => {
        fc.pre(Math.abs(a - b) > 1e-6);
        const [low, high] = [
          valueOf(dampingOfHalfCycle(Math.max(a, b))),
          valueOf(dampingOfHalfCycle(Math.min(a, b))),
        ];
        return low > 0 && low < high && high < 1;
      }),
    );
  });
});

describe('guards', () => {
  it.each([1, 1.4, 0, -0.5, Number.NaN, Number.POSITIVE_INFINITY])('refuses a ratio of %f', (wrong) => {
    const refusal = { found: 'nothing', because: 'ratio not between 0 and 1', ratio: wrong };
    expect(dampingOfHalfCycle(wrong)).toEqual(refusal);
    expect(dampingOfFullCycle(wrong)).toEqual(refusal);
  });

  it('says about 0.7 or more where no second swing is seen, and gives no value', () => {
    expect(dampingOfHalfCycle(null)).toEqual({ found: 'at least', damping: 0.7 });
  });

  it('says about 0.4 or more where no second peak on the same side is seen', () => {
    expect(dampingOfFullCycle(null)).toEqual({ found: 'at least', damping: 0.4 });
  });

  it('takes both bounds from a second height of a twentieth of the first', () => {
    expect(dampingWithoutSecond['half cycle']).toBeCloseTo(valueOf(dampingOfHalfCycle(0.05)), 1);
    expect(dampingWithoutSecond['full cycle']).toBeCloseTo(valueOf(dampingOfFullCycle(0.05)), 1);
  });
});
