import { describe, expect, it } from 'vitest';
import { dutiesOfLine, isClosed } from '../../../src/domain/duties/duties-of-line.ts';
import { foldLine, foldNext } from '../../../src/domain/fold/fold-line.ts';
import { planWake } from '../../../src/domain/ladder/plan-wake.ts';
import type { Entry } from '../../../src/domain/record/entry.ts';
import { entrySchema } from '../../../src/domain/record/entry.ts';
import type { LineState } from '../../../src/domain/record/line-state.ts';
import { type Act, amendAct, answerAct, lateAct, placedLine } from '../../support/arbitraries.ts';
import { hour, type LineLog, testWard, wall } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';
import { entryOf } from '../entry-of-act.ts';

const ward = testWard();
const anyAct = fc.oneof(
  { weight: 6, arbitrary: lateAct },
  { weight: 2, arbitrary: amendAct },
  { weight: 2, arbitrary: answerAct },
);
const acts = fc.array(anyAct, { minLength: 1, maxLength: 25 });

/** A line's life as the record writes it: each act taken at the door and folded in, the bot's own entries between. */
function live(placed: LineLog, life: readonly Act[]): { log: Entry[]; states: LineState[]; now: number } {
  const log = [...placed.entries];
  let state = foldLine(placed.id, log);
  const states = [state];
  let now = wall('19:00');
  const write = (entry: Entry) => {
    state = foldNext(state, entry, () => log);
    log.push(entry);
    states.push(state);
  };
  for (const act of life) {
    now += act.waitMs;
    const entry = entryOf(act, state, log, ward, now);
    if (entry) write(entry);
    for (const { draft } of planWake(ward, [state], now).drafts) {
      write({ at: Math.max(now, state.latestAt), told: now, by: 'bot', via: 'bot', ...draft } as Entry);
    }
  }
  return { log, states, now };
}

/** A state without what only says where in the log things stand. */
function withoutNumbers(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(withoutNumbers);
  if (typeof value !== 'object' || value === null) return value;
  const kept = Object.entries(value).filter(([key]) => key !== 'entry' && key !== 'version');
  return Object.fromEntries(kept.map(([key, inner]) => [key, withoutNumbers(inner)]));
}

describe('folding a line’s log', () => {
  it('gives the same entry by entry as from the whole log, whatever is told late, amended, struck or brought back', () => {
    fc.assert(
      fc.property(placedLine('line-1'), acts, (placed, life) => {
        const { log, states } = live(placed, life);
        for (const [index, state] of states.entries()) {
          expect(state).toEqual(foldLine('line-1', log.slice(0, index + 1)));
        }
      }),
      { numRuns: 80 },
    );
  });

  it('gives the same in whatever order things of different minutes were told', () => {
    const told = fc.array(fc.oneof(lateAct, answerAct), { minLength: 2, maxLength: 15 });
    const shuffled = told.chain((life) =>
      fc.tuple(fc.constant(life), fc.array(fc.nat(), { minLength: 200, maxLength: 200 })),
    );
    fc.assert(
      fc.property(placedLine('line-1'), shuffled, (placed, [life, chance]) => {
        const [first, ...rest] = live(placed, life).log;
        if (!first) throw new Error('empty log');
        // An amendment (a value that only a second telling gave) names an entry by its number, which another order changes.
        const apart = rest
          .filter(({ kind }) => kind !== 'amended')
          .filter(
            (entry, index, all) =>
              entry.at !== first.at && all.findIndex(({ at }) => at === entry.at) === index,
          );
        const otherwise = apart
          .map((entry, index) => ({ entry, key: chance[index % chance.length] ?? 0 }))
          .sort((a, b) => a.key - b.key)
          .map(({ entry }) => entry);
        const state = foldLine('line-1', [first, ...apart.toSorted((a, b) => a.at - b.at)]);
        expect(withoutNumbers(foldLine('line-1', [first, ...otherwise]))).toEqual(withoutNumbers(state));
      }),
      { numRuns: 80 },
    );
  });

  it('takes only entries that its own schema reads back unchanged', () => {
    fc.assert(
      fc.property(placedLine('line-1'), acts, (placed, life) => {
        for (const entry of live(placed, life).log)
          expect(entrySchema.parse(JSON.parse(JSON.stringify(entry)))).toEqual(entry);
      }),
      { numRuns: 40 },
    );
  });
});

describe('the duties of any line', () => {
  const laterMs = fc.integer({ min: 0, max: 30 * hour });

  it('are never two of a kind, come earliest first, and count from no later than they are due', () => {
    fc.assert(
      fc.property(placedLine('line-1'), acts, laterMs, (placed, life, later) => {
        const { states, now } = live(placed, life);
        const state = states.at(-1);
        if (!state) throw new Error('no state');
        const duties = dutiesOfLine(state, ward.policy, now + later);
        expect(new Set(duties.map(({ kind }) => kind)).size).toBe(duties.length);
        expect(duties.map(({ dueAt }) => dueAt)).toEqual(
          duties.map(({ dueAt }) => dueAt).toSorted((a, b) => a - b),
        );
        for (const { earliestAt, dueAt } of duties) expect(earliestAt).toBeLessThanOrEqual(dueAt);
      }),
      { numRuns: 60 },
    );
  });

  it('are none once it is closed, and then for ever', () => {
    fc.assert(
      fc.property(placedLine('line-1'), acts, laterMs, (placed, life, later) => {
        const { states, now } = live(placed, life);
        const state = states.at(-1);
        if (!state) throw new Error('no state');
        const closed = isClosed(state, ward.policy, now);
        const owedLater = dutiesOfLine(state, ward.policy, now + later);
        expect(closed && owedLater.length > 0).toBe(false);
        expect(closed && planWake(ward, [state], now + later).drafts.length > 0).toBe(false);
      }),
      { numRuns: 60 },
    );
  });
});
