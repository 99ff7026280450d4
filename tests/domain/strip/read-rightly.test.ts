import { describe, expect, it } from 'vitest';
import { readStrip } from '../../../src/domain/strip/strip-findings.ts';
import { drawnStrip, type Family } from '../../bench/strip/families.ts';
import { judged } from '../../bench/strip/judging.ts';
import { madeStrip } from '../../support/strips/made-strip.ts';

// Strips of the bench, of seeds that the reader was tuned on, that it once told wrongly or held back for no good reason.
function answered(family: Family, index: number, seed: number) {
  const drawn = drawnStrip(family, index, seed);
  const { findings } = readStrip(drawn.is === 'pulse' ? drawn.made.strip : drawn.strip);
  const { answer, wrongs } = judged(drawn, findings);
  return { answer, wrongs, faults: findings.faults.map(({ fault }) => fault) };
}

describe('strips of the bench', () => {
  it.each<[why: string, family: Family, index: number, seed: number]>([
    ['even beats whose upstrokes a ringing line moves', 'steady pulse, no flush', 6, 16],
    ['a foot that lies before the first of two humps', 'large dicrotic wave, slow rate', 147, 15],
    ['few overtones, but no sine', 'steady pulse, no flush', 9, 17],
    ['an upstroke that only noise breaks', 'white noise of 1 to 8 mmHg', 150, 16],
    ['groups of five beats through a slow line', 'early beats now and then', 119, 15],
    ['another rate through one line of two', 'dropped beats', 90, 15],
    ['nine beats of 30 s that are uneven', 'intervals as in atrial fibrillation', 84, 15],
    ['breathing that looks like a drift', 'large dicrotic wave, slow rate', 99, 15],
    ['early beats that begin high, at no other level', 'early beats now and then', 2, 17],
    ['a limb raised by little against the pulse', 'limb raised', 66, 16],
    ['a level that creeps up behind a closed tap', 'tap closed', 72, 16],
    ['breathing in turn with a slow heart', 'open to air', 408, 16],
    ['alternans whose small beats come half a beat after the tall ones', 'pulsus alternans', 1494, 17],
    ['a pause in which only the line swings', 'early beats now and then', 104, 17],
    ['long intervals, none long enough to hold two', 'intervals as in atrial fibrillation', 1238, 17],
    ['a fast pulse with a flat top, no square wave', 'steady pulse, one fast flush', 225, 12],
    ['3 s of 10 s open to air, and no drift', 'open to air', 485, 14],
    ['a line clamped for a third of the strip', 'line clamped', 149, 14],
    ['noise on a line that swings far below the pulse', 'white noise of 1 to 8 mmHg', 19, 13],
  ])('are told rightly: %s', (_, family, index, seed) => {
    expect(answered(family, index, seed)).toEqual({ answer: 'right', wrongs: [], faults: [] });
  });

  it.each([
    ['of 40 /min', 1178, 17],
    ['of 39 /min', 1094, 18],
  ])('of fibrillation %s whose weak beats were not counted are not told plainly', (_, index, seed) => {
    const { wrongs, faults } = answered('intervals as in atrial fibrillation', index, seed);
    expect([wrongs, faults]).toEqual([[], ['beats disagree']]);
  });

  it('of alternans through a ringing line are not told as pairs', () => {
    expect(answered('pulsus alternans', 8, 15).wrongs).toEqual([]);
  });

  // The valve made a line of damping 0.1 look like one of 0.5.
  it('whose valve shut slowly are not surely told as of a normal line', () => {
    const drawn = drawnStrip('fast flush, valve shuts in 20 to 100 ms', 282, 12);
    if (drawn.is !== 'pulse') throw new Error('no pulse');
    const slow = readStrip(drawn.made.strip).findings;
    expect([slow.verdict, slow.confidence]).toEqual(['normal', 'unsure']);
    const { options } = drawn.made;
    const excursions = options.excursions.map((one) => ({ ...one, shutsS: 0 }));
    const atOnce = madeStrip({ ...options, excursions, line: { naturalHz: 27.3, damping: 0.5 } });
    const { verdict, confidence } = readStrip(atOnce.strip).findings;
    expect([verdict, confidence]).toEqual(['normal', 'fairly sure']);
  });

  it('that are a sine at a heart’s rate are never told plainly', () => {
    const sines = Array.from({ length: 60 }, (_, index) => index)
      .filter((index) => {
        const drawn = drawnStrip('no pulse at all', index, 12);
        return drawn.is === 'no pulse' && drawn.kind === 'sine';
      })
      .slice(0, 5);
    expect(sines).toHaveLength(5);
    for (const index of sines) expect(answered('no pulse at all', index, 12).faults).toContain('like a sine');
  });
});
