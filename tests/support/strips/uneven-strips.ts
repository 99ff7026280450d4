import type { MadeStripOptions } from './made-strip.ts';
import { usualStrip } from './usual-strip.ts';

/** Made strips of uneven beats that another peak finder read, too: tests/fixtures/strip/peaks-by-scipy.json. */
export const unevenStrips: Readonly<Record<string, MadeStripOptions>> = {
  alternans: {
    ...usualStrip,
    seed: 21,
    ratePerMin: 120,
    rhythm: { kind: 'alternans', small: 0.7, variation: 0.015 },
  },
  bigeminy: {
    ...usualStrip,
    seed: 22,
    ratePerMin: 100,
    rhythm: { kind: 'bigeminy', coupling: 0.75, small: 0.9 },
  },
  'dropped beats': { ...usualStrip, seed: 23, ratePerMin: 110, rhythm: { kind: 'dropped', every: 5 } },
  'early beats': {
    ...usualStrip,
    seed: 24,
    ratePerMin: 90,
    rhythm: { kind: 'premature', every: 7, coupling: 0.7, small: 0.85 },
  },
  fibrillation: {
    ...usualStrip,
    seed: 25,
    ratePerMin: 130,
    seconds: 30,
    rhythm: { kind: 'fibrillation', variation: 0.18 },
  },
};
