import type { Excursion, ExcursionKind } from './excursions.ts';
import type { FoundFlush } from './find-flush.ts';

/** A stretch that is left out of beats and averages, with where it lies. */
export interface ExcursionFinding {
  kind: ExcursionKind;
  /** s from the start of the strip that was read. */
  fromS: number;
  toS: number;
}

/** Excursions without those that are fast flushes: these are told with what they measure. What is worst comes first. */
export function excursionFindings(
  excursions: readonly Excursion[],
  flushes: readonly FoundFlush[],
  samplesPerS: number,
): ExcursionFinding[] {
  return excursions
    .filter(({ from, to }) => !flushes.some(({ opensAt }) => opensAt >= from && opensAt < to))
    .map(({ kind, from, to }) => ({ kind, fromS: from / samplesPerS, toS: to / samplesPerS }))
    .toSorted((a, b) => Number(b.kind === 'no pulse') - Number(a.kind === 'no pulse'));
}
