import { describe, expect, it } from 'vitest';
import { findBeats } from '../../../src/domain/strip/find-beats.ts';
import { laidOn } from '../../../src/domain/strip/pulse-train.ts';
import { rowCheck } from '../../../src/domain/strip/row-check.ts';
import { trainSignal } from '../../../src/domain/strip/train-signal.ts';
import { simulatedStrip } from '../../support/simulated-strip.ts';
import { madeStrip } from '../../support/strips/made-strip.ts';
import { usualStrip } from '../../support/strips/usual-strip.ts';

const { strip, shown } = simulatedStrip({ seed: 4, seconds: 20, ratePerMin: 130, irregularity: 0.03 });
const { pressuresMmHg: pressures, samplesPerS } = strip;
const whole = [{ from: 0, to: pressures.length }];
const { beats } = findBeats(pressures, samplesPerS);
const check = (of: typeof beats) => rowCheck(pressures, samplesPerS, whole, of);

describe('a row of strokes', () => {
  const signal = trainSignal(pressures, samplesPerS, whole);
  const feet = beats.map(({ footAt }) => footAt / signal.every);
  const lengthS = 60 / shown.ratePerMin;

  it('accounts for a clean trace: less than a hundredth is left over', () => {
    const { leftSquares, allSquares } = laidOn(signal, feet, lengthS);
    expect(leftSquares / allSquares).toBeLessThan(0.01);
  });

  it('gets back a stroke that was left out', () => {
    const fewer = feet.filter((_, n) => n !== 10);
    const at = (feet[10] ?? 0) / signal.samplesPerS;
    const near = (strokes: readonly number[]) => strokes.some((s) => Math.abs(s - at) < 0.08);
    expect(near(laidOn(signal, fewer, lengthS, { pursues: false }).strokesS)).toBe(false);
    expect(near(laidOn(signal, fewer, lengthS).strokesS)).toBe(true);
  });

  it('gives small beats their size', () => {
    const made = madeStrip({
      ...usualStrip,
      rhythm: { kind: 'alternans', small: 0.6, variation: 0.02 },
      ratePerMin: 100,
    });
    const own = trainSignal(made.strip.pressuresMmHg, 200, [
      { from: 0, to: made.strip.pressuresMmHg.length },
    ]);
    const at = made.beats.map(({ atS }) => (atS + 0.01) * own.samplesPerS);
    const { sizes, strokesS } = laidOn(
      own,
      at.filter((one) => one >= 0 && one < own.values.length),
      0.6,
    );
    const inner = sizes
      .filter((_, n) => (strokesS[n] ?? 0) > 2 && (strokesS[n] ?? 0) < 18)
      .toSorted((a, b) => a - b);
    const half = Math.floor(inner.length / 2);
    const small = inner[Math.floor(half / 2)] ?? 0;
    const tall = inner[half + Math.floor(half / 2)] ?? 0;
    expect(small / tall).toBeGreaterThan(0.5);
    expect(small / tall).toBeLessThan(0.7);
  });
});

describe('beats held against a row of strokes', () => {
  it('that are all there miss nothing and are none too many', () => {
    expect(check(beats)).toMatchObject({ missed: 0, madeUp: 0 });
  });

  it('of which one was not found miss it', () => {
    const fewer = beats.filter((_, n) => n !== 9 && n !== 20);
    // The beats beside it end where they did; the row wants the stroke between them all the same.
    const apart = fewer.map((beat, n) => ({ ...beat, endsAt: fewer[n + 1]?.footAt ?? beat.endsAt }));
    expect(check(apart)?.missed).toBe(2);
  });

  it('of which one was made up have one too many', () => {
    const [before, next] = [beats[12], beats[13]];
    if (!before || !next) throw new Error('no beats');
    const middle = Math.round(before.footAt + 0.62 * (next.footAt - before.footAt));
    const false_ = { ...before, footAt: middle, peakAt: middle + 10, halfUpAt: middle + 5 };
    const more = [...beats.slice(0, 13), false_, ...beats.slice(13)];
    expect(check(more)?.madeUp).toBe(1);
  });

  it('of a slow heart are not checked', () => {
    const slow = simulatedStrip({ seconds: 30, ratePerMin: 40 }).strip;
    const own = findBeats(slow.pressuresMmHg, slow.samplesPerS).beats;
    expect(
      rowCheck(slow.pressuresMmHg, slow.samplesPerS, [{ from: 0, to: slow.pressuresMmHg.length }], own),
    ).toBeNull();
  });
});
