import { describe, expect, it } from 'vitest';
import { readStrip } from '../../../src/domain/strip/strip-findings.ts';
import { drawnStrip, type Family } from '../../bench/strip/families.ts';

// Made strips of the bench that were told plainly and wrongly by an earlier reader, each with the doubt that holds it back now.
const onceWrong: [what: string, family: Family, index: number, fault: string, seed?: number][] = [
  ['every fifth beat missing, told as pairs', 'dropped beats', 344, 'beats disagree'],
  ['half of the beats left out with nothing to account for it', 'dropped beats', 736, 'beats disagree'],
  [
    'a wave after the notch, told as the second of a pair',
    'large dicrotic wave, slow rate',
    579,
    'rate open',
  ],
  ['alternans through a line that rings, told as pairs', 'pulsus alternans', 1016, 'rate open'],
  [
    'a steady heart through a line that rings, told as irregular',
    'steady pulse, one fast flush',
    8,
    'beats disagree',
  ],
  ['fibrillation with a beat lost in a pause', 'intervals as in atrial fibrillation', 1604, 'beats disagree'],
  ['weak early beats of a fast heart, told as missing', 'early beats now and then', 275, 'beats disagree'],
  ['beats of both levels averaged', 'limb raised', 360, 'level changes'],
  ['breathing at half the rate, told as small beats', 'steady pulse, one fast flush', 351, 'too few beats'],
  ['pairs of a fast heart, told at half the rate', 'bigeminy', 538, 'rate open'],
  ['alternans of a fast heart, told as irregular', 'pulsus alternans', 680, 'beats disagree', 52_501],
  ['the swings of a line, told as irregular', 'line clamped', 9, 'level changes', 52_501],
  [
    'a stroke that melts into the one before',
    'intervals as in atrial fibrillation',
    978,
    'beats disagree',
    52_501,
  ],
  [
    'a stroke of which only the tip is counted',
    'intervals as in atrial fibrillation',
    102,
    'beats disagree',
    52_501,
  ],
  [
    'a low stretch of uneven beats, left out',
    'intervals as in atrial fibrillation',
    559,
    'level changes',
    52_501,
  ],
  ['the trough of a breath, left out of 5 s', 'steady pulse, no flush', 272, 'level changes', 52_501],
  ['sharp peaks averaged away', 'drift of 0.2 to 5 mmHg/s', 203, 'beats disagree', 52_501],
  ['pauses that a row of strokes does not account for', 'dropped beats', 27, 'beats disagree', 52_501],
  ['held at a rail for two samples a beat', 'cut off at a rail', 622, 'pegged', 52_501],
];

describe('a strip that was once told wrongly', () => {
  it.each(onceWrong)('is in doubt: %s', (_, family, index, fault, seed = 31_337) => {
    const drawn = drawnStrip(family, index, seed);
    if (drawn.is !== 'pulse') throw new Error('no pulse');
    expect(readStrip(drawn.made.strip).findings.faults.map((one) => one.fault)).toContain(fault);
  });

  it.each<[Family, number, number?]>([
    ['fast flush, valve shuts in 20 to 100 ms', 278, 52_501],
    ['steady pulse, one fast flush', 2583],
    ['steady pulse, one fast flush', 3876],
    ['steady pulse, one fast flush', 1274],
    ['steady pulse, one fast flush', 4874],
    ['fast flush, valve shuts in 20 to 100 ms', 593],
  ])('has no sure verdict on the line: %s, %i', (family, index, seed = 31_337) => {
    const drawn = drawnStrip(family, index, seed);
    if (drawn.is !== 'pulse') throw new Error('no pulse');
    expect(readStrip(drawn.made.strip).findings.confidence).not.toBe('fairly sure');
  });

  it('of few seconds says that it cannot show a drift', () => {
    const drawn = drawnStrip('drift of 0.2 to 5 mmHg/s', 378, 31_337);
    if (drawn.is !== 'pulse') throw new Error('no pulse');
    expect(readStrip(drawn.made.strip).findings.notes).toContainEqual({ note: 'could drift' });
  });
});
