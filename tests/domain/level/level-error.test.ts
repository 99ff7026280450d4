import { describe, expect, it } from 'vitest';
import { atHeartLevel, levelErrorMmHg, mmHgPerCm } from '../../../src/domain/level/level-error.ts';
import * as fc from '../../support/properties.ts';

const water = 1000;

describe('mmHgPerCm', () => {
  // Conventional definitions: 1 cmH2O = 98.0665 Pa, 1 mmHg = 133.322387415 Pa, so 1 cmH2O = 0.7355591 mmHg (NIST SP 811).
  it('gives 0.7355591 mmHg to a centimetre of conventional water', () => {
    expect(mmHgPerCm(water)).toBeCloseTo(0.7355591, 6);
  });

  it('gives 0.739 mmHg to a centimetre of 0.9 % saline', () => {
    expect(mmHgPerCm()).toBeCloseTo(0.739, 3);
  });
});

describe('levelErrorMmHg', () => {
  // Mark JB, Atlas of Cardiovascular Monitoring, Churchill Livingstone 1998, Fig 3-4; Miller's Anesthesia 6th ed., Fig 32-28.
  it('reads 22 mmHg for a column of 30 cm, as in the published figure', () => {
    expect(Math.round(levelErrorMmHg(30, water))).toBe(22);
  });

  it.each([
    [2, 1.47],
    [5, 3.68],
    [10, 7.36],
    [15, 11.03],
  ])('is %f cm in conventional water → %f mmHg (conversion, from the definitions)', (cm, mmHg) => {
    expect(levelErrorMmHg(cm, water)).toBeCloseTo(mmHg, 2);
  });

  it('is as large above the heart as below, the other way', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 100, noNaN: true }),
        (cm) => levelErrorMmHg(-cm) === -levelErrorMmHg(cm),
      ),
    );
  });
});

describe('atHeartLevel', () => {
  it('finds hidden hypotension: a mean of 62 shown with the transducer 12 cm below was 53', () => {
    expect(atHeartLevel({ sapMmHg: 90, dapMmHg: 48, mapMmHg: 62 }, 12, water).mapMmHg).toBe(53);
  });

  it('finds a false alarm: a mean of 62 shown with the transducer 12 cm above was 71', () => {
    expect(atHeartLevel({ sapMmHg: 90, dapMmHg: 48, mapMmHg: 62 }, -12, water).mapMmHg).toBe(71);
  });

  it('leaves a mean out that was not told', () => {
    expect(atHeartLevel({ sapMmHg: 120, dapMmHg: 70 }, 0)).toEqual({ sapMmHg: 120, dapMmHg: 70 });
  });
});
