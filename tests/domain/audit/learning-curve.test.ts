import { describe, expect, it } from 'vitest';
import type { Attempt } from '../../../src/domain/audit/attempt.ts';
import { firstAttemptSuccess } from '../../../src/domain/audit/first-attempt.ts';
import { learningCurves } from '../../../src/domain/audit/learning-curve.ts';

/** Tries in a row by one person: S succeeded, F failed; a placing ends with its success. */
function tries(by: string, outcomes: string, fromMs = 0): Attempt[] {
  let placing = 0;
  return outcomes.split('').map((letter, index) => {
    const attempt: Attempt = {
      placing: `${by} ${placing}`,
      at: fromMs + index,
      by,
      succeeded: letter === 'S',
      species: 'dog',
      site: 'dorsal pedal',
    };
    if (attempt.succeeded) placing += 1;
    return attempt;
  });
}

describe('the learning curves', () => {
  it('hold each person to 20 % acceptable and 40 % unacceptable failures: eight successes in a row decide', () => {
    const curves = learningCurves([...tries('noor', 'SSSSSSSS'), ...tries('nell', 'SSSSSSS')]);
    expect(
      curves.map(({ by, attempts, failures, stands, decidedAt }) => [
        by,
        attempts,
        failures,
        stands,
        decidedAt,
      ]),
    ).toEqual([
      ['nell', 7, 0, 'not decided', null],
      ['noor', 8, 0, 'acceptable', 8],
    ]);
  });

  it('take the tries in the order they were made, not told', () => {
    const told = tries('noor', 'SSFSSSFSSS').toReversed();
    // Worked path of the published formulas (Kestin IG, Br J Anaesth 1995;75:805-809), in double precision.
    expect(learningCurves(told)[0]?.points.map(({ sum }) => Number(sum.toFixed(3)))).toEqual([
      -0.293, -0.587, 0.12, -0.173, -0.467, -0.76, -0.053, -0.346, -0.64, -0.933,
    ]);
  });

  it('turn to unacceptable after four failures in a row, and stand by the latest crossing', () => {
    const [curve] = learningCurves(tries('noor', 'SSSSSSSSFFFF'));
    expect(curve).toMatchObject({ stands: 'unacceptable', decidedAt: 12, failures: 4 });
  });

  it('take rates of the ward’s own, and none from nobody', () => {
    const rates = { acceptable: 0.1, unacceptable: 0.2, alpha: 0.1, beta: 0.1 };
    expect(learningCurves(tries('noor', 'S'.repeat(18)), rates)[0]?.stands).toBe('not decided');
    expect(learningCurves(tries('noor', 'S'.repeat(19)), rates)[0]?.stands).toBe('acceptable');
    expect(learningCurves([])).toEqual([]);
  });
});

describe('success at the first try', () => {
  it('counts placings and not tries, to whoever tried first', () => {
    const [first, second] = tries('noor', 'FS');
    if (!first || !second) throw new Error('two tries were made');
    const { all, byOperator } = firstAttemptSuccess(
      [{ ...second, by: 'nell' }, first, ...tries('nell', 'SS')],
      { fromMs: 0, toMs: 10 },
    );
    expect(all).toMatchObject({ count: 2, total: 3, tooFew: true });
    expect(byOperator['noor']).toMatchObject({ count: 0, total: 1 });
    expect(byOperator['nell']).toMatchObject({ count: 2, total: 2 });
  });

  it('belongs to the period of the first try, whenever the placing succeeded', () => {
    const begun = tries('noor', 'FFS');
    expect(firstAttemptSuccess(begun, { fromMs: 0, toMs: 1 }).all).toMatchObject({ count: 0, total: 1 });
    expect(firstAttemptSuccess(begun, { fromMs: 1, toMs: 9 }).all).toMatchObject({ total: 0, share: null });
  });
});
