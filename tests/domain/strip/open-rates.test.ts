import { describe, expect, it } from 'vitest';
import { findBeats } from '../../../src/domain/strip/find-beats.ts';
import { doubtOfRinging } from '../../../src/domain/strip/open-rates.ts';
import { hidesSecond } from '../../../src/domain/strip/second-strokes.ts';
import { readStrip } from '../../../src/domain/strip/strip-findings.ts';
import { noteText } from '../../../src/wording/strips/strip-finding-words.ts';
import { drawnStrip } from '../../bench/strip/families.ts';
import { type MadeStrip, type MadeStripOptions, madeStrip } from '../../support/strips/made-strip.ts';
import { usualStrip } from '../../support/strips/usual-strip.ts';

const faultsOf = (options: Partial<MadeStripOptions>) =>
  readStrip(madeStrip({ ...usualStrip, ...options }).strip).findings.faults.map(({ fault }) => fault);

describe('a rate that could be another', () => {
  it('is open where beats come as often as a line swings that hardly damps, and grow smaller in turn', () => {
    const line = { ringingHz: 5.3, damping: 0.05 };
    expect(doubtOfRinging(320, [line], 0.8)?.fault).toBe('rate open');
    expect(doubtOfRinging(160, [line], 0.8)).toBeUndefined();
  });

  // A swing of damping 0.05 is 0.73 of the one before (second-order system: exp(-2π·0.05)); beats that are all as tall are none.
  it('is not open where the beats are all as tall, or the line damps too much to swing on', () => {
    expect(doubtOfRinging(320, [{ ringingHz: 5.3, damping: 0.05 }], 1)).toBeUndefined();
    expect(doubtOfRinging(320, [{ ringingHz: 5.3, damping: 0.5 }], 0.8)).toBeUndefined();
    expect(doubtOfRinging(320, [{ ringingHz: 5.3, damping: 0.01 }], 1)?.fault).toBe('rate open');
  });

  it('is open where pairs of a fast heart melt into one beat through a slow line', () => {
    const rhythm = { kind: 'bigeminy', coupling: 0.56, small: 0.84 } as const;
    const melted = { rhythm, ratePerMin: 318, line: { naturalHz: 7, damping: 1.2 }, wave: 'round' as const };
    expect(faultsOf(melted)).toContain('rate open');
    // A steady heart of half that rate through the same line is not.
    const steady = { ...melted, rhythm: { kind: 'regular', variation: 0.01 } as const, ratePerMin: 159 };
    expect(faultsOf(steady)).toEqual([]);
  });

  // Seen on made strips: a steady heart of 160 /min was told as alternans of 320, one of 118 as pairs of 235.
  it('is open where every second beat can be a swing of a line that rings at twice the rate', () => {
    const steady = { kind: 'regular', variation: 0.01 } as const;
    const pulse = { rhythm: steady, seconds: 30, sapMmHg: 150, dapMmHg: 80 };
    const atTwice = { ...pulse, ratePerMin: 159, wave: 'reference' as const };
    expect(faultsOf({ ...atTwice, line: { naturalHz: 5.9, damping: 0.05 } })).toContain('rate open');
    const inPairs = { ...pulse, ratePerMin: 118, wave: 'peaked' as const };
    expect(faultsOf({ ...inPairs, line: { naturalHz: 6.5, damping: 0.05 } })).toContain('rate open');
    // Through a good line neither is in doubt.
    expect(faultsOf({ ...atTwice, line: { naturalHz: 20, damping: 0.5 } })).toEqual([]);
    expect(faultsOf({ ...inPairs, line: { naturalHz: 20, damping: 0.5 } })).toEqual([]);
  });

  it('is open where beats hold a second wave that could be one: every second beat of alternans left out', () => {
    const rhythm = { kind: 'alternans', small: 0.75, variation: 0.01 } as const;
    const { pressuresMmHg, samplesPerS } = madeStrip({
      ...usualStrip,
      rhythm,
      ratePerMin: 140,
      wave: 'reference',
    }).strip;
    const { beats } = findBeats(pressuresMmHg, samplesPerS);
    const tall = beats.flatMap((beat, i) => {
      const next = beats[i + 1];
      const isTall = next !== undefined && beat.sapMmHg - beat.dapMmHg > next.sapMmHg - next.dapMmHg;
      return isTall ? [{ ...beat, endsAt: next.endsAt }] : [];
    });
    expect(tall.length).toBeGreaterThan(15);
    expect(hidesSecond(pressuresMmHg, samplesPerS, tall)).toBe(true);
    expect(hidesSecond(pressuresMmHg, samplesPerS, beats)).toBe(false);
  });
});

// Strips of the bench (seeds that the reader was made with) whose pairs were told as a steady heart of half the rate.
describe('pairs that melt into one beat', () => {
  const hides = (made: MadeStrip) => {
    const { pressuresMmHg, samplesPerS } = made.strip;
    return hidesSecond(pressuresMmHg, samplesPerS, findBeats(pressuresMmHg, samplesPerS).beats);
  };
  it.each([
    ['that peaks late', 1606, 12],
    ['of half a second, in which the rise stops', 1172, 12],
    ['of a second, through a line that swings', 101, 14],
  ])('are seen in a beat %s', (_, index, seed) => {
    const drawn = drawnStrip('bigeminy', index, seed);
    if (drawn.is !== 'pulse') throw new Error('no pulse');
    expect(hides(drawn.made)).toBe(true);
    // A steady heart of half the rate through the same line has none.
    const { options } = drawn.made;
    const rhythm = { kind: 'regular', variation: 0.01 } as const;
    expect(hides(madeStrip({ ...options, rhythm, ratePerMin: options.ratePerMin / 2 }))).toBe(false);
  });
});

describe('a level that moves', () => {
  // Breathing of some mmHg looks like a drift on a strip of a few seconds: said, and no doubt.
  it('is remarked on, and a doubt only if it is much', () => {
    const drifting = (driftMmHgPerS: number, seconds: number) => {
      const breath = { perMin: 15, mmHg: 0, pulseShare: 0 };
      return readStrip(madeStrip({ ...usualStrip, driftMmHgPerS, seconds, breath }).strip).findings;
    };
    const little = drifting(1, 10);
    expect(little.faults).toEqual([]);
    expect(little.notes.map(noteText).join(' ')).toMatch(
      /rises by (9|10) mmHg over the strip \((0\.9|1\.0) mmHg\/s\)/,
    );
    expect(drifting(2, 20).faults.map(({ fault }) => fault)).toContain('drifts');
    expect(drifting(1.2, 30).faults.map(({ fault }) => fault)).toContain('drifts');
  });

  it('is a doubt where the limb was raised for about half of the strip', () => {
    const raised = (atS: number, lengthS: number, seconds: number, mmHg: number) =>
      faultsOf({ excursions: [{ kind: 'limb raised', atS, lengthS, mmHg }], seconds, ratePerMin: 116 });
    // So high and so long that the raised level passes for the usual one.
    expect(raised(3, 5, 12, 32)).toContain('level changes');
    expect(raised(3, 5, 12, 18)).toEqual(['level changes']);
    expect(raised(8, 4, 30, 18)).toEqual([]);
  });
});
