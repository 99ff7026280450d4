import { describe, expect, it } from 'vitest';
import { beyondAt } from '../../../src/domain/reading/beyond-limits.ts';
import { cuffDifference } from '../../../src/domain/reading/cuff-difference.ts';
import {
  meanMisfitMmHg,
  pulsePressureMmHg,
  reckonedMeanMmHg,
} from '../../../src/domain/reading/plausibility.ts';
import { LineLog, testWard } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';

const { policy } = testWard();

describe('the mean reckoned from systolic and diastolic', () => {
  // Textbook rule; and a measured human wave, PhysioNet sample record 041s01 (MIT-LCP/wfdb-python, decoded and averaged
  // from first to last trough): 84.25 over 42.37 mmHg, time-averaged mean 55.95 mmHg.
  it.each([
    [120, 80, 93.33, 0.01],
    [84.25, 42.37, 55.95, 0.4],
  ])('of %f over %f is %f mmHg', (sapMmHg, dapMmHg, mean, within) => {
    expect(Math.abs(reckonedMeanMmHg({ sapMmHg, dapMmHg }) - mean)).toBeLessThan(within);
  });

  it('lies between them, and the pulse pressure is their difference', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 20, max: 200, noNaN: true }),
        fc.double({ min: 0, max: 120, noNaN: true }),
        (dapMmHg, pulse) => {
          const pressures = { sapMmHg: dapMmHg + pulse, dapMmHg };
          expect(pulsePressureMmHg(pressures)).toBeCloseTo(pulse, 0);
          expect(reckonedMeanMmHg(pressures)).toBeGreaterThanOrEqual(dapMmHg);
          expect(reckonedMeanMmHg(pressures)).toBeLessThanOrEqual(pressures.sapMmHg + 1e-9);
          expect(meanMisfitMmHg({ ...pressures, mapMmHg: reckonedMeanMmHg(pressures) })).toBeNull();
        },
      ),
    );
  });

  it.each([
    [120, 80, 93, null],
    [120, 80, 88, null],
    // From a fifth of the pulse pressure above the diastolic to 0.55 of it, and 1 mmHg for a monitor's rounding.
    [120, 80, 87, null],
    [120, 80, 86, -7.33],
    [120, 80, 103, null],
    [120, 80, 104, 10.67],
    [120, 80, 82, -11.33],
    [120, 80, 110, 16.67],
  ])('of %i over %i told as %i is off by %j', (sapMmHg, dapMmHg, mapMmHg, misfit) => {
    const found = meanMisfitMmHg({ sapMmHg, dapMmHg, mapMmHg });
    expect(found === null ? null : Math.round(found * 100) / 100).toBe(misfit);
  });
});

// 20 mmHg: ACVIM device criteria, 80 % of pairs within 20 (Brown et al., JVIM 2007;21:542-558, from memory).
describe('line less cuff', () => {
  it.each([
    [{ sapMmHg: 118, dapMmHg: 64 }, { sapMmHg: 92, dapMmHg: 60 }, [26, 4, null], true],
    [{ sapMmHg: 118, dapMmHg: 64, mapMmHg: 82 }, { mapMmHg: 62 }, [null, null, 20], false],
    [{ sapMmHg: 100, dapMmHg: 64 }, { sapMmHg: 121 }, [-21, null, null], true],
    // A mean that nobody recorded is reckoned: 64 and a third of 54 is 82.
    [{ sapMmHg: 118, dapMmHg: 64 }, { mapMmHg: 61 }, [null, null, 21], true],
    [{ sapMmHg: 118, dapMmHg: 64 }, { sapMmHg: 118, dapMmHg: 44 }, [0, 20, null], false],
  ])('of %j and %j is %j', (line, cuff, [sap, dap, map], isWide) => {
    expect(cuffDifference(line, cuff)).toEqual({ sapMmHg: sap, dapMmHg: dap, mapMmHg: map, isWide });
  });
});

// Mean below 60 to 70, systolic below 80 to 90, diastolic below 40: hypotension under anaesthesia, AAHA 2020 (JAAHA
// 2020;56:59-82). Systolic from 180: severe hypertension, ACVIM 2018.
describe('a reading beyond the ward’s limits', () => {
  it.each([
    [{ sapMmHg: 90, dapMmHg: 45, mapMmHg: 59 }, ['mean']],
    [{ sapMmHg: 90, dapMmHg: 45, mapMmHg: 60 }, []],
    [{ sapMmHg: 88, dapMmHg: 44 }, ['mean', 'systolic']],
    [{ sapMmHg: 90, dapMmHg: 60 }, []],
    [{ sapMmHg: 89, dapMmHg: 60 }, ['systolic']],
    [{ sapMmHg: 140, dapMmHg: 39, mapMmHg: 72 }, ['diastolic']],
    [{ sapMmHg: 140, dapMmHg: 40, mapMmHg: 72 }, []],
    [{ sapMmHg: 180, dapMmHg: 90 }, []],
    [{ sapMmHg: 181, dapMmHg: 90 }, ['systolic']],
  ])('%j: %j', (pressures, expected) => {
    expect(beyondAt(pressures, 0, { targets: null }, policy).map(({ what }) => what)).toEqual(expected);
  });

  it.each([
    ['a mean that was reckoned from the other two', { sapMmHg: 88, dapMmHg: 44 }, [true, false]],
    ['a mean that was recorded', { sapMmHg: 88, dapMmHg: 44, mapMmHg: 58 }, [false, false]],
  ])('says whether it is %s', (_which, pressures, isReckoned) => {
    const beyond = beyondAt(pressures, 0, { targets: null }, policy);
    expect(beyond.map(({ what }) => what)).toEqual(['mean', 'systolic']);
    expect(beyond.map((one) => one.isReckoned)).toEqual(isReckoned);
  });

  it('is told of no pressure whose limit is switched off', () => {
    const off = { ...policy, sapTellBelowMmHg: null, dapTellBelowMmHg: null };
    expect(beyondAt({ sapMmHg: 70, dapMmHg: 20, mapMmHg: 61 }, 0, { targets: null }, off)).toEqual([]);
  });

  it('is the clinician’s to look at until one within them is read, or the line is out', () => {
    const owed = (line: LineLog, now: string) =>
      line.duties(policy, now).some(({ kind }) => kind === 'finding');
    const line = new LineLog('20:00').add('reading', '22:00', { sapMmHg: 80, dapMmHg: 40 });
    expect(owed(line, '22:00')).toBe(true);
    expect(owed(line.add('reading', '22:20', { sapMmHg: 110, dapMmHg: 70 }), '22:20')).toBe(false);
    line.add('reading', '22:40', { sapMmHg: 80, dapMmHg: 40 });
    expect(owed(line, '22:41')).toBe(true);
    expect(owed(line.add('removed', '22:50', { reason: 'planned' }), '22:51')).toBe(false);
  });
});
