import { describe, expect, it } from 'vitest';
import type { WardPolicy } from '../../../src/domain/policy/ward-policy.ts';
import { fewestVisits, visitsAtDueTimes, visitsByNurse } from '../../../src/domain/rounds/fewest-visits.ts';
import { clock, LineLog, minute, testWard, wall } from '../../support/line-builder.ts';

// Worked by hand from the ward's default policy: flush every 60 min, counted from 30 min on, its nurse told at 10 min;
// site check every 4 h, counted from 3 h on, redress every 12 h, counted from 10 h on, the nurse told at 15 min.
const ward = testWard();

function visits(lines: LineLog[], from: string, to: string, changes: Partial<WardPolicy> = {}): string[] {
  const states = lines.map((line) => line.state());
  return fewestVisits(states, { ...ward.policy, ...changes }, wall(from), wall(to)).visits.map(
    ({ at, duties }) =>
      `${clock(at)} ${duties.map(({ lineId, kind }) => (lines.length > 1 ? `${lineId} ${kind}` : kind)).join(', ')}`,
  );
}

const onTime = (lines: LineLog[], from: string, to: string, changes: Partial<WardPolicy>): number =>
  visitsAtDueTimes(
    lines.map((line) => line.state()),
    { ...ward.policy, ...changes },
    wall(from),
    wall(to),
  ).length;

const calm = { siteCheckEveryH: 12, redressEveryH: 24 } as const;
const flushed = (at: string, id: string) =>
  new LineLog('18:00', {}, id).inOrder('19:00').add('flushed', at, {});

describe('the fewest visits', () => {
  it('of one line flushed by hand are as many as hours with their grace fit, lateness spread over them', () => {
    // Due until 22:25, so the last flush must come at 21:25 or later. On time 20:20, 21:20 and 22:20; with 10 min of
    // grace 20:20 and 5 min later than due, 21:25: the 5 min are spread over both, 3 and 2,
    // the first the later of two that weigh the same.
    const line = flushed('19:20', 'a');
    expect(visits([line], '19:30', '22:25', calm)).toEqual(['20:23 flush', '21:25 flush']);
    expect(onTime([line], '19:30', '22:25', calm)).toBe(3);
  });

  it('bring two lines together that were flushed at different times', () => {
    // a counts from 19:31 to 20:10, b from 19:55 to 20:34: together 20:01, a on time, then again an hour later.
    const lines = [flushed('19:01', 'a'), flushed('19:25', 'b')];
    expect(visits(lines, '19:30', '22:01', calm)).toEqual([
      '20:01 a flush, b flush',
      '21:01 a flush, b flush',
    ]);
    expect(onTime(lines, '19:30', '22:01', calm)).toBe(4);
  });

  it('go sooner than any duty asks where that brings two rhythms together', () => {
    // Site checks, counted 3 h to 4 h 14 min after the last. a: 19:30, b: 21:30, until 05:35. Walking as late as one may
    // meets a 23:44, b 01:44, a 03:58, b not yet: 5:58. Who sees a in the fourth hour sees both three hours later.
    const seen = (at: string, id: string) =>
      new LineLog('19:05', { flushMode: 'continuous' }, id)
        .inOrder('19:10')
        .add('siteChecked', at, { finding: {} });
    const lines = [seen('19:30', 'a'), seen('21:30', 'b')];
    const found = fewestVisits(
      lines.map((line) => line.state()),
      ward.policy,
      wall('21:35'),
      wall('04:30'),
    );
    expect(found.proved).toBe(true);
    expect(found.visits).toHaveLength(2);
    const [first, second] = found.visits;
    expect(first?.duties.map(({ lineId }) => lineId)).toEqual(['a']);
    expect(second?.duties.map(({ lineId }) => lineId)).toEqual(['a', 'b']);
    expect((second?.at ?? 0) - (first?.at ?? 0)).toBeGreaterThanOrEqual(180 * minute);
  });

  it('do the zero that a redress asks for at the same visit, and no site check beside it', () => {
    const line = new LineLog('2026-11-24 10:00', { flushMode: 'continuous' })
      .inOrder('19:00')
      .add('siteChecked', '18:00', { finding: {} })
      .add('sourceChecked', '19:00', {});
    expect(visits([line], '20:40', '23:00')).toEqual(['22:00 redress, zero']);
  });

  it('begin at once with what is late already', () => {
    const line = flushed('19:20', 'a');
    expect(visits([line], '21:00', '21:30', calm)).toEqual(['21:00 flush']);
  });

  it('come to a cat at its dwell limit, never after it', () => {
    const cat = new LineLog('19:05', { patient: { species: 'cat', weightKg: 4 }, flushMode: 'continuous' });
    cat
      .inOrder('19:06')
      .add('siteChecked', '01:30', { finding: {} })
      .add('redressed', '01:30', { finding: {} })
      .inOrder('01:30');
    expect(visits([cat], '02:00', '05:00', { siteCheckCloseEveryH: 4 })).toEqual(['03:05 dwellLimit']);
  });

  it('are planned for each nurse alone', () => {
    const lines = [
      flushed('19:20', 'a'),
      new LineLog('18:00', { nurse: 'noor' }, 'b').inOrder('19:00').add('flushed', '19:50', {}),
    ];
    const plans = visitsByNurse(
      { ...ward, policy: { ...ward.policy, ...calm } },
      lines.map((line) => line.state()),
      wall('19:55'),
      wall('20:55'),
      wall('19:55'),
    );
    expect(plans.map(({ nurse, visits: mine }) => [nurse, mine.map(({ at }) => clock(at))])).toEqual([
      ['nina', ['20:20']],
      ['noor', ['20:50']],
    ]);
  });

  it('are none for a ward without lines and for no time at all', () => {
    expect(fewestVisits([], ward.policy, wall('19:00'), wall('07:00'))).toEqual({ visits: [], proved: true });
    expect(fewestVisits([flushed('19:20', 'a').state()], ward.policy, wall('19:00'), wall('19:00'))).toEqual({
      visits: [],
      proved: true,
    });
  });

  it('have no visit at which nothing is left to do', () => {
    const bag = { kind: 'pressure bag', volumeMl: 60, rateMlPerH: 3 } as const;
    const pump = { flushMode: 'continuous', source: bag } as const;
    const lines = [
      new LineLog('17:30', pump, 'a'),
      new LineLog('19:00', pump, 'b'),
      new LineLog('18:45', { patient: { species: 'cat', weightKg: 5 } }, 'c').add(
        'flushModeChanged',
        '18:45',
        {
          mode: 'continuous',
          source: { kind: 'pressure bag' },
        },
      ),
    ];
    const { visits } = fewestVisits(
      lines.map((line) => line.state()),
      { ...ward.policy, siteCheckCloseEveryH: 4 },
      wall('18:45'),
      wall('07:00'),
    );
    expect(visits.filter(({ duties }) => duties.length === 0)).toEqual([]);
    expect(visits).toHaveLength(7);
  });
});
