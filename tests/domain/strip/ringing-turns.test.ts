import { describe, expect, it } from 'vitest';
import { fallOfLineS, middleOfFall } from '../../../src/domain/strip/ringing-turns.ts';

describe('the fall of a second-order line after a step', () => {
  // Dorf and Bishop, Modern Control Systems, from memory: rise from 10 to 90 % is about (2.16 ζ + 0.60) / ωn, a straight line through it, for ζ of 0.3 to 0.8.
  it.each([0.3, 0.4, 0.5, 0.6, 0.7, 0.8])('takes what the handbook says at damping %d', (damping) => {
    const handbookS = (2.16 * damping + 0.6) / (2 * Math.PI * 10);
    expect(fallOfLineS(10, damping) / handbookS).toBeGreaterThan(0.93);
    expect(fallOfLineS(10, damping) / handbookS).toBeLessThan(1.07);
  });

  it('is half way a third of a turn after the release if nothing damps, since cos 60° is a half', () => {
    expect(middleOfFall(0)).toBeCloseTo(1 / 3, 6);
    // From cos x = 0.9 to cos x = 0.1.
    expect(fallOfLineS(1, 0)).toBeCloseTo((Math.acos(0.1) - Math.acos(0.9)) / (2 * Math.PI), 6);
  });
});
