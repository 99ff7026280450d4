import { describe, expect, it } from 'vitest';
import { defaultFlushTestRegions, regionOf } from '../../../src/domain/dynamic-response/regions.ts';
import { enoughUpTo, furthestOffMmHg, responseAt } from '../../../src/domain/dynamic-response/response-at.ts';
import { regionWords } from '../../../src/wording/care/response-words.ts';
import * as fc from '../../support/properties.ts';

const limits = { regions: defaultFlushTestRegions, errorMmHg: 5 };
const of = (naturalHz: number, damping: number) => ({ system: { naturalHz, damping }, measured: null });
const shown = { sapMmHg: 150, dapMmHg: 60 };

// Miller's Anesthesia 6th ed., Fig 32-10 (after Mark JB, Atlas of Cardiovascular Monitoring, 1998) calls a line of 17 Hz and
// 0.2 adequate; the eight Beagles' lines of 14 to 38 Hz were too. Neither says for which pulse.
describe('a region that says more than the pulse allows', () => {
  it('is adequate on a small pulse and underdamped on a wide one', () => {
    const line = of(17, 0.2);
    expect(regionOf(line.system, 110).region).toBe('adequate');
    expect(responseAt(line, 110, { sapMmHg: 100, dapMmHg: 70 }, limits)).toMatchObject({
      verdict: { region: 'adequate' },
      isEnough: true,
    });
    const at = responseAt(line, 110, shown, limits);
    expect(at).toMatchObject({ verdict: { region: 'underdamped', damping: 'under' }, isEnough: false });
    expect(regionWords(at.verdict)).toContain('too high');
  });

  it('is named overdamped where the pulse reads too small', () => {
    const at = responseAt(of(12, 0.79), 240, { sapMmHg: 200, dapMmHg: 60 }, limits);
    expect(at.error?.value.sapMmHg).toBeLessThan(-5);
    expect(at.verdict).toMatchObject({ region: 'overdamped', damping: 'over' });
  });

  it('never says that ringing matters little', () => {
    expect(regionWords(regionOf({ naturalHz: 17, damping: 0.2 }, 110))).not.toMatch(/matter/);
  });

  it('is enough only where no error is beyond the limit, and agrees with the way it is off', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 5, max: 60, noNaN: true }),
        fc.double({ min: 0.05, max: 1.2, noNaN: true }),
        fc.integer({ min: 40, max: 300 }),
        fc.integer({ min: 1, max: 150 }),
        (naturalHz, damping, perMin, pulse) => {
          const at = responseAt(of(naturalHz, damping), perMin, { sapMmHg: 60 + pulse, dapMmHg: 60 }, limits);
          const off = at.error ? furthestOffMmHg(at.error) : 0;
          const isMild = ['good', 'adequate', 'slow for this heart rate'].includes(at.verdict.region);
          return off <= 5 || (!at.isEnough && !isMild);
        },
      ),
    );
  });

  it('has no error where no pulse is shown', () => {
    expect(responseAt(of(17, 0.2), 110, { sapMmHg: 60, dapMmHg: 60 }, limits).error).toBeNull();
  });
});

describe('up to which heart rate a line is enough', () => {
  const dog = { from: 60, to: 220 };
  it('ends where the next ten beats would want more than the line has, or be off too far', () => {
    // 24 Hz is 8 × 180 /min (clinical reference tables of harmonics: 8 × 3.00 Hz).
    expect(enoughUpTo(of(24, 0.6), { sapMmHg: 120, dapMmHg: 80 }, limits, dog)).toBe(180);
    const upTo = enoughUpTo(of(30, 0.25), shown, limits, dog);
    expect(responseAt(of(30, 0.25), Number(upTo), shown, limits).isEnough).toBe(true);
    expect(responseAt(of(30, 0.25), Number(upTo) + 10, shown, limits).isEnough).toBe(false);
  });

  it('is all of them, or none', () => {
    expect(enoughUpTo(of(45, 0.6), shown, limits, dog)).toBe('all');
    expect(enoughUpTo(of(6, 0.6), shown, limits, dog)).toBeNull();
  });
});
