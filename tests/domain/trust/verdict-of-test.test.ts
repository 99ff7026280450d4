import { describe, expect, it } from 'vitest';
import { measuredTest, type StripReading } from '../../../src/domain/dynamic-response/measured-test.ts';
import { verdictOfTest } from '../../../src/domain/trust/verdict-of-test.ts';

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
