import { describe, expect, it } from 'vitest';
import { readStrip } from '../../../src/domain/strip/strip-findings.ts';
import { drawnStrip, type Family } from '../../bench/strip/families.ts';
import { judged } from '../../bench/strip/judging.ts';

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
  ])('are told rightly: %s', (_, family, index, seed) => {
    expect(answered(family, index, seed)).toEqual({ answer: 'right', wrongs: [], faults: [] });
  });

  it('of alternans through a ringing line are not told as pairs', () => {
    expect(answered('pulsus alternans', 8, 15).wrongs).toEqual([]);
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
