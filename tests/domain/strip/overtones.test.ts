import { describe, expect, it } from 'vitest';
import { beatAgreement } from '../../../src/domain/strip/beat-agreement.ts';
import { bellFrom, chanceFrom } from '../../support/simulated-strip.ts';

// By Parseval's theorem a sine's own power is half its height squared, so of sin x + a sin 2x a share of a² / (1 + a²) is overtone.
describe('overtones of beats', () => {
  const samplesPerS = 100;
  const beats = Array.from({ length: 30 }, (_, n) => ({
    footAt: 50 * n,
    peakAt: 50 * n + 12,
    endsAt: 50 * n + 50,
    halfUpAt: 50 * n + 5,
    dapMmHg: 70,
    sapMmHg: 110,
    mapMmHg: 90,
  }));
  const intervalsS = beats.slice(1).map(() => 0.5);
  function overtones(a: number, noiseMmHg: number): number | undefined {
    const bell = bellFrom(chanceFrom(7));
    const wave = Float64Array.from({ length: 1600 }, (_, i) => {
      const angle = (2 * Math.PI * i) / 50;
      return 90 + 20 * (Math.sin(angle) + a * Math.sin(2 * angle)) + noiseMmHg * bell();
    });
    const found = { beats, intervalsS, openPerMin: [], othersPerMin: [], noPulse: [] };
    return beatAgreement(wave, samplesPerS, found, [{ from: 0, to: wave.length }])?.overtones;
  }

  it.each([0, 0.1, 0.3])('are the share that a second harmonic of %d of a sine has', (a) => {
    expect(overtones(a, 0)).toBeCloseTo(a ** 2 / (1 + a ** 2), 6);
  });

  it('are not made by noise', () => {
    expect(overtones(0, 3)).toBeLessThan(0.002);
  });
});
