import { describe, expect, it } from 'vitest';
import { type DutyKind, dutyKinds } from '../../../src/domain/duty-kind.ts';
import type { WardPolicy } from '../../../src/domain/policy/ward-policy.ts';
import { horizonOf, imagined, repeats } from '../../../src/domain/rounds/rounds.ts';
import {
  nextShiftsVisitsFrom,
  nextTakeover,
  visitsOfShiftFrom,
} from '../../../src/domain/rounds/takeover.ts';
import {
  isOnVisits,
  visitAt,
  visitBy,
  visitsBetween,
  visitsByNurse,
} from '../../../src/domain/rounds/visit.ts';
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

  it('list what has been due longest first, whichever line it is of', () => {
    const first = new LineLog('18:00')
      .inOrder('19:00')
      .add('siteChecked', '19:00', { finding: {} })
      .add('flushed', '19:30', {});
    const moved = new LineLog('18:00', {}, 'line-2')
      .inOrder('19:00')
      .add('siteChecked', '19:00', { finding: {} })
      .add('flushed', '20:25', {})
      .add('disturbed', '20:15', { how: 'moved' });
    expect(rounds([first, moved], '20:30', '20:31')).toEqual(['20:30 line-2 zero line-1 flush']);
    const [later, sooner] = ['19:35', '19:32'].map((at, index) =>
      new LineLog('18:00', {}, `line-${index + 1}`)
        .inOrder('19:00')
        .add('siteChecked', '19:00', { finding: {} })
        .add('flushed', at, {}),
    ) as [LineLog, LineLog];
    expect(rounds([later, sooner], '20:40', '20:41')).toEqual(['20:40 line-2 flush line-1 flush']);
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
    ['the coming shift half an hour before it', '18:30', '2026-11-25 07:00'],
    ['the rest of the running shift a minute earlier', '18:29', '19:00'],
    ['the running shift at its very start', '19:00', '2026-11-25 07:00'],
  ])('speaks of %s', (_title, now, end) => {
    expect(horizonOf(policy, wall(now), 30 * minute)).toEqual({ fromMs: wall(now), toMs: wall(end) });
  });
});

describe('what a nurse does on visits', () => {
  it('is all care but what speaks for itself, and nothing that is a clinician’s', () => {
    expect(dutyKinds.filter((kind) => !isOnVisits({ kind }, policy))).toEqual([
      'finding',
      'fault',
      'dwellLimit',
      'hold',
      'stillNeeded',
    ]);
  });

  it('comes again in a forecast where “as usual” says what was done; else it is listed once', () => {
    expect(dutyKinds.filter((kind) => !repeats(kind))).toEqual([
      'finding',
      'fault',
      'faultOpen',
      'dwellLimit',
      'dwellWarning',
      'runOut',
      'set',
    ]);
  });

  it('is imagined done, never before what was recorded last, and “still needed?” answered for another day', () => {
    const line = new LineLog('20:00').inOrder('20:05').state();
    const done = (kind: DutyKind, at: string) =>
      imagined(line, policy, { kind, dueAt: wall('21:00') } as never, wall(at));
    expect(done('flush', '21:00').flushed.at).toBe(wall('21:00'));
    expect(done('flush', '20:01').flushed.at).toBe(wall('20:05'));
    expect(done('runOut', '21:00')).toBe(line);
    const needed = { ...line, marks: {} };
    const answered = imagined(
      needed,
      policy,
      { kind: 'stillNeeded', dueAt: wall('21:00') } as never,
      wall('21:00'),
    );
    expect(answered.marks.stillNeeded?.waived).toMatchObject({
      until: wall('2026-11-25 21:00'),
      reason: 'forecast',
      by: 'bot',
    });
  });

  it('belongs to the shift that begins within 5 min', () => {
    expect(nextTakeover(policy, wall('18:54'))).toBe(wall('18:55'));
    expect(nextTakeover(policy, wall('18:55'))).toBe(wall('2026-11-25 06:55'));
    expect(visitsOfShiftFrom(policy, wall('18:54'))).toBe(wall('2026-11-24 06:55'));
    expect(visitsOfShiftFrom(policy, wall('18:55'))).toBe(wall('18:55'));
    expect(visitsOfShiftFrom(policy, wall('23:00'))).toBe(wall('18:55'));
  });
});

describe('one visit', () => {
  /** In order since 20:05, looked at and flushed; nothing but flush and site check before morning. */
  const line = (flushed: string, id = 'line-1') =>
    new LineLog('20:00', {}, id)
      .inOrder('20:05')
      .add('siteChecked', '00:00', { finding: {} })
      .add('flushed', flushed, {});
  const at = (time: string, ...lines: LineLog[]) =>
    visitAt(
      lines.map((log) => log.state()),
      policy,
      wall(time),
    ).map(({ lineId, kind }) => `${lineId} ${kind}`);

  it('is none before anything must be asked for', () => {
    expect(at('01:59', line('01:00'))).toEqual([]);
    expect(at('02:00', line('01:00'))).toEqual(['line-1 flush']);
  });

  it('takes along what can be done then and would need a visit before the next, soonest first', () => {
    // Flushed again at 02:00, the next visit would be at 03:00: what is due before that comes along.
    const soonest = at('02:00', line('01:00'), line('01:50', 'line-3'), line('01:15', 'line-2'));
    expect(soonest).toEqual(['line-1 flush', 'line-2 flush']);
    // One flushed at 01:20 counts from 01:40 on, at 01:21 from 01:41.
    expect(at('02:00', line('01:00'), line('01:20', 'line-2'))).toEqual(['line-1 flush', 'line-2 flush']);
    expect(at('02:00', line('01:00'), line('01:21', 'line-2'))).toEqual(['line-1 flush', 'line-2 flush']);
    expect(at('02:00', line('01:00'), line('01:21', 'line-2').add('flushed', '01:45', {}))).toEqual([
      'line-1 flush',
    ]);
  });

  it('leaves what falls due in the next shift to whoever has the line then', () => {
    const morning = new LineLog('19:20', {}, 'line-2')
      .inOrder('19:25')
      .add('flushed', '05:50', {})
      .add('siteChecked', '06:00', { finding: {} });
    // Its redress is due at 07:20 and would count already.
    expect(at('06:40', line('05:40').add('siteChecked', '06:00', { finding: {} }), morning)).toEqual([
      'line-1 flush',
      'line-2 flush',
    ]);
  });

  it('does not begin for what somebody has, until their claim ends', () => {
    const claimed = line('01:00').add('claimed', '01:50', {
      duties: [['flush', wall('02:00')]],
      until: wall('02:20'),
    });
    expect(visitBy(claimed.state(), policy, wall('02:00'))).toBe(wall('02:20'));
    expect(at('02:19', claimed)).toEqual([]);
    expect(at('02:20', claimed)).toEqual(['line-1 flush']);
  });

  it('begins again an hour after what it asked for and nobody did', () => {
    const nudged = line('01:00').add('nudged', '02:00', { duties: [['flush', wall('02:00')]] });
    expect(visitBy(nudged.state(), policy, wall('02:01'))).toBe(wall('03:00'));
  });

  it('is none for a line to which nothing is owed, or whose patient somebody has elsewhere', () => {
    const dead = line('01:00').add('removed', '01:30', { reason: 'death' });
    expect(visitBy(dead.state(), policy, wall('02:00'))).toBeNull();
    const away = line('01:00').add('leftWard', '01:30', { to: 'theatre', with: 'ana' });
    expect(visitBy(away.state(), policy, wall('02:00'))).toBeNull();
    expect(at('02:00', away)).toEqual([]);
  });
});

// 6 h and 8 h: common practice, no source.
describe('a cat’s dwell warning', () => {
  const cat = () =>
    new LineLog('19:30', { patient: { species: 'cat', weightKg: 4 }, flushMode: 'continuous' })
      .inOrder('19:35')
      .add('siteChecked', '01:00', { finding: {} });
  const busy = () => cat().add('disturbed', '01:20', { how: 'moved' });
  const kinds = (log: LineLog, time: string) =>
    visitAt([log.state()], policy, wall(time)).map(({ kind }) => kind);

  it('is carried by any visit from 6 h on', () => {
    expect(kinds(busy(), '01:30')).toEqual(expect.arrayContaining(['zero', 'dwellWarning']));
    const earlier = cat().add('disturbed', '01:19', { how: 'moved' });
    expect(kinds(earlier, '01:29')).not.toContain('dwellWarning');
  });

  it('begins none of its own before half its time is over', () => {
    expect(visitBy(cat().state(), policy, wall('01:40'))).toBe(wall('02:30'));
    expect(kinds(cat(), '02:29')).toEqual([]);
    expect(kinds(cat(), '02:30')).toContain('dwellWarning');
  });

  it('is said once, and not to whoever has it', () => {
    const said = busy().add('nudged', '01:30', { duties: [['dwellWarning', wall('01:30')]] });
    expect(kinds(said, '01:40')).not.toContain('dwellWarning');
    const claim = (until: string) =>
      busy().add('claimed', '01:31', { duties: [['dwellWarning', wall('01:30')]], until: wall(until) });
    expect(kinds(claim('03:00'), '01:40')).not.toContain('dwellWarning');
    expect(kinds(claim('01:40'), '01:40')).toContain('dwellWarning');
  });

  it('is over with the limit', () => {
    expect(visitBy(cat().add('siteChecked', '03:00', { finding: {} }).state(), policy, wall('03:30'))).toBe(
      wall('05:00'),
    );
  });
});

describe('visits by nurse', () => {
  it('are each nurse’s own, in the order of their ids, without patients that somebody has elsewhere', () => {
    const of = (id: string, nurse: string) => new LineLog('20:00', { nurse }, id).inOrder('20:05');
    const lines = [
      of('a', 'teo'),
      of('b', 'nina'),
      of('c', 'teo'),
      of('e', 'bo'),
      of('f', 'yan'),
      of('d', 'olga').add('leftWard', '20:30', { to: 'theatre', with: 'ana' }),
    ];
    const found = visitsByNurse(
      testWard(),
      lines.map((log) => log.state()),
      wall('20:30'),
      wall('21:30'),
      wall('20:30'),
    );
    const ids = found.map(({ nurse, visits }) => [
      nurse,
      [...new Set(visits.flatMap(({ duties }) => duties.map(({ lineId }) => lineId)))].toSorted(),
    ]);
    expect(ids).toEqual([
      ['bo', ['e']],
      ['nina', ['b']],
      ['teo', ['a', 'c']],
      ['yan', ['f']],
    ]);
  });
});
