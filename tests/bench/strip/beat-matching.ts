import type { Beat } from '../../../src/domain/strip/find-beats.ts';
import type { MadeStrip } from '../../support/strips/made-strip.ts';
import type { StripTruth } from '../../support/strips/truth-of-strip.ts';

/** Beats found, missed and made up, as ANSI/AAMI EC57 counts them. */
export interface BeatCount {
  found: number;
  missed: number;
  madeUp: number;
}

/**
 * EC57 takes a beat for found within 150 ms of the true one. At 320 /min the next beat is 188 ms away, so here the window
 * is never more than 40 % of the usual interval.
 */
const windowS = { most: 0.15, ofInterval: 0.4 } as const;

/** Matches beats by their peaks, each true one with one read, clear of excursions and of the strip's ends. */
export function beatCount(made: MadeStrip, truth: StripTruth, read: readonly Beat[]): BeatCount {
  const { samplesPerS, seconds, ratePerMin } = made.options;
  const usualS = 60 / ratePerMin;
  const window = Math.min(windowS.most, windowS.ofInterval * usualS);
  // The reader needs the whole of a beat; the first and last of a stretch are not asked for.
  const isAsked = (s: number) =>
    s > 2.2 * usualS &&
    s < seconds - 2.2 * usualS &&
    !truth.disturbed.some(({ fromS, toS }) => s > fromS - 2.2 * usualS && s < toS + 2.2 * usualS + 1);
  const wanted = truth.beats.map(({ peakS }) => peakS).filter(isAsked);
  const peaks = read.map(({ peakAt }) => peakAt / samplesPerS);
  const left = new Set(peaks);
  let found = 0;
  for (const at of wanted) {
    const near = [...left]
      .filter((s) => Math.abs(s - at) <= window)
      .toSorted((a, b) => Math.abs(a - at) - Math.abs(b - at))[0];
    if (near === undefined) continue;
    left.delete(near);
    found += 1;
  }
  return { found, missed: wanted.length - found, madeUp: [...left].filter(isAsked).length };
}
