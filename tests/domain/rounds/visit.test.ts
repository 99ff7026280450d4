import { describe, expect, it } from 'vitest';
import type { WardPolicy } from '../../../src/domain/policy/ward-policy.ts';
import { horizonOf } from '../../../src/domain/rounds/rounds.ts';
import { nextShiftsVisitsFrom } from '../../../src/domain/rounds/takeover.ts';
import { visitsBetween } from '../../../src/domain/rounds/visit.ts';
import {
  clock,
  hour,
  LineLog,
  minute,
  type PlacedChanges,
  testWard,
  wall,
} from '../../support/line-builder.ts';

const policy = testWard().policy;

/** Visits of a night as `HH:mm kind kind`, or with the line where there are several. */
function rounds(lines: LineLog[], from: string, to: string, changes: Partial<WardPolicy> = {}): string[] {
  return visitsBetween(
    lines.map((line) => line.state()),
    { ...policy, ...changes },
    wall(from),
    wall(to),
  ).map(
    ({ at, duties }) =>
      `${clock(at)} ${duties.map(({ lineId, kind }) => (lines.length > 1 ? `${lineId} ${kind}` : kind)).join(' ')}`,
  );
}

describe('the visits of a coming night', () => {
  /** A dog flushed at half past, everything else in order until morning. */
  const flushedAt = (at: number) =>
    new LineLog(at - 3 * hour)
      .inOrder(at)
      .add('redressed', at, { finding: {} })
      .inOrder(at)
      .add('flushed', at, {});
  const calm = { siteCheckEveryH: 12, redressEveryH: 24 } as const;

  it.each([
    ['12 h', '2026-11-24 19:00', 12],
    ['11 h, clocks go forward', '2026-03-28 19:00', 11],
    ['13 h, clocks go back', '2026-10-24 19:00', 13],
  ])('of %s hold one flush an hour of time that passes', (_title, start, hours) => {
    const from = wall(start);
    const lines = [flushedAt(from - 30 * minute).state()];
    const { fromMs, toMs } = horizonOf({ ...policy, ...calm }, from - 15 * minute, 30 * minute);
    expect(toMs - from).toBe(hours * hour);
    const walks = visitsBetween(lines, { ...policy, ...calm }, fromMs, nextShiftsVisitsFrom(toMs));
    expect(walks.map(({ at }) => at)).toEqual(
      Array.from({ length: hours }, (_, index) => from + 30 * minute + index * hour),
    );
    expect(
      walks.flatMap(({ duties }) => duties.map(({ kind }) => kind)).filter((kind) => kind === 'flush'),
    ).toHaveLength(hours);
  });

  it('begin with what is late already, and leave the shift’s own start to whoever comes on', () => {
    const line = new LineLog('15:00').inOrder('15:05').add('flushed', '17:00', {});
    expect(rounds([line], '18:50', '19:30')).toEqual(['18:50 flush', '18:55 zero test site']);
  });

  it('take along a redress that would need a visit of its own, and ask for no zero after it: it is done with it', () => {
    const line = new LineLog('2026-11-24 10:00', { flushMode: 'continuous' })
      .inOrder('19:00')
      .add('siteChecked', '20:30', { finding: {} });
    expect(rounds([line], '20:40', '23:00')).toEqual(['20:40 source redress']);
  });

  it('ask for what is due as a shift starts 5 min before, unless the ward lets nothing count before it starts', () => {
    const line = new LineLog('2026-11-24 15:00', { flushMode: 'continuous' })
      .inOrder('2026-11-24 15:05')
      .add('siteChecked', '18:30', { finding: {} });
    expect(rounds([line], '18:30', '20:00')).toEqual(['18:55 zero test source']);
    expect(rounds([line], '18:30', '20:00', { shiftEarlyMin: 3 })).toEqual(['18:57 zero test source']);
    expect(rounds([line], '18:30', '20:00', { shiftEarlyMin: 0 })).toEqual(['19:00 zero test source']);
  });

  it('list a zero once where shift start and redress both ask for it', () => {
    const line = new LineLog('2026-11-24 07:00', { flushMode: 'continuous' })
      .inOrder('2026-11-24 07:05')
      .add('siteChecked', '18:00', { finding: {} });
    expect(rounds([line], '18:50', '20:00')).toEqual(['18:55 zero test source redress']);
  });

  it('take along only what counts when it is done then', () => {
    const line = new LineLog('19:05', { flushMode: 'continuous' }).inOrder('19:06');
    expect(rounds([line], '06:30', '07:20', { shiftEarlyMin: 0, siteCheckEveryH: 11.9 })).toEqual([
      '06:59 site',
      '07:00 zero test source redress',
    ]);
  });

  it('ask once for what only a person can answer', () => {
    const fed: PlacedChanges = {
      flushMode: 'continuous',
      source: { kind: 'syringe', volumeMl: 30, rateMlPerH: 3 },
    };
    const line = new LineLog('15:00', fed).inOrder('19:00').add('siteChecked', '19:00', { finding: {} });
    const asked = rounds([line], '19:00', '07:00').join(' ').split(' ');
    expect(asked.filter((word) => word === 'runOut')).toHaveLength(1);
  });

  it('join two patients as soon as one flush can be taken along with the other', () => {
    const other = (flushed: string) =>
      new LineLog('18:00', {}, 'line-2')
        .inOrder('19:00')
        .add('siteChecked', '19:00', { finding: {} })
        .add('flushed', flushed, {});
    const first = new LineLog('18:00')
      .inOrder('19:00')
      .add('siteChecked', '19:00', { finding: {} })
      .add('flushed', '19:30', {});
    expect(rounds([first, other('19:40')], '20:00', '22:00')).toEqual([
      '20:30 line-1 flush line-2 flush',
      '21:30 line-1 flush line-2 flush',
    ]);
    // A flush counts from 40 min before it is due: at 20:30 that of 21:11 does not yet.
    expect(rounds([first, other('20:11')], '20:00', '21:30')).toEqual([
      '20:30 line-1 flush',
      '21:11 line-2 flush line-1 flush',
    ]);
  });

  it('follow up a line that is out', () => {
    const line = new LineLog('15:00')
      .add('removed', '18:40', { reason: 'planned' })
      .add('holdEnded', '18:46', { oozing: false });
    expect(rounds([line], '18:50', '07:00')).toEqual(['19:40 pulse']);
  });

  it('come to an end for every policy the ward may choose', () => {
    const line = new LineLog('15:00', { patient: { species: 'cat', weightKg: 4 } }).add(
      'siteChecked',
      '16:00',
      { finding: { soiled: true } },
    );
    const out = new LineLog('15:00', {}, 'line-2').add('removed', '18:40', { reason: 'planned' });
    const tight = { flushEveryMin: 15, siteCheckEveryH: 1, shiftEarlyMin: 0, roundMin: 60, pulseFirstH: 0.5 };
    const walks = rounds([line, out], '18:45', '07:00', tight);
    expect(walks.length).toBeGreaterThan(12);
    expect(new Set(walks).size).toBe(walks.length);
  });
});

describe('horizonOf', () => {
  it.each([
    ['the coming shift when it starts soon', '18:45', '2026-11-25 07:00'],
    ['the rest of the running shift otherwise', '18:00', '19:00'],
    ['the running shift at its very start', '19:00', '2026-11-25 07:00'],
  ])('speaks of %s', (_title, now, end) => {
    expect(horizonOf(policy, wall(now), 30 * minute)).toEqual({ fromMs: wall(now), toMs: wall(end) });
  });
});
