import { describe, expect, it } from 'vitest';
import {
  type CauseName,
  causeNames,
  likelyCauses,
  type ResponseFound,
} from '../../../src/domain/dynamic-response/likely-cause.ts';

const named = (found: ResponseFound) => likelyCauses(found).map(({ cause }) => cause);
const well = (found: ResponseFound) =>
  likelyCauses(found)
    .filter(({ fits }) => fits === 'well')
    .map(({ cause }) => cause);

describe('what fits', () => {
  // Overdamped: air, clot, kink; underdamped: too long tubing (University of Maryland, emergency medicine pearl 4720). Soft
  // tubing and the split by frequency are from the mechanics below.
  it('a kink or clot, and partly a loose joint, when overdamped but fast enough', () => {
    expect(named({ damping: 'over', frequency: 'enough' })).toEqual(['kink', 'clot', 'loose joint']);
    expect(well({ damping: 'over', frequency: 'enough' })).toEqual(['kink', 'clot']);
  });

  it('best a bubble or soft tubing when overdamped and slow', () => {
    expect(named({ damping: 'over', frequency: 'low' })).toEqual([
      'kink',
      'clot',
      'loose joint',
      'bubble',
      'soft tubing',
    ]);
    expect(well({ damping: 'over', frequency: 'low' })).toEqual(['bubble', 'soft tubing']);
  });

  // A 0.1 mL bubble lowers the natural frequency and raises the pressure shown: Mark 1998, Fig 9-14 (Miller 6th ed., Fig
  // 32-10). Beagles: tubing of 25 → 275 cm, 38 → 14 Hz, damping still 0.29.
  it('a small bubble or long tubing when underdamped and slow', () => {
    expect(well({ damping: 'under', frequency: 'low' })).toEqual(['bubble', 'long tubing']);
  });

  it('a bubble, soft or long tubing when slow with good damping', () => {
    expect(named({ damping: 'good', frequency: 'low' })).toEqual(['bubble', 'soft tubing', 'long tubing']);
  });

  it('nothing when a fast line rings, or when all is well', () => {
    expect(likelyCauses({ damping: 'under', frequency: 'enough' })).toEqual([]);
    expect(likelyCauses({ damping: 'good', frequency: 'enough' })).toEqual([]);
  });

  it('all of both, partly, when the frequency is not known', () => {
    expect(named({ damping: 'over', frequency: 'unknown' })).toEqual([
      'kink',
      'clot',
      'loose joint',
      'bubble',
      'soft tubing',
    ]);
    expect(well({ damping: 'over', frequency: 'unknown' })).toEqual([]);
  });
});

/**
 * A fluid column in a rigid tube with a yielding end, from memory (Fry DL, Physiol Rev 1960;40:753-788): resistance and
 * inertance of each stretch in series, one compliance. fn = 1/(2π sqrt(IC)), ζ = (R/2) sqrt(C/I).
 */
function lumped(stretches: { lengthM: number; radiusM: number }[], complianceM3PerPa: number) {
  const [viscosityPaS, densityKgPerM3] = [0.001, 1004.6];
  let [resistance, inertance] = [0, 0];
  for (const { lengthM, radiusM } of stretches) {
    resistance += (8 * viscosityPaS * lengthM) / (Math.PI * radiusM ** 4);
    inertance += (densityKgPerM3 * lengthM) / (Math.PI * radiusM ** 2);
  }
  return {
    naturalHz: 1 / (2 * Math.PI * Math.sqrt(inertance * complianceM3PerPa)),
    damping: (resistance / 2) * Math.sqrt(complianceM3PerPa / inertance),
  };
}

describe('against a fluid column worked out by itself', () => {
  const catheter = { lengthM: 0.04, radiusM: 0.0003 };
  const tubing = { lengthM: 1, radiusM: 0.0008 };
  const compliance = 1e-15 * 4;
  const sound = lumped([catheter, tubing], compliance);
  const changed = {
    kink: lumped([catheter, { lengthM: 0.002, radiusM: 0.0001 }, tubing], compliance),
    clot: lumped(
      [{ lengthM: 0.038, radiusM: 0.0003 }, { lengthM: 0.002, radiusM: 0.0001 }, tubing],
      compliance,
    ),
    bubble: lumped([catheter, tubing], 10 * compliance),
    'soft tubing': lumped([catheter, tubing], 6 * compliance),
    'long tubing': lumped([catheter, { ...tubing, lengthM: 2.5 }], 1.5 * compliance),
  };

  it.each(['bubble', 'soft tubing', 'long tubing'] as const)('a %s lowers the frequency', (cause) => {
    expect(changed[cause].naturalHz).toBeLessThan(0.7 * sound.naturalHz);
    expect(named({ damping: 'good', frequency: 'low' })).toContain(cause);
  });

  it.each(['kink', 'clot'] as const)('a %s hardly changes the frequency and damps much more', (cause) => {
    expect(changed[cause].naturalHz).toBeGreaterThan(0.85 * sound.naturalHz);
    expect(changed[cause].damping).toBeGreaterThan(2 * sound.damping);
    expect(well({ damping: 'over', frequency: 'enough' })).toContain(cause);
  });

  it.each(['bubble', 'soft tubing'] as const)(
    'a %s damps more, so it fits an overdamped slow line',
    (cause) => {
      expect(changed[cause].damping).toBeGreaterThan(2 * sound.damping);
      expect(well({ damping: 'over', frequency: 'low' })).toContain(cause);
    },
  );

  it('long tubing damps little more, so it does not fit an overdamped line', () => {
    expect(changed['long tubing'].damping).toBeLessThan(2 * sound.damping);
    for (const frequency of ['low', 'enough', 'unknown'] as const) {
      expect(named({ damping: 'over', frequency })).not.toContain('long tubing');
    }
  });
});

describe('what to try', () => {
  const everything: ResponseFound[] = (['under', 'good', 'over'] as const).flatMap((damping) =>
    (['low', 'enough', 'unknown'] as const).map((frequency) => ({ damping, frequency })),
  );

  it('goes from the catheter outwards, whatever was found', () => {
    for (const found of everything) {
      const order = named(found).map((cause) => causeNames.indexOf(cause));
      expect(order).toEqual(order.toSorted((a, b) => a - b));
    }
  });

  it('names every cause for some finding', () => {
    expect(new Set(everything.flatMap(named))).toEqual(new Set<CauseName>(causeNames));
  });
});
