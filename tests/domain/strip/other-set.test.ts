import { describe, expect, it } from 'vitest';
import type { Beat } from '../../../src/domain/strip/find-beats.ts';
import { comeByThemselves } from '../../../src/domain/strip/other-set.ts';
import { readStrip } from '../../../src/domain/strip/strip-findings.ts';
import { drawnStrip, type Family } from '../../bench/strip/families.ts';
import { bellFrom, chanceFrom } from '../../support/simulated-strip.ts';

describe('small beats between tall ones', () => {
  /** Tall beats 600 samples apart, give or take some, each with a small one after it. */
  function inTurns(delayVaries: number): Beat[] {
    const bell = bellFrom(chanceFrom(7));
    const at: number[] = [];
    for (let tall = 0, n = 0; n < 30; n += 1, tall += 600 + 12 * bell())
      at.push(tall, tall + 280 + delayVaries * bell());
    return at.slice(0, -1).map((halfUpAt, n) => ({
      footAt: Math.round(halfUpAt) - 20,
      peakAt: Math.round(halfUpAt) + 20,
      endsAt: Math.round(at[n + 1] ?? 0) - 20,
      halfUpAt,
      dapMmHg: 60,
      sapMmHg: n % 2 === 0 ? 110 : 90,
      mapMmHg: 80,
    }));
  }

  it('that follow at a fixed delay while the heart varies belong to the stroke before', () => {
    expect(comeByThemselves(inTurns(1))).toBe(false);
  });

  it('that have a time of their own are strokes', () => {
    expect(comeByThemselves(inTurns(12))).toBe(true);
  });

  it('are not told apart by a few of them', () => {
    expect(comeByThemselves(inTurns(12).slice(0, 14))).toBe(false);
  });
});

/** How a strip of the bench is read. */
function read(family: Family, index: number, seed = 31_337) {
  const drawn = drawnStrip(family, index, seed);
  if (drawn.is !== 'pulse') throw new Error('no pulse');
  const { beats, faults, patient } = readStrip(drawn.made.strip).findings;
  const names = { faults: faults.map(({ fault }) => fault), patient: patient.map(({ finding }) => finding) };
  return { ...names, ratePerMin: beats === null ? null : Math.round(beats.ratePerMin) };
}

describe('a strip whose first set of beats is doubtful', () => {
  it('is told by another one without a doubt: alternans of a fast heart, first taken for half its rate', () => {
    expect(read('pulsus alternans', 1463)).toEqual({
      faults: [],
      patient: ['every second small'],
      ratePerMin: 316,
    });
  });

  it('is told by another one where no pulse was found at first', () => {
    expect(read('pulsus alternans', 1078)).toEqual({
      faults: [],
      patient: ['every second small'],
      ratePerMin: 303,
    });
  });

  it('stays in doubt where the other set takes the wave after a steady stroke for a stroke', () => {
    const { faults, ratePerMin } = read('limb raised', 761);
    expect({ faults, ratePerMin }).toEqual({ faults: ['rate open'], ratePerMin: 120 });
  });
});

describe('a strip whose first set of beats has no doubt', () => {
  it('is in doubt if another set has none either: irregular beats, or with one more of them', () => {
    const { faults, patient } = read('intervals as in atrial fibrillation', 261);
    expect({ faults, patient }).toEqual({ faults: ['rate open'], patient: ['irregular'] });
  });
});
