import { describe, expect, it } from 'vitest';
import { commonWave, leftOver } from '../../../src/domain/strip/train-kernel.ts';
import type { TrainSignal } from '../../../src/domain/strip/train-signal.ts';

const wave = Float64Array.from({ length: 40 }, (_, i) => Math.sin(i / 5) * Math.exp(-i / 12));
// Nearer to each other than the wave is long, between the values, and one cut off at either end.
const strokes = {
  at: [-7.4, 20.25, 51.7, 83, 112.4, 145.9, 178.3],
  size: [1, 1, 0.6, 1.2, 1, 0.8, 1],
};
const signalOf = (counts: Uint8Array): TrainSignal => {
  const blank = {
    values: new Float64Array(200),
    counts,
    samplesPerS: 60,
    every: 1,
    stretches: [],
    noiseGain: 1,
  };
  const row = leftOver({ ...blank, counts: new Uint8Array(200).fill(1) }, strokes, wave);
  return { ...blank, values: row.map((v) => -v) };
};
const furthest = (found: Float64Array) => Math.max(...found.map((v, i) => Math.abs(v - (wave[i] ?? 0))));

describe('the wave that all strokes share', () => {
  it('is got back from a row that was made of it', () => {
    const whole = new Uint8Array(200).fill(1);
    expect(furthest(commonWave(signalOf(whole), strokes, new Float64Array(40), 60))).toBeLessThan(0.02);
  });

  it('is got back where a part of the signal does not count, and holds nothing', () => {
    const counts = new Uint8Array(200).fill(1).fill(0, 60, 75).fill(0, 130, 138);
    const signal = signalOf(counts);
    const spoilt = { ...signal, values: signal.values.map((v, i) => (counts[i] === 1 ? v : 1000)) };
    expect(furthest(commonWave(spoilt, strokes, new Float64Array(40), 60))).toBeLessThan(0.02);
  });
});
