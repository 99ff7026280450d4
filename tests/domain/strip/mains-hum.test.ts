import { describe, expect, it } from 'vitest';
import { withoutHum } from '../../../src/domain/strip/mains-hum.ts';
import { readStrip } from '../../../src/domain/strip/strip-findings.ts';
import { simulatedStrip } from '../../support/simulated-strip.ts';

const { strip, shown } = simulatedStrip({ seed: 2, seconds: 12, ratePerMin: 140 });
const { samplesPerS, pressuresMmHg: clean } = strip;
const hummed = (hz: number, mmHg: number) =>
  clean.map((p, i) => p + mmHg * Math.sin((2 * Math.PI * hz * i) / samplesPerS + 0.4));
const furthestOff = (wave: Float64Array) =>
  // At the very ends less of the hum is known.
  Math.max(...wave.map((p, i) => (i < 250 || i > wave.length - 250 ? 0 : Math.abs(p - (clean[i] ?? 0)))));

describe('mains hum', () => {
  it.each([50, 60, 49.97, 60.03])('of 5 mmHg at %d Hz is taken off, and the pulse stays', (hz) => {
    const off = furthestOff(withoutHum(hummed(hz, 5), samplesPerS));
    expect(off).toBeLessThan(0.6);
  });

  it('that is none changes nothing', () => {
    expect(withoutHum(clean, samplesPerS)).toBe(clean);
    // A sine elsewhere is no hum.
    const other = hummed(41, 5);
    expect(withoutHum(other, samplesPerS)).toBe(other);
  });

  it('is seen through the sampling: at 100 a second 60 Hz looks like 40, at 50 like 10', () => {
    const of = (perS: number) =>
      Float64Array.from({ length: 12 * perS }, (_, i) => 80 + 4 * Math.sin((2 * Math.PI * 60 * i) / perS));
    const left = withoutHum(of(100), 100).subarray(300, 900);
    expect(Math.max(...left.map((p) => Math.abs(p - 80)))).toBeLessThan(0.2);
    // 10 Hz could be a pulse's own.
    const slow = of(50);
    expect(withoutHum(slow, 50)).toBe(slow);
  });

  it('does not keep a strip from being told plainly', () => {
    const { findings } = readStrip({ ...strip, pressuresMmHg: hummed(50, 9) });
    expect(findings.faults).toEqual([]);
    expect(Math.abs((findings.beats?.sapMmHg ?? 0) - shown.sapMmHg)).toBeLessThan(1.5);
    expect(Math.abs((findings.beats?.ratePerMin ?? 0) - shown.ratePerMin)).toBeLessThan(2);
  });
});
