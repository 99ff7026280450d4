import { type Interval, usualLevel } from './interval.ts';
import { twoSidedZ } from './normal-quantile.ts';

/** One subject: how long it was followed, in any one unit, and whether it failed then; if not, it is censored then. */
export interface FollowUp {
  time: number;
  failed: boolean;
}

/** How the band is made: on the scale of ln(−ln S), which keeps within 0 to 1 by itself, or of S, cut off there. */
export type Band = 'log-log' | 'plain';

/** One time at which somebody failed. */
export interface SurvivalStep {
  time: number;
  atRisk: number;
  failures: number;
  /** Share expected to last longer than `time`. */
  survival: number;
  /** Greenwood's sum `Σ d / (n (n − d))`; infinite where all who were at risk failed. */
  greenwood: number;
  /** `S sqrt(Greenwood's sum)`; null where all who were at risk failed, and so for the band. */
  standardError: number | null;
  band: Interval | null;
}

/** A Kaplan–Meier curve, with the counts behind it. `level`: of its confidence intervals. */
export interface Survival {
  subjects: number;
  failures: number;
  /** Sum of all follow-up, in the unit given. */
  exposure: number;
  level: number;
  steps: SurvivalStep[];
  /** When those who did not fail were censored, earliest first: as many as they are. */
  censoredAt: number[];
  /** First time at which half or fewer remain; null: not reached. So for its limits, from the band. */
  median: { time: number | null; lower: number | null; upper: number | null };
}

/** A product of fractions that is one half on paper may miss it by a few roundings. */
const roundings = 1e-12;

/**
 * Share that lasts beyond each time, by Kaplan and Meier (J Am Stat Assoc 1958;53:457-481): `S(t) = Π (1 − d/n)`, with
 * Greenwood's variance and a pointwise band. Who is censored at a time is still at risk at it. The median's limits are where
 * the band's limits come down to one half (Brookmeyer and Crowley, Biometrics 1982;38:29-41, by the band chosen). Where the
 * curve lies at one half for a while, R gives the middle of that while as the median and we its first time.
 *
 * Times are 0 or more, in any one unit, which is that of all results. Throws a RangeError for any other time and unless
 * 0 < level < 1.
 *
 * Example: of 21 children 3 relapse in week 6 → S = 0.857, band 0.620 to 0.952 (log-log).
 */
export function kaplanMeier(
  followUps: readonly FollowUp[],
  { band = 'log-log', level = usualLevel }: { band?: Band; level?: number } = {},
): Survival {
  const z = twoSidedZ(level);
  const wrong = followUps.find(({ time }) => !(time >= 0 && time < Number.POSITIVE_INFINITY));
  if (wrong)
    throw new RangeError(`A follow-up time was ${wrong.time}; a finite time of 0 or more is allowed.`);
  const sorted = followUps.toSorted((a, b) => a.time - b.time);
  const steps: SurvivalStep[] = [];
  let survival = 1;
  let greenwood = 0;
  for (let first = 0; first < sorted.length; ) {
    const time = sorted[first]?.time ?? 0;
    let next = first;
    let failures = 0;
    while (sorted[next]?.time === time) {
      if (sorted[next]?.failed) failures += 1;
      next += 1;
    }
    const atRisk = sorted.length - first;
    first = next;
    if (failures === 0) continue;
    survival *= 1 - failures / atRisk;
    greenwood += failures / (atRisk * (atRisk - failures));
    const isLast = failures === atRisk;
    steps.push({
      time,
      atRisk,
      failures,
      survival,
      greenwood,
      standardError: isLast ? null : survival * Math.sqrt(greenwood),
      band: isLast ? null : bandAt(survival, greenwood, z, band),
    });
  }
  const firstAtHalf = (of: (step: SurvivalStep) => number | undefined) =>
    steps.find((step) => (of(step) ?? Number.POSITIVE_INFINITY) <= 0.5 + roundings)?.time ?? null;
  return {
    subjects: sorted.length,
    failures: steps.reduce((sum, step) => sum + step.failures, 0),
    exposure: sorted.reduce((sum, { time }) => sum + time, 0),
    level,
    steps,
    censoredAt: sorted.flatMap(({ time, failed }) => (failed ? [] : [time])),
    median: {
      time: firstAtHalf((step) => step.survival),
      lower: firstAtHalf((step) => step.band?.lower),
      upper: firstAtHalf((step) => step.band?.upper),
    },
  };
}

/** The curve just after a time: 1 before the first failure; the band null where it has none (as `SurvivalStep`). */
export function survivalAt(
  { steps }: Pick<Survival, 'steps'>,
  time: number,
): Pick<SurvivalStep, 'survival' | 'band'> {
  return steps.findLast((step) => step.time <= time) ?? { survival: 1, band: null };
}

/** How many had neither failed nor been censored before a time: who leaves at it is still at risk. */
export function atRiskAt(
  { subjects, steps, censoredAt }: Pick<Survival, 'subjects' | 'steps' | 'censoredAt'>,
  time: number,
): number {
  const failed = steps.reduce((sum, step) => (step.time < time ? sum + step.failures : sum), 0);
  return subjects - failed - censoredAt.filter((at) => at < time).length;
}

function bandAt(survival: number, greenwood: number, z: number, band: Band): Interval {
  const error = Math.sqrt(greenwood);
  if (band === 'plain') {
    const half = z * survival * error;
    return { lower: Math.max(0, survival - half), upper: Math.min(1, survival + half) };
  }
  const spread = Math.exp((z * error) / -Math.log(survival));
  return { lower: survival ** spread, upper: survival ** (1 / spread) };
}
