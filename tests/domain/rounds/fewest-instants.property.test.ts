import { describe, expect, it } from 'vitest';
import {
  bestMoves,
  fewestInstants,
  type LooseWindow,
  type Standing,
} from '../../support/fewest/fewest-instants.ts';
import * as fc from '../../support/properties.ts';

/** A thing done over and over on a grid of `length` minutes: done at t it is due at t + gap, from t + soonest to t + by. */
interface Chore {
  opens: number;
  latest: number;
  soonest: number;
  gap: number;
  by: number;
}

const length = 13;
const over: Standing = { name: 'over', latest: Number.POSITIVE_INFINITY, after: () => [], loosely: [] };

function standing(chore: Chore, id: string, opens = chore.opens, latest = chore.latest): Standing {
  const { soonest, gap, by } = chore;
  const loose = (from: number, until: number): LooseWindow => ({
    opens: from,
    latest: until,
    next: (at) => (at + gap < length ? loose(Number.NEGATIVE_INFINITY, Math.min(at + by, length - 1)) : null),
  });
  return {
    name: `${id} ${opens} ${latest}`,
    latest,
    after: (at) => {
      if (at < opens) return [];
      const again = at + gap < length;
      const to = again
        ? standing(chore, id, Math.min(at + soonest, length - 1), Math.min(at + by, length - 1))
        : over;
      return [{ to, late: 0, does: [id] }];
    },
    loosely: [loose(opens, latest)],
  };
}

/** Whether some of `visits` can be chosen for the chore: tried one after the other, nothing clever. */
function keeps({ opens, latest, ...chore }: Chore, visits: readonly number[]): boolean {
  return visits.some((at, index) => {
    if (at < opens || at > latest) return false;
    if (at + chore.gap >= length) return true;
    const end = length - 1;
    const next = {
      ...chore,
      opens: Math.min(at + chore.soonest, end),
      latest: Math.min(at + chore.by, end),
    };
    return keeps(next, visits.slice(index + 1));
  });
}

/** The size of the smallest of all sets of minutes that keeps every chore. */
function bruteForce(chores: readonly Chore[]): number {
  let fewest = Number.POSITIVE_INFINITY;
  for (let bits = 0; bits < 2 ** length; bits++) {
    const visits = Array.from({ length }, (_, at) => at).filter((at) => (bits & (1 << at)) !== 0);
    if (visits.length < fewest && chores.every((chore) => keeps(chore, visits))) fewest = visits.length;
  }
  return fewest;
}

const chore: fc.Arbitrary<Chore> = fc
  .record({
    opens: fc.integer({ min: 0, max: 7 }),
    wide: fc.integer({ min: 0, max: 4 }),
    soonest: fc.integer({ min: 1, max: 5 }),
    more: fc.integer({ min: 0, max: 3 }),
    grace: fc.integer({ min: 0, max: 2 }),
  })
  .map(({ opens, wide, soonest, more, grace }) => ({
    opens,
    latest: opens + wide,
    soonest,
    gap: soonest + more,
    by: soonest + more + grace,
  }));
const chores = fc.array(chore, { minLength: 1, maxLength: 3 });

describe('the fewest instants', () => {
  it('are as few as the smallest of all sets of minutes that keeps every window', () => {
    fc.assert(
      fc.property(chores, (some) => {
        const { instants, proved } = fewestInstants(
          some.map((one, index) => standing(one, `c${index}`)),
          0,
          100_000,
        );
        expect(proved).toBe(true);
        expect(some.filter((one) => !keeps(one, instants))).toEqual([]);
        expect(instants).toHaveLength(bruteForce(some));
      }),
      { numRuns: 120 },
    );
  });

  it('leave alone what would be due sooner done than left', () => {
    // The first is best begun at 5, not with the second at 2: 1, 5, 7, 9, 11.
    const some: Chore[] = [
      { opens: 2, latest: 5, soonest: 2, gap: 2, by: 2 },
      { opens: 1, latest: 2, soonest: 4, gap: 4, by: 4 },
    ];
    const tasks = some.map((one, index) => standing(one, `c${index}`));
    expect(fewestInstants(tasks, 0, 100_000)).toEqual({ instants: [1, 5, 7, 9, 11], proved: true });
  });

  it('say that they are not proved where the search is cut short, and still keep every window', () => {
    // Windows 2 to 3 and 5 to 6, then 3 to 4 after each doing: only who goes at 2, not at 3, meets both at 5.
    const some: Chore[] = [
      { opens: 2, latest: 3, soonest: 3, gap: 4, by: 4 },
      { opens: 5, latest: 5, soonest: 3, gap: 4, by: 4 },
    ];
    const tasks = some.map((one, index) => standing(one, `c${index}`));
    const whole = fewestInstants(tasks, 0, 100_000);
    const cut = fewestInstants(tasks, 0, 1);
    expect(whole).toEqual({ instants: [2, 5, 9], proved: true });
    expect(cut.proved).toBe(false);
    expect(cut.instants.length).toBeGreaterThan(whole.instants.length);
    expect(some.filter((one) => !keeps(one, cut.instants))).toEqual([]);
  });

  it('are none where nothing is to do', () => {
    expect(fewestInstants([], 0, 10)).toEqual({ instants: [], proved: true });
  });
});

describe('what is done at given instants', () => {
  it('is left out where it is not needed, and null where a window cannot be met', () => {
    const task = standing({ opens: 1, latest: 4, soonest: 3, gap: 5, by: 6 }, 'flush');
    expect(bestMoves(task, [2, 3, 8, 9])?.done).toEqual([
      { at: 3, does: ['flush'] },
      { at: 9, does: ['flush'] },
    ]);
    expect(bestMoves(task, [2, 11])).toBeNull();
  });
});
