import { describe, expect, it } from 'vitest';
import { flushMlPerKgPerDay } from '../../../src/domain/fluid/flush-fluid.ts';

const line = (weightKg: number, rateMlPerH?: number) => ({
  flushMode: 'continuous' as const,
  patient: { name: 'Mochi', species: 'cat' as const, weightKg },
  source: { kind: 'pressure bag' as const, asOf: 0, ...(rateMlPerH === undefined ? {} : { rateMlPerH }) },
});

// Unit arithmetic at 3 mL/h, the flow of a usual flush device at 300 mmHg (common teaching, from memory).
describe('flushMlPerKgPerDay', () => {
  it.each([
    [1, 72],
    [2.5, 28.8],
    [4, 18],
    [10, 7.2],
    [30, 2.4],
  ])('gives an animal of %f kg %f mL/kg/day at 3 mL/h', (weightKg, expected) => {
    expect(flushMlPerKgPerDay(line(weightKg, 3))).toBeCloseTo(expected, 9);
  });

  it('gives nothing by hand, or where the rate is not known', () => {
    expect(flushMlPerKgPerDay({ ...line(4, 3), flushMode: 'manual' })).toBeNull();
    expect(flushMlPerKgPerDay(line(4))).toBeNull();
  });
});
