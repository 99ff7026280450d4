import { describe, expect, it } from 'vitest';
import { hour, LineLog, minute, wall } from '../../support/line-builder.ts';

const line = () => new LineLog('20:00');

describe('words', () => {
  const due = wall('21:00');
  const told = (
    log: LineLog,
    at: string,
    user: string | undefined,
    changes: { dueAt?: number; joins?: number } = {},
  ) =>
    log.add('escalated', at, {
      duties: [['flush', changes.dueAt ?? due]],
      to: 'clinician',
      ...(user === undefined ? {} : { user }),
      ...(changes.joins === undefined ? {} : { joins: changes.joins }),
    });
  const times = (log: LineLog) => log.state().marks.flush?.clinician?.times;

  it('to a reader are counted for one duty and one person, and not where they were only added', () => {
    expect(times(told(line(), '21:20', 'vet'))).toBe(1);
    expect(times(told(told(line(), '21:20', 'vet'), '21:50', 'vet'))).toBe(2);
    expect(times(told(told(line(), '21:20', 'vet'), '21:50', 'mika'))).toBe(1);
    expect(times(told(told(line(), '21:20', 'vet'), '21:50', 'vet', { dueAt: due + minute }))).toBe(1);
    expect(times(told(told(line(), '21:20', 'vet'), '21:50', 'vet', { joins: wall('21:40') }))).toBe(1);
    expect(times(told(line(), '21:20', 'vet', { joins: wall('21:10') }))).toBe(0);
    expect(told(line(), '21:20', undefined).state().marks.flush?.clinician).toStrictEqual({
      dueAt: due,
      at: wall('21:20'),
      entry: 2,
      times: 1,
      countedAt: wall('21:20'),
    });
    expect(told(line(), '21:20', 'vet', { joins: 7 }).state().marks.flush?.clinician).toMatchObject({
      user: 'vet',
      joins: 7,
    });
  });

  it('are counted once where another came before anybody had time to answer', () => {
    const soon = told(told(line(), '21:20', 'vet'), '21:24', 'vet');
    expect(times(soon)).toBe(1);
    // Five minutes after the one that counts, however soon after the one that doesn't.
    expect(times(told(soon, '21:25', 'vet'))).toBe(2);
    expect(times(told(told(soon, '21:25', 'vet', { joins: wall('21:24') }), '21:27', 'vet'))).toBe(2);
  });

  it('stand with who said them, each beside the others', () => {
    const log = line()
      .add('nudged', '21:00', {
        duties: [
          ['flush', due],
          ['zero', due],
        ],
      })
      .add('claimed', '21:01', { duties: [['flush', due]], until: wall('21:31') })
      .add('snoozed', '21:02', { duties: [['flush', due]], until: wall('21:12') })
      .add('noted', '21:03', { text: 'clotted', cannot: ['flush', due] });
    const { flush, zero } = log.state().marks;
    expect(zero).toEqual({ nudged: { dueAt: due, at: due, entry: 2 } });
    expect(flush).toEqual({
      nudged: { dueAt: due, at: due, entry: 2 },
      claimed: { dueAt: due, at: wall('21:01'), entry: 3, by: 'nina', until: wall('21:31') },
      snoozed: { dueAt: due, at: wall('21:02'), entry: 4, by: 'nina', until: wall('21:12') },
      cannot: { dueAt: due, at: wall('21:03'), entry: 5, by: 'nina', reason: 'clotted' },
    });
  });

  it('noted are kept, the last five', () => {
    const log = line();
    for (let n = 1; n <= 6; n += 1) log.add('noted', wall('21:00') + n * minute, { text: `note ${n}` });
    expect(log.state().notes.map(({ text }) => text)).toEqual([2, 3, 4, 5, 6].map((n) => `note ${n}`));
    expect(log.state().marks).toEqual({});
  });

  it('of a waiver hold what made the duty due back until it ends', () => {
    const waived = (until: string) =>
      line()
        .inOrder('20:05')
        .add('disturbed', '20:30', { how: 'moved' })
        .add('waived', '20:40', { duty: 'zero', dueAt: wall('20:30'), reason: 'asleep', until: wall(until) })
        .state();
    expect(waived('22:00').zeroCause).toEqual({ at: wall('22:00'), entry: 5, why: 'disturbed' });
    expect(waived('20:20').zeroCause).toMatchObject({ at: wall('20:30') });
    expect(waived('22:00').marks.zero?.waived).toEqual({
      dueAt: wall('20:30'),
      at: wall('20:40'),
      entry: 5,
      by: 'nina',
      reason: 'asleep',
      until: wall('22:00'),
    });
    const causes = [
      ['test', line(), 'testCause'],
      ['flush', line().add('sampled', '20:30', { volumeMl: 1, flushed: false }), 'flushCause'],
      ['site', line().add('redressed', '20:30', {}), 'siteCause'],
      ['redress', line().add('siteChecked', '20:30', { finding: { soiled: true } }), 'redressCause'],
    ] as const;
    for (const [duty, log, cause] of causes)
      expect(
        log
          .add('waived', '20:40', { duty, dueAt: wall('20:30'), reason: 'asleep', until: wall('22:00') })
          .state()[cause]?.at,
      ).toBe(wall('22:00'));
  });

  it('of whom a line is given to count from when they were recorded, for three shifts', () => {
    const give = (log: LineLog, nurse: string, from?: number) =>
      log.add(
        'assigned',
        '21:00',
        { nurse, ...(from === undefined ? {} : { from }) },
        { told: wall('21:10') },
      );
    expect(give(line(), 'teo').state()).toMatchObject({ nurse: 'teo', nurseSince: wall('21:10') });
    const shifts = [4, 3, 2, 1].map((n) => wall('21:00') + n * 12 * hour);
    const planned = shifts.reduce((log, from) => give(log, 'teo', from), line());
    expect(planned.state()).toMatchObject({ nurse: 'nina' });
    expect(planned.state().plannedNurses.map(({ from }) => from)).toEqual(shifts.slice(0, 3).toReversed());
    expect(give(planned, 'olga', shifts[0]).state().plannedNurses.at(-1)).toEqual({
      nurse: 'olga',
      from: shifts[0],
      told: wall('21:10'),
    });
  });
});
