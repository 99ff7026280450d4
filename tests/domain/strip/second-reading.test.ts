import { describe, expect, it } from 'vitest';
import { findBeats } from '../../../src/domain/strip/find-beats.ts';
import { readsOtherwise, throughLine } from '../../../src/domain/strip/second-reading.ts';
import { readStrip } from '../../../src/domain/strip/strip-findings.ts';
import { drawnStrip } from '../../bench/strip/families.ts';
import { type MadeStripOptions, madeStrip } from '../../support/strips/made-strip.ts';
import { usualStrip } from '../../support/strips/usual-strip.ts';

describe('the line that a strip is read again through', () => {
  // A Butterworth filter of second order lets 1/√(1 + (f/fc)⁴) through (Butterworth S, Experimental Wireless 1930;7:536-541).
  it.each([
    [1, 1 / Math.sqrt(1 + (1 / 9) ** 4)],
    [9, Math.SQRT1_2],
    [18, 1 / Math.sqrt(1 + 2 ** 4)],
  ])('lets of %d Hz through what is published', (hz, share) => {
    const wave = Float64Array.from({ length: 4000 }, (_, i) => Math.sin((2 * Math.PI * hz * i) / 1000));
    const seen = throughLine(wave, 1000, 9).subarray(2000);
    expect(Math.max(...seen)).toBeCloseTo(share, 1);
  });
});

describe('a strip that is read again', () => {
  // Seen on a made strip: pairs of 158 /min whose second beat begins within the first were told as a steady 79 /min.
  const pairs: MadeStripOptions = {
    ...usualStrip,
    seed: 1,
    seconds: 15,
    samplesPerS: 100,
    ratePerMin: 158,
    rhythm: { kind: 'bigeminy', coupling: 0.5545, small: 0.7637 },
    line: { naturalHz: 11, damping: 0.1 },
    dapMmHg: 90,
    sapMmHg: 188,
  };
  const again = (options: MadeStripOptions) => {
    const { pressuresMmHg, samplesPerS } = madeStrip(options).strip;
    return readsOtherwise(pressuresMmHg, samplesPerS, [], {
      ratePerMin: 79,
      isNamed: false,
      row: null,
      wantedPerMin: null,
      beats: [],
    });
  };

  it('is open where it has another rate with less of the line in it, or in one of its halves', () => {
    const steady = { kind: 'regular', variation: 0.01 } as const;
    expect(again({ ...pairs, rhythm: steady })).toBeCloseTo(158, 0);
    // Pairs of the bench that look steady through their line.
    const drawn = drawnStrip('bigeminy', 1458, 12);
    if (drawn.is !== 'pulse') throw new Error('no pulse');
    const { faults } = readStrip(drawn.made.strip).findings;
    expect(faults.map(({ fault }) => fault)).toEqual(['rate open']);
  });

  it('is borne out where it is the same each time', () => {
    const rhythm = { kind: 'regular', variation: 0.01 } as const;
    expect(again({ ...pairs, ratePerMin: 79, rhythm })).toBeNull();
  });

  it('is held against its own first minute where it is longer: a heart may change its rate', () => {
    const steady = { ...usualStrip, seconds: 60 };
    const [slow, quick] = [80, 120].map((ratePerMin) => madeStrip({ ...steady, ratePerMin }).strip);
    const pressures = Float64Array.from([slow, quick].flatMap((one) => Array.from(one?.pressuresMmHg ?? [])));
    const { beats } = findBeats(pressures, 200);
    const told = { beats, ratePerMin: 100, isNamed: false, row: null, wantedPerMin: null };
    expect(readsOtherwise(pressures, 200, [], told)).toBeNull();
    // Of a minute alone that rate would be another.
    expect(readsOtherwise(pressures.subarray(0, 12_000), 200, [], told)).toBeCloseTo(80, 0);
  });

  it('leaves out what was left out the first time', () => {
    const rhythm = { kind: 'regular', variation: 0.01 } as const;
    const { pressuresMmHg, samplesPerS } = madeStrip({ ...pairs, ratePerMin: 79, rhythm }).strip;
    // A stretch of beats at another rate, as movement makes them.
    const moved = pressuresMmHg.map((p, i) =>
      i > 500 && i < 1000 ? 130 + 40 * Math.sin((2 * Math.PI * 4 * i) / samplesPerS) : p,
    );
    const out = [{ from: 480, to: 1020 }];
    const first = { ratePerMin: 79, isNamed: false, row: null, wantedPerMin: null, beats: [] };
    expect(findBeats(moved, samplesPerS, out).beats.length).toBeGreaterThan(8);
    expect(readsOtherwise(moved, samplesPerS, out, first)).toBeNull();
    expect(readsOtherwise(moved, samplesPerS, [], first)).not.toBeNull();
  });
});
