import type { MadeStripOptions } from './made-strip.ts';

/** A steady pulse of 90 /min through a good line, 20 s at 200 Hz: what a test changes, it changes of this. */
export const usualStrip: MadeStripOptions = {
  seed: 1,
  seconds: 20,
  samplesPerS: 200,
  ratePerMin: 90,
  rhythm: { kind: 'regular', variation: 0.01 },
  wave: 'windkessel',
  afterwave: 0.15,
  runOffS: 1,
  sapMmHg: 120,
  dapMmHg: 75,
  line: { naturalHz: 20, damping: 0.5 },
  noiseMmHg: 0.3,
  hum: null,
  driftMmHgPerS: 0,
  breath: { perMin: 15, mmHg: 1.5, pulseShare: 0.03 },
  excursions: [],
  clipAboveMmHg: 320,
  clipBelowMmHg: -40,
  stepMmHg: 0.1,
};
