import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { findBeats } from '../../../src/domain/strip/find-beats.ts';
import { mean } from '../../../src/domain/strip/smoothing.ts';
import * as fc from '../../support/properties.ts';
import { type SimulatedStripOptions, simulatedStrip } from '../../support/simulated-strip.ts';
import { madeStrip } from '../../support/strips/made-strip.ts';
import { unevenStrips } from '../../support/strips/uneven-strips.ts';

const read = (options: SimulatedStripOptions) => {
  const { strip, shown } = simulatedStrip(options);
  const { beats, intervalsS } = findBeats(strip.pressuresMmHg, strip.samplesPerS);
  return {
    shown,
    beats,
    ratePerMin: 60 / mean(intervalsS),
    sapMmHg: mean(beats.map((beat) => beat.sapMmHg)),
    dapMmHg: mean(beats.map((beat) => beat.dapMmHg)),
    mapMmHg: mean(beats.map((beat) => beat.mapMmHg)),
  };
};

// SciPy 1.10.1 (numpy 1.24.2), run once on these four made strips of 30 s at 250 Hz: Butterworth low-pass of order 3 at
// 8 Hz run both ways, find_peaks with distance 0.2 s and prominence 0.4 × (95th − 5th percentile); systolic and diastolic
// as raw extremes beside and between the peaks, the mean from first to last peak. Raw extremes take noise with them.
const byScipy = [
  {
    options: { seed: 3, ratePerMin: 70, line: { naturalHz: 30, damping: 0.6 } },
    peaks: 35,
    ratePerMin: 70.036,
    sapMmHg: 120.38,
    dapMmHg: 74.51,
    mapMmHg: 91.42,
  },
  {
    options: { seed: 4, ratePerMin: 150, line: { naturalHz: 14, damping: 0.2 }, irregularity: 0.05 },
    peaks: 75,
    ratePerMin: 150.284,
    sapMmHg: 131.16,
    dapMmHg: 74.46,
    mapMmHg: 91.45,
  },
  {
    options: { seed: 5, ratePerMin: 220, line: { naturalHz: 20, damping: 0.4 }, noiseMmHg: 1 },
    peaks: 109,
    ratePerMin: 219.87,
    sapMmHg: 125.35,
    dapMmHg: 73.74,
    mapMmHg: 91.44,
  },
  {
    options: { seed: 6, ratePerMin: 110, line: { naturalHz: 9, damping: 1 }, irregularity: 0.2 },
    peaks: 53,
    ratePerMin: 105.906,
    sapMmHg: 113.3,
    dapMmHg: 75.28,
    mapMmHg: 91.44,
  },
];

describe('against another peak finder', () => {
  it.each(byScipy)('finds the beats that SciPy finds at $options.ratePerMin /min', (scipy) => {
    const found = read(scipy.options);
    // The last peak has no whole beat after it; a peak at the very beginning has no foot.
    expect(scipy.peaks - found.beats.length).toBeGreaterThanOrEqual(1);
    expect(scipy.peaks - found.beats.length).toBeLessThanOrEqual(2);
    expect(Math.abs(found.ratePerMin / scipy.ratePerMin - 1)).toBeLessThan(0.01);
    expect(Math.abs(found.sapMmHg - scipy.sapMmHg)).toBeLessThan(1.5);
    expect(Math.abs(found.dapMmHg - scipy.dapMmHg)).toBeLessThan(1.5);
    expect(Math.abs(found.mapMmHg - scipy.mapMmHg)).toBeLessThan(0.3);
  });
});

// SciPy 1.17.1 on made strips of uneven beats; the script is beside what it found.
const uneven = z
  .object({ peaksS: z.record(z.string(), z.array(z.number())) })
  .parse(
    JSON.parse(readFileSync(new URL('../../fixtures/strip/peaks-by-scipy.json', import.meta.url), 'utf8')),
  );

describe('uneven beats, against another peak finder', () => {
  it.each(Object.entries(unevenStrips))('%s: the reader and SciPy find the same beats', (name, options) => {
    const { strip } = madeStrip(options);
    const read = findBeats(strip.pressuresMmHg, strip.samplesPerS).beats.map(
      ({ peakAt }) => peakAt / strip.samplesPerS,
    );
    const peaks = uneven.peaksS[name] ?? [];
    // Found within 150 ms, as ANSI/AAMI EC57 has it; the reader leaves out beats that the ends cut off.
    const near = (s: number, others: readonly number[]) => others.some((one) => Math.abs(one - s) < 0.15);
    const inner = peaks.slice(1, -2);
    expect(inner.length).toBeGreaterThan(20);
    expect(inner.filter((s) => near(s, read)).length / inner.length).toBeGreaterThanOrEqual(0.98);
    expect(read.filter((s) => near(s, peaks)).length / read.length).toBeGreaterThanOrEqual(0.96);
  });
});

describe('made strips', () => {
  const rates = [40, 75, 130, 200, 260];
  const lines = [
    { naturalHz: 10, damping: 0.1 },
    { naturalHz: 30, damping: 0.2 },
    { naturalHz: 20, damping: 0.6 },
    { naturalHz: 12, damping: 1.2 },
  ];
  const cells = rates.flatMap((ratePerMin) => lines.map((line) => ({ ratePerMin, line })));
  it.each(cells)(
    'reads $ratePerMin /min through $line.naturalHz Hz and damping $line.damping within 1 mmHg and 3 %',
    (cell) => {
      const { shown, ...found } = read({ ...cell, seed: 11, seconds: 20 });
      expect(Math.abs(found.sapMmHg - shown.sapMmHg)).toBeLessThan(1);
      expect(Math.abs(found.dapMmHg - shown.dapMmHg)).toBeLessThan(1);
      expect(Math.abs(found.mapMmHg - shown.mapMmHg)).toBeLessThan(0.5);
      expect(Math.abs(found.ratePerMin / shown.ratePerMin - 1)).toBeLessThan(0.03);
    },
  );

  it.each([60, 125, 500, 1000])('reads 180 /min at %i samples a second', (samplesPerS) => {
    const { shown, ...found } = read({ samplesPerS, ratePerMin: 180, seconds: 15 });
    expect(Math.abs(found.sapMmHg - shown.sapMmHg)).toBeLessThan(1.5);
    expect(Math.abs(found.ratePerMin / shown.ratePerMin - 1)).toBeLessThan(0.01);
  });

  it('finds every beat of an irregular rhythm: intervals that vary by a fifth', () => {
    const { shown, beats } = read({ irregularity: 0.2, ratePerMin: 100, seconds: 40 });
    expect(Math.abs(beats.length - shown.beats)).toBeLessThanOrEqual(1);
  });
});

describe('whatever the strip', () => {
  it('has foot before peak before end, beats in order, and diastolic ≤ mean ≤ systolic', () => {
    const options = fc.record({
      seed: fc.integer({ min: 1, max: 1000 }),
      ratePerMin: fc.integer({ min: 40, max: 260 }),
      line: fc.record({
        naturalHz: fc.integer({ min: 8, max: 40 }),
        damping: fc.double({ min: 0.1, max: 1.2, noNaN: true }),
      }),
      noiseMmHg: fc.double({ min: 0, max: 2, noNaN: true }),
      seconds: fc.constant(6),
      samplesPerS: fc.constantFrom(60, 125, 250),
    });
    fc.assert(
      fc.property(options, (made) => {
        const { beats } = read(made);
        let before = 0;
        for (const { footAt, peakAt, endsAt, dapMmHg, mapMmHg, sapMmHg } of beats) {
          expect(footAt).toBeGreaterThanOrEqual(before);
          expect(peakAt).toBeGreaterThan(footAt);
          expect(endsAt).toBeGreaterThan(peakAt);
          expect(dapMmHg).toBeLessThanOrEqual(mapMmHg);
          expect(mapMmHg).toBeLessThanOrEqual(sapMmHg);
          before = endsAt;
        }
      }),
      { numRuns: 30 },
    );
  });

  it('moves every pressure by what the strip is moved by, and no beat', () => {
    const { strip } = simulatedStrip({ seconds: 10 });
    fc.assert(
      fc.property(fc.integer({ min: -50, max: 100 }), (by) => {
        const still = findBeats(strip.pressuresMmHg, 250).beats;
        const moved = findBeats(
          strip.pressuresMmHg.map((p) => p + by),
          250,
        ).beats;
        expect(moved.map(({ peakAt }) => peakAt)).toEqual(still.map(({ peakAt }) => peakAt));
        for (const [i, beat] of moved.entries()) {
          expect(beat.sapMmHg).toBeCloseTo((still[i]?.sapMmHg ?? 0) + by, 6);
          expect(beat.mapMmHg).toBeCloseTo((still[i]?.mapMmHg ?? 0) + by, 6);
        }
      }),
      { numRuns: 10 },
    );
  });

  it('finds no beat and no interval across what is left out', () => {
    const { strip } = simulatedStrip({ seconds: 20 });
    const { beats, intervalsS } = findBeats(strip.pressuresMmHg, 250, [{ from: 2000, to: 3000 }]);
    expect(beats.some(({ footAt, endsAt }) => footAt < 3000 && endsAt > 2000)).toBe(false);
    expect(Math.max(...intervalsS)).toBeLessThan(0.6);
  });

  it('finds nothing on less than 1 s', () => {
    expect(findBeats(new Float64Array(200).fill(80), 250).beats).toEqual([]);
  });
});
