import { describe, expect, it } from 'vitest';
import type { Duty } from '../../src/domain/duties/duty.ts';
import { hour, minute, testWard, wall } from '../support/line-builder.ts';
import { runWard } from './run-ward.ts';
import { manners } from './staff.ts';
import { Tally, WardWatch } from './tally.ts';

const flush = (dueAt: number): Duty => ({
  lineId: 'a',
  kind: 'flush',
  why: 'interval',
  dueAt,
  earliestAt: dueAt - 30 * minute,
});
const ward = testWard();
const evening = wall('19:00');

/** A watch on one night, with a flush a danger 20 min after it is due. */
function watched(act: (watch: WardWatch) => void): Tally {
  const tally = new Tally();
  const watch = new WardWatch(tally, ({ dueAt }) => dueAt + 20 * minute);
  act(watch);
  watch.end(ward, evening, evening + 12 * hour);
  return tally;
}
const toClinician = (at: number, duty: Duty) =>
  [
    { to: 'clinician', what: 'escalation', user: 'vet', duties: [duty] },
    at,
    ward,
    new Map(),
  ] satisfies Parameters<WardWatch['posted']>;

describe('what a watch on a ward counts', () => {
  it('is how long a danger went untold, from when it was one', () => {
    const duty = flush(evening + hour);
    const tally = watched((watch) => {
      watch.open([duty]);
      watch.posted(...toClinician(duty.dueAt + 5 * minute, duty));
      watch.posted(...toClinician(duty.dueAt + 27 * minute, duty));
    });
    expect(tally.dangerToldMin).toEqual([7]);
  });

  it('is a danger that nobody was told of, for ever', () => {
    expect(watched((watch) => watch.open([flush(evening + hour)])).dangerToldMin).toEqual([
      Number.POSITIVE_INFINITY,
    ]);
  });

  it('is no danger where it was done before it became one', () => {
    const duty = flush(evening + hour);
    const tally = watched((watch) => {
      watch.open([duty]);
      watch.cleared(duty, duty.dueAt + 19 * minute);
    });
    expect(tally.dangerToldMin).toEqual([]);
    expect(tally.lateMin.get('flush')).toEqual([19]);
    expect(tally.calmNights).toEqual([0]);
  });

  it('is the most messages to one person within an hour, wherever it begins', () => {
    const duty = flush(evening + hour);
    const tally = watched((watch) => {
      for (const after of [0, 50, 70, 105, 109, 200])
        watch.posted(...toClinician(evening + after * minute, duty));
    });
    // 50, 70, 105 and 109 min.
    expect(tally.mostInAnHour).toBe(4);
    expect(tally.nights).toEqual([6]);
  });
});

describe('a simulated ward', () => {
  const day = (manner: (typeof manners)[keyof typeof manners]) => {
    const tally = new Tally();
    runWard(tally, { lines: 3, days: 1, manner, seed: 'test' });
    return tally;
  };

  it('comes to the same each time', () => {
    expect(day(manners.punctual)).toEqual(day(manners.punctual));
  });

  it('does nothing late by more than its people need, where they are punctual, and all of it later where they are not', () => {
    const [punctual, overloaded] = [day(manners.punctual), day(manners.overloaded)];
    const flushes = (tally: Tally) => tally.lateMin.get('flush') ?? [];
    expect(flushes(punctual).length).toBeGreaterThan(10);
    expect(Math.max(...flushes(punctual))).toBeLessThanOrEqual(manners.punctual.afterMin[1]);
    expect(Math.max(...flushes(overloaded))).toBeGreaterThan(manners.overloaded.afterMin[0]);
  });

  it('tells somebody of every danger, also where nobody answers', () => {
    const { dangerToldMin } = day(manners.absent);
    expect(dangerToldMin.length).toBeGreaterThan(0);
    expect(Math.max(...dangerToldMin)).toBeLessThanOrEqual(1);
  });
});
