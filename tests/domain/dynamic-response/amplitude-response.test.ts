import { describe, expect, it } from 'vitest';
import { amplitudeResponse, phaseLagRad } from '../../../src/domain/dynamic-response/amplitude-response.ts';
import * as fc from '../../support/properties.ts';

const at = [0.1, 0.25, 0.5, 0.75, 1, 1.5, 2] as const;

// The second-order system, worked out independently in double precision.
describe.each([
  [0.1, [1.0099, 1.0652, 1.3216, 2.1622, 5, 0.7779, 0.3304]],
  [0.2, [1.0093, 1.0606, 1.2883, 1.8851, 2.5, 0.7212, 0.3221]],
  [0.3, [1.0083, 1.0533, 1.238, 1.5933, 1.6667, 0.6492, 0.3095]],
  [0.5, [1.005, 1.0307, 1.1094, 1.1517, 1, 0.5121, 0.2774]],
  [0.6, [1.0028, 1.0159, 1.0412, 0.9993, 0.8333, 0.4563, 0.2603]],
  [0.64, [1.0018, 1.0095, 1.0142, 0.9479, 0.7813, 0.4365, 0.2536]],
  [0.7, [1.0002, 0.9993, 0.9747, 0.8791, 0.7143, 0.4092, 0.2437]],
  [Math.SQRT1_2, [1, 0.9981, 0.9701, 0.8716, 0.7071, 0.4061, 0.2425]],
  [1, [0.9901, 0.9412, 0.8, 0.64, 0.5, 0.3077, 0.2]],
])('at damping %f', (damping, expected) => {
  it(`shows sines at ${at.join(', ')} of the natural frequency ${expected.join(', ')} times as large`, () => {
    expect(at.map((u) => Number(amplitudeResponse(u, damping).toFixed(4)))).toEqual(expected);
  });
});

describe('the resonant peak', () => {
  it.each([
    [0.1, 5.0252, 0.99],
    [0.2, 2.5516, 0.959],
    [0.3, 1.7471, 0.906],
    [0.5, 1.1547, 0.707],
    [0.6, 1.0417, 0.529],
    [0.64, 1.0168, 0.425],
    [0.7, 1.0002, 0.141],
  ])('at damping %f is %f, at %f of the natural frequency', (damping, peak, peakAt) => {
    expect(amplitudeResponse(peakAt, damping)).toBeCloseTo(peak, 3);
    const all = Array.from({ length: 2000 }, (_, i) => amplitudeResponse(i / 1000, damping));
    expect(Math.max(...all)).toBeCloseTo(peak, 3);
    expect(all.indexOf(Math.max(...all)) / 1000).toBeCloseTo(peakAt, 2);
  });
});

describe('how far the response is flat', () => {
  it.each([
    [0.1, 0.05, 0.221],
    [0.1, 0.1, 0.305],
    [0.2, 0.05, 0.228],
    [0.2, 0.1, 0.316],
    [0.4, 0.05, 0.269],
    [0.4, 0.1, 0.378],
    [0.6, 0.05, 0.844],
    [0.6, 0.1, 0.916],
    [0.7, 0.05, 0.591],
    [0.7, 0.1, 0.71],
  ])('at damping %f it leaves ±%f at %f of the natural frequency', (damping, within, upTo) => {
    const off = (u: number) => Math.abs(amplitudeResponse(u, damping) - 1);
    const first = Array.from({ length: 1000 }, (_, i) => i / 1000).find((u) => off(u) > within);
    expect(first).toBeGreaterThanOrEqual(upTo - 0.0011);
    expect(first).toBeLessThanOrEqual(upTo + 0.0021);
  });
});

// The textbook line (14.7 Hz, 0.11; Mark 1998, Figs 9-9, 9-10) at harmonics 1 to 6 of the pulse, worked out independently.
describe('the textbook line', () => {
  it.each([
    [60, [1.005, 1.018, 1.042, 1.078, 1.127, 1.193]],
    [120, [1.018, 1.078, 1.193, 1.401, 1.793, 2.639]],
    [180, [1.042, 1.193, 1.564, 2.639, 4.381, 1.762]],
    [240, [1.078, 1.401, 2.639, 3.307, 1.108, 0.587]],
  ])('at %i beats a minute shows harmonics 1 to 6 %j times as large', (ratePerMin, expected) => {
    const shown = [1, 2, 3, 4, 5, 6].map((n) => amplitudeResponse((n * ratePerMin) / 60 / 14.7, 0.11));
    expect(shown.map((h) => Number(h.toFixed(3)))).toEqual(expected);
  });
});

describe('phaseLagRad', () => {
  it.each([
    [0.2, [2.31, 6.09, 14.93, 34.44, 90]],
    [0.64, [7.37, 18.85, 40.48, 65.5, 90]],
  ])('at damping %f lags %j degrees at 0.1, 0.25, 0.5, 0.75 and 1', (damping, expected) => {
    const degrees = [0.1, 0.25, 0.5, 0.75, 1].map((u) => (phaseLagRad(u, damping) * 180) / Math.PI);
    expect(degrees.map((d) => Number(d.toFixed(2)))).toEqual(expected);
  });
});

const damping = fc.double({ min: 0.01, max: 3, noNaN: true });

describe('properties', () => {
  it('is 1/(2ζ) and a quarter turn at the natural frequency', () => {
    fc.assert(
      fc.property(damping, (z) => {
        return Math.abs(amplitudeResponse(1, z) * 2 * z - 1) < 1e-12 && phaseLagRad(1, z) === Math.PI / 2;
      }),
    );
  });

  it('shows what stands still as it is', () => {
    fc.assert(fc.property(damping, (z) => amplitudeResponse(0, z) === 1 && phaseLagRad(0, z) === 0));
  });

  it('shows any sine smaller the more the line is damped, and lags more the faster it is', () => {
    fc.assert(
      fc.property(damping, fc.double({ min: 0.01, max: 5, noNaN: true }), (z, u) => {
        return (
          amplitudeResponse(u, z * 1.1) < amplitudeResponse(u, z) &&
          phaseLagRad(u * 1.1, z) > phaseLagRad(u, z)
        );
      }),
    );
  });

  it('throws without damping or below frequency 0', () => {
    expect(() => amplitudeResponse(1, 0)).toThrow(RangeError);
    expect(() => phaseLagRad(-1, 0.5)).toThrow(RangeError);
  });
});
