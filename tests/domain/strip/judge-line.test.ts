import { describe, expect, it } from 'vitest';
import { defaultFlushTestRegions, regionOf } from '../../../src/domain/dynamic-response/regions.ts';
import { type FlushFinding, judgeFlush } from '../../../src/domain/strip/judge-line.ts';
import type { MeasuredFlush, Span } from '../../../src/domain/strip/measure-flush.ts';

type Ringing = Extract<MeasuredFlush, { measured: 'ringing' }>;

function judged(naturalHz: Span, damping: Span, by: Pick<Ringing, 'dampingFrom' | 'fallMs'>) {
  const ringingHz = naturalHz.value * Math.sqrt(1 - damping.value ** 2);
  const test: Ringing = {
    measured: 'ringing',
    turns: [{ atS: 5, offMmHg: -30 }],
    swingsMmHg: [],
    periodS: 1 / ringingHz,
    ringingHz,
    damping,
    naturalHz,
    ...by,
  };
  const region = regionOf({ naturalHz: naturalHz.value, damping: damping.value }, 90);
  const flush: FlushFinding = { opensAtS: 4, releasedAtS: 5, plateauMmHg: 280, test, region };
  const { verdict, confidence } = judgeFlush(
    flush,
    500,
    { notch: 'present', depthMmHg: 3 },
    90,
    defaultFlushTestRegions,
  );
  return [verdict, confidence];
}

const swings = { dampingFrom: 'successive swings', fallMs: 25 } as const;
const oneTurn = (fallMs: number, offMmHg = -15) =>
  ({ dampingFrom: 'first turn against the step', fallMs, turns: [{ atS: 5, offMmHg }] }) as const;

describe('a verdict on the line', () => {
  // At 6 Hz a damping of 0.33 rings and one of 0.43 is good and slow (the ward's limit is 0.4): two verdicts.
  it('is sure only if every line within the reading error gets it', () => {
    const slow = { value: 6.2, low: 6, high: 6.5 };
    expect(judged(slow, { value: 0.38, low: 0.33, high: 0.43 }, swings)).toEqual([
      'spiky (underdamped)',
      'unsure',
    ]);
    expect(judged(slow, { value: 0.2, low: 0.15, high: 0.25 }, swings)).toEqual([
      'spiky (underdamped)',
      'fairly sure',
    ]);
  });

  // 27 Hz at damping 0.5 falls from 90 to 10 % in (2.16 × 0.5 + 0.60) / (2π × 27 Hz) = 9.9 ms (Dorf and Bishop, from memory).
  it('by one turn is sure only if the fall is as quick as that line’s own, or a valve shut slowly', () => {
    const quick = { value: 27, low: 22, high: 32 };
    const good = { value: 0.5, low: 0.46, high: 0.56 };
    expect(judged(quick, good, oneTurn(10))).toEqual(['normal', 'fairly sure']);
    expect(judged(quick, good, oneTurn(12.5))).toEqual(['normal', 'unsure']);
  });

  // At damping 0.5 each swing is exp(−π × 0.5 / √(1 − 0.5²)) = 0.163 of the one before (second-order system): 30 mmHg swings back by 4.9.
  it('by one turn is not sure if what swings over so far would be seen to swing back', () => {
    const [quick, good] = [
      { value: 27, low: 22, high: 32 },
      { value: 0.5, low: 0.46, high: 0.56 },
    ];
    expect(judged(quick, good, oneTurn(10, -18))).toEqual(['normal', 'fairly sure']);
    expect(judged(quick, good, oneTurn(10, -30))).toEqual(['normal', 'unsure']);
  });

  it('of a line that rings stands though the valve shut slowly: it rings the more by itself', () => {
    const quick = { value: 18, low: 16, high: 20 };
    expect(judged(quick, { value: 0.1, low: 0.05, high: 0.15 }, oneTurn(14))).toEqual([
      'spiky (underdamped)',
      'fairly sure',
    ]);
  });
});
