import type { WardPolicy } from '../policy/ward-policy.ts';
import type { Entry } from '../record/entry.ts';
import type { CusumRates } from '../statistics/cusum.ts';
import { policyAtOf } from '../ward/policy-at.ts';
import type { WardEntry } from '../ward/ward-entry.ts';
import type { Attempt } from './attempt.ts';
import { attemptsOf, placingOf } from './attempts-of.ts';
import { type Downtime, downtimeOf } from './downtime.ts';
import { type FirstAttemptSuccess, firstAttemptSuccess } from './first-attempt.ts';
import { type LearningCurve, learningCurves, usualCusumRates } from './learning-curve.ts';
import { isWithin, type Period } from './line-course.ts';
import { type LinesAudit, LinesCount } from './lines-audit.ts';
import { type Practice, practiceAt } from './practice.ts';
import { type Share, shareOf } from './share.ts';

/** A line with its log. */
export interface LineLogs {
  id: string;
  entries: readonly Entry[];
}

/** A ward's whole record, as the audit takes it: each line is looked at once, in any order, and its log need not stay. */
export interface WardLogs {
  wardEntries: readonly WardEntry[];
  lines: Iterable<LineLogs>;
}

/** What a ward's lines cost and gained in a period, and how those who place them stand at its end. */
export interface WardAudit {
  lines: LinesAudit;
  downtime: Downtime;
  firstAttempts: FirstAttemptSuccess;
  /** Lines placed in the period whose tries were recorded, of all placed in it. */
  withTries: Share;
  /** Tries recorded in the period; placings begun in it that came to no line, in it or after. */
  tries: number;
  withoutLine: number;
  /** Of all tries up to the period's end, not only its own: a learning curve has a memory. */
  curves: LearningCurve[];
  /** What the curves were held against. */
  rates: CusumRates;
  /** Of everybody who ever placed here, as it stands at the period's end. */
  practice: Practice[];
  /** Without a try for longer, practice has lapsed, days. */
  lapsedAfterDays: number;
}

/** Counts a ward over a period line by line, in any order; of a line that was counted nothing need be held. */
export class WardCount {
  private readonly wardEntries: readonly WardEntry[];
  private readonly policy: WardPolicy;
  private readonly period: Period;
  private readonly lines: LinesCount;
  /** Of each line its placing alone, as it counts: tries are parted into placings when all are known. */
  private readonly placings: LineLogs[] = [];

  /**
   * `wardEntries`: the ward's own log; `defaultPolicy`: what it went by before it set a policy; the period ends no later than
   * now. Throws a RangeError where it does not end after it begins.
   */
  constructor(wardEntries: readonly WardEntry[], defaultPolicy: WardPolicy, period: Period) {
    const policyAt = policyAtOf(wardEntries, defaultPolicy);
    this.wardEntries = wardEntries;
    this.policy = policyAt(period.toMs - 1);
    this.period = period;
    this.lines = new LinesCount(policyAt, period);
  }

  add({ id, entries }: LineLogs): void {
    this.lines.add({ id, log: entries });
    const placing = placingOf(entries);
    if (placing) this.placings.push({ id, entries: [placing] });
  }

  /** What all lines so far came to. */
  audit(): WardAudit {
    const { wardEntries, policy, period, placings } = this;
    const { lapsedAfterDays } = policy;
    const rates: CusumRates = {
      ...usualCusumRates,
      acceptable: policy.failureAcceptablePercent / 100,
      unacceptable: policy.failureUnacceptablePercent / 100,
    };
    const lines = this.lines.audit();
    const all = attemptsOf(wardEntries, placings);
    const attempts = all.filter(({ at }) => at < period.toMs);
    return {
      lines,
      downtime: downtimeOf(wardEntries, period),
      firstAttempts: firstAttemptSuccess(attempts, period),
      ...triesOf(all, lines.all.placed, period),
      curves: learningCurves(attempts, rates),
      rates,
      practice: practiceAt(attempts, placings, { atMs: period.toMs, lapsedAfterDays }),
      lapsedAfterDays,
    };
  }
}

/** The audit of a ward over a period, from its logs alone; takes and throws what `WardCount` does. */
export function wardAudit(
  { wardEntries, lines }: WardLogs,
  defaultPolicy: WardPolicy,
  period: Period,
): WardAudit {
  const count = new WardCount(wardEntries, defaultPolicy, period);
  for (const line of lines) count.add(line);
  return count.audit();
}

function triesOf(
  attempts: readonly Attempt[],
  placed: number,
  period: Period,
): Pick<WardAudit, 'withTries' | 'tries' | 'withoutLine'> {
  const inPeriod = attempts.filter(({ at }) => isWithin(at, period));
  // A line whose tries were recorded has exactly one that succeeded.
  const succeeded = inPeriod.filter(({ succeeded }) => succeeded).length;
  // A placing that goes on beyond the period's end is of the period it began in, and its line is no failure of either.
  const without = [...Map.groupBy(attempts, ({ placing }) => placing).values()].filter(
    (tries) =>
      !tries.some(({ succeeded }) => succeeded) && isWithin(Math.min(...tries.map(({ at }) => at)), period),
  );
  return { withTries: shareOf(succeeded, placed), tries: inPeriod.length, withoutLine: without.length };
}
