import { describe, expect, it } from 'vitest';
import { flushFluid, flushMlPerKgPerDay } from '../../../src/domain/fluid/flush-fluid.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';

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

const { policy } = testWard();
const cat = { patient: { species: 'cat', weightKg: 4 } } as const;

// U/kg/h = concentration × flow / weight; 3 mL/h of 1, 2, 5, 10 U/mL in 4 kg: 0.75, 1.5, 3.75, 7.5 U/kg/h (unit arithmetic).
describe('flushFluid', () => {
  it.each([
    [1, 18],
    [2, 36],
    [5, 90],
    [10, 180],
  ])('of %f U/mL at 3 mL/h in a cat of 4 kg gives %f U/kg/day of heparin', (heparinUPerMl, expected) => {
    const source = { kind: 'pressure bag', volumeMl: 250, rateMlPerH: 3, heparinUPerMl } as const;
    const line = new LineLog('20:00', { ...cat, flushMode: 'continuous', source }).state();
    const fluid = flushFluid(line, policy, wall('20:00'));
    expect(fluid.heparinUPerKgPerDay).toBeCloseTo(expected, 9);
    expect(fluid.mlPerKgPerDay).toBeCloseTo(18, 9);
    expect(fluid.maintenancePercent).toBeCloseTo(36, 9);
    expect(fluid.isMuchFluid).toBe(true);
  });

  it('counts hand flushes of the last 24 h, one without a volume as the usual one, and says how many those are', () => {
    const log = new LineLog('2026-11-24 08:00', cat)
      .add('flushed', '2026-11-24 09:00', { volumeMl: 3 })
      .add('flushed', '2026-11-25 08:00', { volumeMl: 1 })
      .add('flushed', '2026-11-25 09:30', {})
      .add('flushed', '2026-11-25 10:00', { volumeMl: 1.4 });
    const fluid = flushFluid(log.state(), policy, wall('2026-11-25 10:00'));
    expect(fluid.mlPerKgPerDay).toBeCloseTo((1 + 0.5 + 1.4) / 4, 9);
    expect(fluid.withoutVolume).toBe(1);
    expect(fluid.isMuchFluid).toBe(false);
  });

  it('is not known by hand where nobody flushed', () => {
    expect(flushFluid(new LineLog('20:00', cat).state(), policy, wall('21:00'))).toEqual({
      mlPerKgPerDay: null,
      maintenancePercent: null,
      heparinUPerKgPerDay: null,
      withoutVolume: 0,
      isMuchFluid: false,
      isMuchHeparin: false,
      lines: 0,
    });
  });
});
