import { describe, expect, it } from 'vitest';
import {
  boxSmoothed,
  filled,
  finerBetween,
  noiseOf,
  parabolaSmoothed,
  quantile,
  standardDeviation,
} from '../../../src/domain/strip/smoothing.ts';
import { bellFrom, chanceFrom } from '../../support/simulated-strip.ts';

describe('smoothing', () => {
  it('draws straight through missing values and holds the ends', () => {
    const { NaN: none } = Number;
    expect([...filled(Float64Array.of(none, 1, none, none, 4, none))]).toEqual([1, 1, 2, 3, 4, 4]);
    expect([...filled(Float64Array.of(none, none))]).toEqual([0, 0]);
  });

  it('means 3 around each: 1, 2, 6 → 1.5, 3, 4', () => {
    expect([...boxSmoothed(Float64Array.of(1, 2, 6), 3)]).toEqual([1.5, 3, 4]);
  });

  // Savitzky and Golay 1964, table for 5 points: -3, 12, 17, 12, -3 over 35.
  it('lays a parabola through 5 points with the published weights', () => {
    const impulse = Float64Array.from({ length: 9 }, (_, i) => (i === 4 ? 35 : 0));
    const out = parabolaSmoothed(impulse, 5);
    for (const [i, weight] of [-3, 12, 17, 12, -3].entries()) expect(out[i + 2]).toBeCloseTo(weight, 10);
  });

  it('keeps a parabola as it is', () => {
    const curve = Float64Array.from({ length: 30 }, (_, i) => 3 + 2 * i - 0.3 * i * i);
    for (const [i, v] of parabolaSmoothed(curve, 9).entries()) expect(v).toBeCloseTo(curve[i] ?? 0, 8);
  });

  it('tells noise of 2 mmHg from a slow wave within a tenth', () => {
    const bell = bellFrom(chanceFrom(5));
    const wave = Float64Array.from({ length: 5000 }, (_, i) => 90 + 30 * Math.sin(i / 30) + 2 * bell());
    expect(noiseOf(wave) / 2).toBeGreaterThan(0.9);
    expect(noiseOf(wave) / 2).toBeLessThan(1.1);
  });

  it('finds a sine between its samples, 5 for each cycle', () => {
    const wave = Float64Array.from({ length: 60 }, (_, i) => Math.sin((2 * Math.PI * i) / 5));
    for (const [k, v] of finerBetween(wave, 20, 40, 8).entries()) {
      expect(v).toBeCloseTo(Math.sin((2 * Math.PI * (20 + k / 8)) / 5), 1);
    }
  });

  // By hand.
  it('has 1.5 as the median of 1, 1, 2, 9 and 2 as the deviation of 1, 3, 5', () => {
    expect(quantile([9, 1, 2, 1], 0.5)).toBe(1.5);
    expect(standardDeviation([1, 3, 5])).toBe(2);
  });

  // The definition: sort, and go between the two neighbours of the place.
  it('finds the same quantiles as sorting does, of many numbers too, equal ones and missing ones', () => {
    const chance = chanceFrom(3);
    for (const count of [1, 2, 39, 40, 41, 500]) {
      for (const spread of [3, 1e6]) {
        const numbers = Float64Array.from({ length: count }, () => Math.round(spread * chance()));
        if (count === 41) numbers[5] = Number.NaN;
        const sorted = numbers.toSorted();
        for (const share of [0, 0.05, 0.5, 0.73, 0.98, 1]) {
          const place = share * (count - 1);
          const [below, above] = [sorted[Math.floor(place)] ?? 0, sorted[Math.ceil(place)] ?? 0];
          expect(quantile(numbers, share)).toBe(below + (above - below) * (place - Math.floor(place)));
        }
      }
    }
  });
});
