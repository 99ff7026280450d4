import {
  type CusumLimits,
  type CusumPoint,
  type CusumRates,
  cusumCurve,
  cusumLimits,
} from '../statistics/cusum.ts';
import { type Attempt, inOrder } from './attempt.ts';

/**
 * Failure rates a placing is measured against: 20 % is acceptable in arterial cannulation (Kestin IG, Br J Anaesth
 * 1995;75:805-809, in people); that twice as many are not, and 10 % for either error, are usual choices, from memory.
 */
export const usualCusumRates: CusumRates = { acceptable: 0.2, unacceptable: 0.4, alpha: 0.1, beta: 0.1 };

/** How one person's attempts went, as feedback to that person and never as a licence. */
export interface LearningCurve {
  by: string;
  attempts: number;
  failures: number;
  limits: CusumLimits;
  points: CusumPoint[];
  /** What the latest crossing said; `not decided` where there was none: too few attempts to mean anything. */
  stands: 'acceptable' | 'unacceptable' | 'not decided';
  /** The attempt (from 1) of the latest crossing; null where there was none. */
  decidedAt: number | null;
}

/** The learning curve of everybody who made an attempt, each attempt a trial, in order of names. */
export function learningCurves(
  attempts: readonly Attempt[],
  rates: CusumRates = usualCusumRates,
): LearningCurve[] {
  const limits = cusumLimits(rates);
  return [...Map.groupBy(inOrder(attempts), ({ by }) => by)]
    .toSorted(([a], [b]) => (a < b ? -1 : 1))
    .map(([by, theirs]) => {
      const points = cusumCurve(
        theirs.map(({ succeeded }) => !succeeded),
        limits,
      );
      const latest = points.findLast(({ crossed }) => crossed !== null);
      return {
        by,
        attempts: theirs.length,
        failures: theirs.filter(({ succeeded }) => !succeeded).length,
        limits,
        points,
        stands: latest?.crossed ?? 'not decided',
        decidedAt: latest?.attempt ?? null,
      };
    });
}
