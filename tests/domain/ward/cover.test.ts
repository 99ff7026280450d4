import { describe, expect, it } from 'vitest';
import { planWake, wardWakeAt } from '../../../src/domain/ladder/plan-wake.ts';
import { coverOf, standInFor } from '../../../src/domain/ward/cover.ts';
import type { WardDraft, WardEntry } from '../../../src/domain/ward/ward-entry.ts';
import { foldWardNext, type WardState } from '../../../src/domain/ward/ward-state.ts';
import { clock, hour, LineLog, minute, testWard, wall } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';

// The rules are ours, written down in docs/decisions/010: common practice, no source.

const entry = (at: number, draft: WardDraft): WardEntry =>
  ({ at, told: at, by: 'vera', via: 'command', ...draft }) as WardEntry;
const ward = (...entries: WardEntry[]): WardState => entries.reduce(foldWardNext, testWard());
const cover = (told: string, away: string, by: string, from: string, until: string) =>
  entry(wall(told), { kind: 'coverSet', body: { away, by, from: wall(from), until: wall(until) } });
const endedAt = (told: string, away: string) =>
  entry(wall(told), { kind: 'coverSet', body: { away, by: away, until: wall(told) } });

/** Who stands in for a person at each clock time. */
const standIns = (state: WardState, away: string, clocks: readonly string[]) =>
  clocks.map((text) => standInFor(state.covers, away, wall(text)));

describe('a cover told ahead', () => {
  const planned = cover('20:00', 'ina', 'teo', '02:00', '06:00');

  it('stands from its beginning up to its end', () => {
    expect(standIns(ward(planned), 'ina', ['20:00', '01:59', '02:00', '05:59', '06:00'])).toEqual([
      'ina',
      'ina',
      'teo',
      'teo',
      'ina',
    ]);
  });

  it.each<[string, WardEntry[], string[]]>([
    [
      'takes the place of one that runs then, from its beginning on',
      [cover('19:30', 'ina', 'olga', '19:30', '07:00'), planned],
      ['olga', 'olga', 'teo', 'ina', 'ina'],
    ],
    [
      'falls away where one told later begins before and lasts beyond its beginning',
      [planned, cover('20:30', 'ina', 'olga', '20:30', '03:00')],
      ['ina', 'olga', 'olga', 'ina', 'ina'],
    ],
    [
      'stands beside one that ends before',
      [planned, cover('20:30', 'ina', 'olga', '20:30', '01:00')],
      ['ina', 'ina', 'teo', 'ina', 'ina'],
    ],
    [
      'is left when somebody is back from one that runs',
      [cover('19:30', 'ina', 'olga', '19:30', '23:00'), planned, endedAt('20:30', 'ina')],
      ['ina', 'ina', 'teo', 'ina', 'ina'],
    ],
    [
      'is taken back by the person themselves in its time',
      [planned, cover('20:30', 'ina', 'ina', '02:00', '06:00')],
      ['ina', 'ina', 'ina', 'ina', 'ina'],
    ],
  ])('%s', (_title, entries, expected) => {
    expect(standIns(ward(...entries), 'ina', ['20:10', '01:30', '02:30', '06:30', '07:00'])).toEqual(
      expected,
    );
  });

  it('has whoever stands in be there from when it would lead back to whoever is away', () => {
    const state = ward(cover('19:30', 'teo', 'ina', '19:30', '07:00'), planned);
    expect(standIns(state, 'teo', ['20:30', '01:59', '02:00', '06:30'])).toEqual([
      'ina',
      'ina',
      'teo',
      'teo',
    ]);
    expect(standIns(state, 'ina', ['20:30', '02:00', '06:30'])).toEqual(['ina', 'teo', 'ina']);
  });

  it('is told of at its beginning and its end, each once, and wakes the ward then though no line is in', () => {
    let state = ward(planned);
    const told: string[] = [];
    for (let now = wall('20:01'), guard = 0; now < wall('07:30') && guard < 200; guard++) {
      for (const post of planWake(state, [], now).posts)
        if (post.what === 'cover') told.push(`${clock(now)} ${post.step.what}`);
      for (const draft of planWake(state, [], now).wardDrafts) state = foldWardNext(state, entry(now, draft));
      const next = wardWakeAt(state, [], now);
      expect(next ?? Number.POSITIVE_INFINITY).toBeGreaterThan(now);
      now = next ?? Number.POSITIVE_INFINITY;
    }
    expect(told).toEqual(['02:00 begun', '06:00 over']);
  });

  it('is told late of its beginning, and not at all of one that is over for long', () => {
    const what = (now: string) =>
      planWake(ward(planned), [], wall(now)).posts.flatMap((post) =>
        post.what === 'cover' ? [post.step.what] : [],
      );
    expect(what('05:59')).toEqual(['begun']);
    expect(what('06:59')).toEqual(['over']);
    expect(what('07:00')).toEqual([]);
  });

  it('is not told to be over where another stands by then', () => {
    const state = ward(planned, cover('20:30', 'ina', 'olga', '06:00', '08:00'));
    const steps = planWake(state, [], wall('06:00')).posts.flatMap((post) =>
      post.what === 'cover' ? [`${post.step.what} ${post.step.cover.by}`] : [],
    );
    expect(steps).toEqual(['begun olga']);
  });

  it('has whoever takes a line over hear at its beginning what is late of it already', () => {
    const flushDue = wall('01:30');
    const line = new LineLog('20:00', { nurse: 'ina' })
      .inOrder('20:05')
      .add('redressed', '23:00', { finding: {} })
      .inOrder('23:05')
      .add('siteChecked', '00:20', { finding: {} })
      .add('flushed', '00:30', {})
      .add('nudged', '01:30', { duties: [['flush', flushDue]] })
      .add('escalated', '01:40', { duties: [['flush', flushDue]], to: 'nurse', user: 'ina' })
      .add('escalated', '01:50', { duties: [['flush', flushDue]], to: 'clinician', user: 'vet' });
    const state = ward(planned);
    expect(wardWakeAt(state, [line.state()], wall('01:55'))).toBe(wall('02:00'));
    const users = (now: string) =>
      planWake(state, [line.state()], wall(now)).posts.flatMap((post) => ('user' in post ? [post.user] : []));
    expect(users('01:59')).toEqual([]);
    expect(users('02:00')).toEqual(['teo']);
  });
});

describe('whatever covers are told, ahead or not', () => {
  const start = wall('17:00');
  const person = fc.constantFrom('ina', 'teo', 'olga', 'nils');
  const minutes = (max: number) => fc.integer({ min: 0, max }).map((count) => count * minute);
  const drafts = fc
    .array(
      fc.record({
        waitMs: minutes(60),
        away: person,
        by: person,
        aheadMs: minutes(240),
        lastsMs: minutes(300),
      }),
      { maxLength: 15 },
    )
    .map((all) => {
      let at = start;
      return all.map(({ waitMs, away, by, aheadMs, lastsMs }) => {
        at += waitMs;
        const from = at + aheadMs;
        return entry(at, { kind: 'coverSet', body: { away, by, from, until: from + lastsMs } });
      });
    });

  it('of one person one stands at most, and following them ends with somebody who is there', () => {
    fc.assert(
      fc.property(drafts, minutes(1_500), (entries, laterMs) => {
        const { covers } = ward(...entries);
        const at = start + laterMs;
        for (const away of ['ina', 'teo', 'olga', 'nils']) {
          const standing = covers.filter((one) => one.away === away && one.from <= at && at < one.until);
          expect(standing.length).toBeLessThanOrEqual(1);
          expect(coverOf(covers, standInFor(covers, away, at), at)).toBeUndefined();
        }
      }),
      { numRuns: 500 },
    );
  });

  it('the one told last stands for all of its time', () => {
    fc.assert(
      fc.property(drafts, (entries) => {
        const last = entries.at(-1);
        if (last?.kind !== 'coverSet') return;
        const { away, by, from = last.at, until } = last.body;
        const { covers } = ward(...entries);
        for (let at = from; at < until; at += 7 * minute)
          expect(coverOf(covers, away, at)?.by).toBe(by === away ? undefined : by);
      }),
      { numRuns: 300 },
    );
  });

  it('each is told to begin once and to be over at most once, whenever the ward is woken', () => {
    const delays = fc.array(minutes(90), { minLength: 1, maxLength: 8 });
    fc.assert(
      fc.property(drafts, delays, (entries, lateMs) => {
        let state = testWard();
        const told: string[] = [];
        const wrong: string[] = [];
        const queue = [...entries];
        let now = start;
        for (let nth = 0; nth < 400 && now < start + 40 * hour; nth++) {
          const next = queue[0];
          const wake =
            (wardWakeAt(state, [], now) ?? Number.POSITIVE_INFINITY) + (lateMs[nth % lateMs.length] ?? 0);
          if (next && next.at <= wake) {
            now = next.at;
            state = foldWardNext(state, next);
            queue.shift();
            continue;
          }
          if (wake === Number.POSITIVE_INFINITY) break;
          now = wake;
          const plan = planWake(state, [], now);
          for (const post of plan.posts)
            if (post.what === 'cover') {
              const { what, cover: one } = post.step;
              told.push(`${one.number} ${what}`);
              const stands = coverOf(state.covers, one.away, now)?.number;
              if (stands !== (what === 'begun' ? one.number : undefined)) wrong.push(`${one.number} ${what}`);
            }
          for (const draft of plan.wardDrafts) state = foldWardNext(state, entry(now, draft));
        }
        expect(wrong).toEqual([]);
        expect(new Set(told).size).toBe(told.length);
      }),
      { numRuns: 300 },
    );
  });
});
