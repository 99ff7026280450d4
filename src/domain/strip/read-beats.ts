import { rateOpen } from './open-rates.ts';
import { isAsGood, isBetter, isWorthTrying, rivalsOf } from './other-set.ts';
import { type ReadBeats, type ReadSet, readSet } from './read-set.ts';
import type { Trace } from './trace-of-strip.ts';

/** Sets whose rates are as near to each other as this are the same beats. */
const sameRate = 0.03;

/**
 * Reads the beats of a trace: those that were weighed to be the pulse's. Where these are doubtful, every other set of beats is
 * read as well, by the same doubts; one that has none of them, and is better borne out, is told instead. Where these have no
 * doubt, sets that could be the pulse's as well are read; one that is as good makes the rate open.
 */
export function readBeats(trace: Trace): ReadBeats {
  const first = readSet(trace, null);
  if (isWorthTrying(first)) return betterOf(first, trace);
  const { beats, faults } = first.read;
  if (beats === null || faults.length > 0) return first.read;
  for (const perMin of rivalsOf(first)) {
    const rival = readSet(trace, perMin);
    const open = rival.read.beats?.ratePerMin ?? perMin;
    if (isAsGood(first, rival)) return { ...first.read, faults: [rateOpen(beats.ratePerMin, open)] };
  }
  return first.read;
}

/** The one other set that is better than a doubtful first one. Where two such sets have other rates nothing is gained. */
function betterOf(first: ReadSet, trace: Trace): ReadBeats {
  const better: ReadSet[] = [];
  for (const perMin of first.othersPerMin) {
    const other = readSet(trace, perMin);
    if (isBetter(first, other)) better.push(other);
  }
  const rates = better.map(({ read }) => read.beats?.ratePerMin ?? 0);
  const [chosen] = better;
  if (chosen === undefined || Math.max(...rates) > (1 + sameRate) * Math.min(...rates)) return first.read;
  return chosen.read;
}
