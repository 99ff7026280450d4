import { describe, expect, it } from 'vitest';
import { measuredTest, type StripReading } from '../../../src/domain/dynamic-response/measured-test.ts';
import { verdictOfRegion, verdictOfTest } from '../../../src/domain/trust/verdict-of-test.ts';

const strip = (changes: Partial<StripReading>): StripReading => ({
  paperMmPerS: 25,
  squareMm: 1,
  cycleLength: 1.7,
  cycles: 1,
  definition: 'half cycle',
  heights: { first: 24, next: 17 },
  ...changes,
});

// First row: Mark JB, Atlas of Cardiovascular Monitoring, 1998, Figs 9-9 and 9-10, a line called underdamped there. Below
// 7 Hz unacceptable: the same, Fig 9-13 (Miller's Anesthesia 6th ed., Fig 32-9). The others by the regions' own limits.
describe('verdictOfTest', () => {
  it.each<[string, Partial<StripReading>, number | null, string]>([
    ['the textbook’s line', {}, 60, 'underdamped'],
    [
      '40 Hz with damping 0.5',
      { paperMmPerS: 50, cycleLength: 1.44, heights: { first: 20, next: 3.26 } },
      120,
      'normal',
    ],
    [
      'a fast line with damping 0.28',
      { paperMmPerS: 50, cycleLength: 1.2, heights: { first: 20, next: 8 } },
      120,
      'normal',
    ],
    ['5 Hz with good damping', { cycleLength: 6.25, heights: { first: 20, next: 3 } }, 120, 'cannot tell'],
    ['5 Hz that rings', { cycleLength: 5.1, heights: { first: 20, next: 14 } }, 120, 'underdamped'],
    ['no cycle to measure', { cycleLength: null }, 120, 'cannot tell'],
    ['no second swing', { heights: { first: 20, next: null } }, 120, 'cannot tell'],
    ['nothing that swings', { cycleLength: null, heights: null }, 120, 'cannot tell'],
  ])('of %s', (_what, changes, rate, expected) => {
    const measured = measuredTest(strip(changes));
    if (measured.result === 'refused') throw new Error(JSON.stringify(measured.refusal));
    expect(verdictOfTest(measured, rate)).toBe(expected);
  });
});

describe('without a second swing a line is overdamped', () => {
  // Damping of 0.4 to 0.8 is good in the ward's default regions.
  it.each([
    [0.79, 'cannot tell'],
    [0.8, 'cannot tell'],
    [0.81, 'overdamped'],
  ])('from above the good damping on: at least %d, %s', (dampingAtLeast, expected) => {
    const measured = {
      result: 'no second swing',
      definition: 'half cycle',
      dampingAtLeast,
      ringingHz: null,
      naturalHz: null,
    };
    expect(verdictOfTest(measured as unknown as Parameters<typeof verdictOfTest>[0], 120)).toBe(expected);
  });
});

// The line of 16 Hz with damping 0.25 that reads a pulse of 150 over 60 some 8 mmHg too high at 110 /min.
describe('a verdict for a known pulse', () => {
  const measured = measuredTest(
    strip({ paperMmPerS: 50, cycleLength: 9.68, cycles: 3, heights: { first: 40, next: 17.8 } }),
  );
  if (measured.result === 'refused') throw new Error(JSON.stringify(measured.refusal));
  const pulse = (sapMmHg: number, errorMmHg: number) => ({ shown: { sapMmHg, dapMmHg: 60 }, errorMmHg });

  it.each<[string, number | null, ReturnType<typeof pulse> | null, string]>([
    ['adequate for the heart rate alone', 110, null, 'normal'],
    ['further off than the ward allows', 110, pulse(150, 5), 'underdamped'],
    ['as far off as the ward allows', 110, pulse(150, 20), 'normal'],
    ['on a small pulse', 110, pulse(70, 5), 'normal'],
    ['without a heart rate, whatever the pulse', null, pulse(150, 5), verdictOfTest(measured, null)],
  ])('%s', (_how, rate, shown, expected) => {
    expect(verdictOfTest(measured, rate, undefined, shown)).toBe(expected);
  });
});

describe('a region in the words of a test judged by eye', () => {
  it.each<[Parameters<typeof verdictOfRegion>[0]['region'], 'under' | 'good' | 'over', string]>([
    ['good', 'good', 'normal'],
    ['adequate', 'under', 'normal'],
    ['slow for this heart rate', 'good', 'normal'],
    ['underdamped', 'under', 'underdamped'],
    ['overdamped', 'over', 'overdamped'],
    ['borderline', 'under', 'underdamped'],
    ['borderline', 'over', 'overdamped'],
    ['borderline', 'good', 'cannot tell'],
    ['unacceptable', 'under', 'underdamped'],
    ['unacceptable', 'over', 'overdamped'],
    ['unacceptable', 'good', 'cannot tell'],
  ])('%s, damping %s: %s', (region, damping, expected) => {
    expect(verdictOfRegion({ region, damping })).toBe(expected);
  });
});
