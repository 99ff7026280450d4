import { describe, expect, it } from 'vitest';
import type { FoundBeats } from '../../../src/domain/strip/find-beats.ts';
import type { RowCheck } from '../../../src/domain/strip/row-check.ts';
import { timedByRow } from '../../../src/domain/strip/timed-beats.ts';

describe('beats timed by a row of strokes', () => {
  const samplesPerS = 100;
  /** Eight beats 0.5 s apart whose upstrokes a ringing line moved to and fro by 60 ms. */
  const moved = Array.from({ length: 8 }, (_, n) => ({
    footAt: 50 * n + 20,
    peakAt: 50 * n + 32,
    endsAt: 50 * n + 70,
    dapMmHg: 70,
    sapMmHg: 110,
    mapMmHg: 85,
    halfUpAt: 50 * n + 26 + (n % 2 === 0 ? 3 : -3),
  }));
  const found: FoundBeats = {
    beats: moved,
    intervalsS: moved.slice(1).map(({ halfUpAt }, i) => (halfUpAt - (moved[i]?.halfUpAt ?? 0)) / samplesPerS),
    openPerMin: [],
    othersPerMin: [],
    noPulse: [],
  };
  const row: RowCheck = {
    leftShare: 0.002,
    missed: 0,
    madeUp: 0,
    strokesAt: moved.map((_, n) => 50 * n + 20),
  };

  it('are even where the strokes are, with what each upstroke is late by the same for all', () => {
    expect(found.intervalsS.slice(0, 2)).toEqual([0.44, 0.56]);
    const { intervalsS, beats } = timedByRow(found, row, samplesPerS);
    expect(intervalsS).toEqual(Array.from({ length: 7 }, () => 0.5));
    expect(beats[0]?.halfUpAt).toBe(26);
  });

  it('keep their own times where the row leaves much over, wants other beats, lacks one, or is less even', () => {
    const strokesAt = row.strokesAt.with(3, Number.NaN);
    const uneven = row.strokesAt.map((at, n) => at + (n % 2 === 0 ? 5 : -5));
    for (const other of [
      null,
      { ...row, leftShare: 0.04 },
      { ...row, missed: 1 },
      { ...row, madeUp: 1 },
      { ...row, strokesAt },
      { ...row, strokesAt: uneven },
    ])
      expect(timedByRow(found, other, samplesPerS)).toBe(found);
  });
});
