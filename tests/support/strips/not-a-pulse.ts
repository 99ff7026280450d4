import type { PressureStrip } from '../../../src/domain/strip/pressure-strip.ts';
import { stripOf } from './made-strip.ts';

/** Traces without an animal's pulse. */
export const notAPulseKinds = [
  'noise of 0.5 to 2 Hz',
  'noise of 1 to 4 Hz',
  'noise of 2 to 6 Hz',
  'white noise',
  'random walk',
  'sine',
  'square wave',
  'telegraph',
  'ramp',
  'hum alone',
  'pulse below 0',
] as const;
export type NotAPulse = (typeof notAPulseKinds)[number];

interface Making {
  seconds: number;
  samplesPerS: number;
  chance: () => number;
  bell: () => number;
}

/** Noise within a band, as a sum of sines of chance heights and phases, 20 for each Hz; standard deviation 1. */
function bandNoise(
  lowHz: number,
  highHz: number,
  { seconds, samplesPerS, chance, bell }: Making,
): Float64Array {
  const count = Math.round(20 * (highHz - lowHz));
  const parts = Array.from({ length: count }, () => ({
    hz: lowHz + (highHz - lowHz) * chance(),
    height: Math.abs(bell()) + 0.2,
    phase: 2 * Math.PI * chance(),
  }));
  const out = Float64Array.from({ length: Math.round(seconds * samplesPerS) }, (_, i) =>
    parts.reduce(
      (sum, { hz, height, phase }) => sum + height * Math.sin((2 * Math.PI * hz * i) / samplesPerS + phase),
      0,
    ),
  );
  const spread = Math.sqrt(out.reduce((sum, v) => sum + v * v, 0) / out.length);
  return out.map((v) => v / spread);
}

function telegraph({ seconds, samplesPerS, chance }: Making, evenS: number | null): Float64Array {
  let [isHigh, left] = [false, 0];
  return Float64Array.from({ length: Math.round(seconds * samplesPerS) }, () => {
    if (left <= 0) {
      isHigh = !isHigh;
      left = (evenS ?? 0.08 + 0.5 * chance()) * samplesPerS;
    }
    left -= 1;
    return isHigh ? 1 : 0;
  });
}

/** A strip of a kind; levels, heights and frequencies are drawn. */
export function notAPulse(kind: NotAPulse, making: Making): PressureStrip {
  const { seconds, samplesPerS, chance, bell } = making;
  const level = 60 + 60 * chance();
  const height = 6 + 14 * chance();
  const hz = 0.5 + 4 * chance();
  const noise = 0.1 + 0.5 * chance();
  const wave = ((): Float64Array => {
    const count = Math.round(seconds * samplesPerS);
    const of = (at: (t: number) => number) =>
      Float64Array.from({ length: count }, (_, i) => at(i / samplesPerS));
    let walk = 0;
    switch (kind) {
      case 'noise of 0.5 to 2 Hz':
        return bandNoise(0.5, 2, making);
      case 'noise of 1 to 4 Hz':
        return bandNoise(1, 4, making);
      case 'noise of 2 to 6 Hz':
        return bandNoise(2, 6, making);
      case 'white noise':
        return of(() => bell());
      case 'random walk':
        return of(() => {
          walk = walk * (1 - 0.3 / samplesPerS) + bell() / Math.sqrt(samplesPerS);
          return walk;
        });
      case 'sine':
        return of((t) => Math.sin(2 * Math.PI * hz * t));
      case 'square wave':
        return telegraph(making, 0.5 / hz);
      case 'telegraph':
        return telegraph(making, null);
      case 'ramp':
        return of((t) => t / seconds);
      case 'hum alone':
        return of((t) => 0.5 * Math.sin(2 * Math.PI * 50 * t) + 0.2 * Math.sin(2 * Math.PI * 150 * t));
      case 'pulse below 0':
        return of((t) => -(level / height) * 1.4 + Math.exp(-4 * ((t * hz) % 1)));
    }
  })();
  const pressures = wave.map((v) => Math.round((level + height * v + noise * bell()) * 10) / 10);
  return stripOf(pressures, { samplesPerS, seconds });
}
