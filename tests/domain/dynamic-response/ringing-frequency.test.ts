import { describe, expect, it } from 'vitest';
import { ringingFrequencyHz } from '../../../src/domain/dynamic-response/ringing-frequency.ts';

describe('ringingFrequencyHz', () => {
  it('gives 14.7 Hz for 1.7 mm at 25 mm/s (Mark, Atlas of Cardiovascular Monitoring 1998, Figs 9-9, 9-10)', () => {
    expect(ringingFrequencyHz(25, 1.7)).toBeCloseTo(14.7, 1);
  });

  // 50 ms between peaks: Deranged Physiology, "Arterial line dynamic response testing". 1.25 mm at 25 mm/s are 50 ms.
  it.each([
    [25, 1.25],
    [50, 2.5],
  ])('gives 20 Hz for 50 ms between peaks, at %f mm/s %f mm', (paperMmPerS, cycleMm) => {
    expect(ringingFrequencyHz(paperMmPerS, cycleMm)).toBeCloseTo(20, 10);
  });

  it.each([
    [0, 1],
    [25, 0],
    [25, -1],
    [Number.NaN, 1],
  ])('throws for %f mm/s and %f mm', (paperMmPerS, cycleMm) => {
    expect(() => ringingFrequencyHz(paperMmPerS, cycleMm)).toThrow(RangeError);
  });
});
