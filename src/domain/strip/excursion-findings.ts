import type { Excursion, ExcursionKind } from './excursions.ts';
import type { FoundFlush } from './find-flush.ts';

/** A stretch that is left out of beats and averages, with a sentence that names it. */
export interface ExcursionFinding {
  kind: ExcursionKind;
  /** s from the start of the strip that was read. */
  fromS: number;
  toS: number;
  says: string;
}

const words: Readonly<Record<ExcursionKind, (lengthS: string) => string>> = {
  above: () => 'the trace lies far above the pulse (a flush, a closed tap or a movement)',
  below: () => 'the trace lies far below the pulse (open to air, a tap, a sample or a movement)',
  level: () => 'the whole trace lies at another level (limb or transducer moved?)',
  'no pulse': (lengthS) =>
    `there is no pulse for ${lengthS} s: look at the animal first, then for a closed tap, a clamp or a kink`,
};

/** Excursions in words, without those that are fast flushes: these are told with what they measure. What is worst comes first. */
export function excursionFindings(
  excursions: readonly Excursion[],
  flushes: readonly FoundFlush[],
  samplesPerS: number,
): ExcursionFinding[] {
  return excursions
    .filter(({ from, to }) => !flushes.some(({ opensAt }) => opensAt >= from && opensAt < to))
    .map(({ kind, from, to }) => {
      const [fromS, toS] = [from / samplesPerS, to / samplesPerS];
      const says = `From ${fromS.toFixed(1)} to ${toS.toFixed(1)} s ${words[kind]((toS - fromS).toFixed(1))}. It is left out.`;
      return { kind, fromS, toS, says };
    })
    .toSorted((a, b) => Number(b.kind === 'no pulse') - Number(a.kind === 'no pulse'));
}
