import { describe, expect, it } from 'vitest';
import { bloodLostIn24h } from '../../../src/domain/blood/blood-loss.ts';
import { bloodCountedAt, circulatingMl } from '../../../src/domain/blood/blood-volume.ts';
import type { Sampling } from '../../../src/domain/record/line-state.ts';

const hourMs = 3_600_000;
const now = 100 * hourMs;
const six = (discardReturned: boolean): Sampling[] =>
  Array.from({ length: 6 }, (_, index) => ({
    at: now - index * 4 * hourMs,
    by: 'nina',
    volumeMl: 0.5,
    discardMl: 1.2,
    discardReturned,
  }));

describe('circulatingMl', () => {
  // Dog 85 mL/kg: Diehl et al., J Appl Toxicol 2001;21:15-23 (Beagle). Cat 55 mL/kg: transfusion texts, from memory.
  it.each([
    ['dog', 30, 2550],
    ['dog', 5, 425],
    ['cat', 4, 220],
    ['cat', 2.5, 137.5],
    // Montana State University, Blood Collection in Agricultural Animals, table 2: volumes printed there.
    ['pig', 110, 7150],
    ['sheep', 60, 3600],
    ['goat', 45, 3150],
    ['cattle', 520, 31_200],
    ['horse', 400, 30_000],
    ['bird', 2.5, 150],
    // 56 mL/kg, a 4 kg rabbit: worked example that goes by Diehl et al. 2001.
    ['rabbit', 4, 224],
  ] as const)('gives a %s of %f kg %f mL', (species, weightKg, ml) => {
    expect(circulatingMl({ species, weightKg })).toBeCloseTo(ml, 6);
  });
});

describe('bloodCountedAt', () => {
  // University of Michigan, Guidelines on Blood Collection 2021: mammals 55 to 70 mL/kg; the low end warns soonest.
  it('counts mammals without a figure of their own at the low end, and says whose figure it is', () => {
    for (const species of ['ferret', 'guinea pig', 'donkey', 'alpaca', 'llama', 'other'] as const)
      expect(bloodCountedAt({ species })).toEqual({ mlPerKg: 55, as: 'mammal' });
    for (const species of ['foal', 'calf', 'bird'] as const)
      expect(bloodCountedAt({ species }).as).toMatch(/horse|cattle|chicken/);
  });

  it('has no remark where the figure is the species’ own', () => {
    for (const species of ['dog', 'cat', 'rabbit', 'horse', 'cattle', 'sheep', 'goat', 'pig'] as const)
      expect(bloodCountedAt({ species }).as).toBeUndefined();
  });
});

describe('bloodLostIn24h', () => {
  const cat = { species: 'cat', weightKg: 4 } as const;

  // Arithmetic of the discard of two dead spaces (Rickard CM et al., Crit Care Med 2003;31:1654-1658): dead space 0.6 mL,
  // sample 0.5 mL, six times a day.
  it('is 10.2 mL, 4.64 % of a 4 kg cat, when six discards are thrown away', () => {
    const lost = bloodLostIn24h(cat, six(false), now);
    expect(lost.ml).toBeCloseTo(10.2, 6);
    expect(lost.percent).toBeCloseTo(4.636, 3);
  });

  it('is 3.0 mL, 1.36 %, when they are given back', () => {
    const lost = bloodLostIn24h(cat, six(true), now);
    expect(lost.ml).toBeCloseTo(3, 6);
    expect(lost.percent).toBeCloseTo(1.364, 3);
  });

  it('forgets what is a day old', () => {
    const [first] = six(false);
    expect(bloodLostIn24h(cat, first ? [{ ...first, at: now - 24 * hourMs }] : [], now).ml).toBe(0);
  });
});
