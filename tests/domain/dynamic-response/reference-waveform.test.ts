import { describe, expect, it } from 'vitest';
import {
  harmonicCount,
  pointsPerBeat,
  pressuresOfBeat,
  referenceWaveform,
} from '../../../src/domain/dynamic-response/reference-waveform.ts';
import * as fc from '../../support/properties.ts';

/** Phases at which a beat is higher (or, with -1, lower) than on both sides. */
function turningPhases(pressures: Float64Array, sign: 1 | -1): number[] {
  const at = (i: number) => sign * (pressures[(i + pointsPerBeat) % pointsPerBeat] ?? 0);
  return [...pressures.keys()]
    .filter((i) => at(i) > at(i - 1) && at(i) >= at(i + 1))
    .map((i) => i / pointsPerBeat);
}

describe('the reference beat of 120 over 80', () => {
  const wave = referenceWaveform(120, 80);
  const pressures = pressuresOfBeat(wave);

  it('reaches 120 and 80 mmHg', () => {
    expect(Math.max(...pressures)).toBeCloseTo(120, 9);
    expect(Math.min(...pressures)).toBeCloseTo(80, 9);
  });

  it('rises once, has one notch and one wave after it', () => {
    const peaks = turningPhases(pressures, 1);
    const troughs = turningPhases(pressures, -1);
    expect(peaks).toHaveLength(2);
    expect(troughs).toHaveLength(2);
    const [peak, dicrotic] = peaks;
    const [foot, notch] = troughs;
    expect(foot).toBeLessThan(0.03);
    expect(peak).toBeCloseTo(0.19, 2);
    expect(notch).toBeCloseTo(0.44, 1);
    expect(dicrotic).toBeGreaterThan(notch ?? 1);
  });

  // 1,526 people: mean at 0.42 of the pulse pressure above the diastolic, from 0.23 to 0.58 (PMID 32694334).
  it('has its mean where people have theirs, 0.37 of the pulse pressure above the diastolic', () => {
    const share = (wave.meanMmHg - 80) / 40;
    expect(share).toBeCloseTo(0.37, 2);
    expect(share).toBeGreaterThan(0.23);
    expect(share).toBeLessThan(0.58);
    expect(pressures.reduce((sum, p) => sum + p, 0) / pointsPerBeat).toBeCloseTo(wave.meanMmHg, 9);
  });

  // "The first 10 harmonics contribute 99 % of the waveform": teaching notes on Fourier analysis, no primary source.
  it('holds more than 99 % of its power in the first 10 harmonics, and less than that in the first 2', () => {
    const power = wave.harmonics.map(({ cosMmHg, sinMmHg }) => cosMmHg ** 2 + sinMmHg ** 2);
    const share = (n: number) =>
      power.slice(0, n).reduce((a, b) => a + b, 0) / power.reduce((a, b) => a + b, 0);
    expect(power).toHaveLength(harmonicCount);
    expect(share(10)).toBeGreaterThan(0.99);
    expect(share(2)).toBeLessThan(0.95);
  });

  // From memory, common for peripheral arteries; no table was found.
  it('has harmonics that fall off as 1, 0.66, 0.41, 0.19, 0.16, 0.10', () => {
    const sizes = wave.harmonics.map(({ cosMmHg, sinMmHg }) => Math.hypot(cosMmHg, sinMmHg));
    const first = sizes[0] ?? Number.NaN;
    const expected = [1, 0.66, 0.41, 0.19, 0.16, 0.1];
    expect(sizes.slice(0, 6).every((s, i) => Math.abs(s / first - (expected[i] ?? 0)) < 0.01)).toBe(true);
  });
});

it('reaches any systolic and diastolic told', () => {
  fc.assert(
    fc.property(fc.integer({ min: 10, max: 150 }), fc.integer({ min: 5, max: 150 }), (dap, pulse) => {
      const pressures = pressuresOfBeat(referenceWaveform(dap + pulse, dap));
      return (
        Math.abs(Math.max(...pressures) - dap - pulse) < 1e-9 && Math.abs(Math.min(...pressures) - dap) < 1e-9
      );
    }),
  );
});

it.each([
  [80, 80],
  [80, 120],
  [Number.NaN, 80],
])('throws for %f over %f', (sap, dap) => {
  expect(() => referenceWaveform(sap, dap)).toThrow(RangeError);
});
