import type { Site } from '../line/anatomy.ts';
import { type FailureReason, failureOf, type RemovalReason } from '../record/removal-reasons.ts';
import { kaplanMeier, type Survival } from '../statistics/kaplan-meier.ts';
import { poissonRateInterval, type Rate } from '../statistics/poisson-rate-interval.ts';
import type { Complication } from './complications.ts';
import { isWithin, lineDaysOf, type Period, type Stay } from './line-course.ts';
import { type Share, shareOf } from './share.ts';
import { type Spread, spreadOf } from './spread.ts';
import { fewest } from './too-few.ts';

/** What is counted of one line. */
export interface LineFacts extends Stay {
  site: Site;
  /** Why it came out; null where it was in. */
  reason: RemovalReason | null;
  complications: Complication[];
}

/** How lines fared in a period. Every figure is per line, not per animal. */
export interface LinesInNumbers {
  /** Lines that were in at any time of the period; of them placed and come out in it. */
  lines: number;
  placed: number;
  out: number;
  /** Time all of them were in during the period, days. */
  lineDays: number;
  /** Where the lines of the period lie, as shares of `lines`. */
  sites: Partial<Record<Site, Share>>;
  /** Dwell of the lines that came out in the period, ms: those still in are not in it, the curve has them. */
  dwellMs: Spread;
  /** Why lines came out in the period. */
  reasons: Partial<Record<RemovalReason, number>>;
  /**
   * Time from placing to failure of the lines placed in the period, ms: share not failed, with a 95 % band (log-log). Lines that
   * came out for another reason, or were still in at its end, are censored then.
   */
  timeToFailure: Survival & {
    tooFew: boolean;
    /** Beyond this fewer than `fewest.atRisk` lines are left, ms; null where there never were so many. */
    readableUntilMs: number | null;
  };
  complications: {
    /** First records in the period, by kind; a line may have several kinds. */
    byKind: Partial<Record<FailureReason, number>>;
    /** All of them per 100 line-days, with the exact 95 % interval; null where no line was in. */
    per100LineDays: (Rate & { tooFew: boolean }) | null;
    /** Of the lines that came out in the period: that ever had one, and that came out for one. */
    linesWithOne: Share;
    removedForOne: Share;
  };
}

/** Lines that were in at any time of a period. One that came out at the instant it begins came out in it, and in no other. */
export function linesIn<L extends Stay>(all: readonly L[], period: Period): L[] {
  return all.filter(({ outAt }) => (outAt ?? period.toMs) >= period.fromMs);
}

/** The figures of a group of lines over a period. Example: 2 complications in 50 line-days → 4.0 per 100 (0.5 to 14.4). */
export function linesInNumbers(all: readonly LineFacts[], period: Period): LinesInNumbers {
  const lines = linesIn(all, period);
  const placed = lines.filter(({ placedAt }) => placedAt >= period.fromMs);
  const out = lines.filter(({ outAt }) => outAt !== null && isWithin(outAt, period));
  const lineDays = lineDaysOf(lines, period);
  const found = lines.flatMap(({ complications }) => complications.filter(({ at }) => isWithin(at, period)));
  const followUps = placed.map(({ placedAt, outAt, reason }) => ({
    time: (outAt ?? period.toMs) - placedAt,
    failed: reason !== null && failureOf(reason) !== null,
  }));
  return {
    lines: lines.length,
    placed: placed.length,
    out: out.length,
    lineDays,
    sites: Object.fromEntries(
      Object.entries(counted(lines.map(({ site }) => site))).map(([site, count]) => [
        site,
        shareOf(count, lines.length),
      ]),
    ),
    dwellMs: spreadOf(out.map(({ placedAt, outAt }) => (outAt ?? placedAt) - placedAt)),
    reasons: counted(out.flatMap(({ reason }) => reason ?? [])),
    timeToFailure: {
      ...kaplanMeier(followUps),
      tooFew: followUps.length < fewest.ofMedian,
      readableUntilMs: followUps.map(({ time }) => time).toSorted((a, b) => b - a)[fewest.atRisk - 1] ?? null,
    },
    complications: {
      byKind: counted(found.map(({ kind }) => kind)),
      per100LineDays:
        lineDays > 0
          ? {
              ...poissonRateInterval(found.length, lineDays, { per: 100 }),
              tooFew: lineDays < fewest.lineDays,
            }
          : null,
      linesWithOne: shareOf(out.filter(({ complications }) => complications.length > 0).length, out.length),
      removedForOne: shareOf(
        out.filter(({ reason }) => reason !== null && failureOf(reason) !== null).length,
        out.length,
      ),
    },
  };
}

function counted<K extends string>(keys: readonly K[]): Partial<Record<K, number>> {
  const counts: Partial<Record<K, number>> = {};
  for (const key of keys) counts[key] = (counts[key] ?? 0) + 1;
  return counts;
}
