import { describe, expect, it } from 'vitest';
import { type DutyStatus, dutyStatus, lastClearing } from '../../../src/domain/duties/duty-status.ts';
import type { DutyKind } from '../../../src/domain/duty-kind.ts';
import { LineLog, type PlacedChanges, testWard, wall } from '../../support/line-builder.ts';

const { policy } = testWard();
const bag = { kind: 'pressure bag', volumeMl: 250, rateMlPerH: 3 } as const;
const onPump: PlacedChanges = { flushMode: 'continuous', source: bag };

/** A line in order since 02:00, its next flush due 03:00. */
const line = (changes: PlacedChanges = {}) =>
  new LineLog('20:00', changes)
    .inOrder('20:05')
    .add('redressed', '01:50', { finding: {} })
    .inOrder('01:55')
    .add('flushed', '02:00', {});
const out = (at = '02:50') => line().add('removed', at, { reason: 'planned' });

/** How a duty stands for which a message of 03:00 asked, as due by then. */
const status = (log: LineLog, kind: DutyKind, now = '03:10', dueAt = '03:00'): DutyStatus =>
  dutyStatus(log.state(), policy, { lineId: log.id, kind, dueAt: wall(dueAt) }, wall('03:00'), wall(now));
const waive = (log: LineLog, duty: DutyKind, at: string, dueAt = '03:00', until = '06:00') =>
  log.add(
    'waived',
    at,
    { duty, dueAt: wall(dueAt), reason: 'in surgery', until: wall(until) },
    { by: 'vet' },
  );

describe('a duty that was asked for is done by', () => {
  it.each<[string, DutyKind, LineLog]>([
    ['a flush', 'flush', line().add('flushed', '03:05', {})],
    [
      'a sample that was flushed after',
      'flush',
      line().add('sampled', '03:05', { volumeMl: 1, flushed: true }),
    ],
    ['a pump that takes over', 'flush', line().add('flushModeChanged', '03:05', { mode: 'continuous' })],
    ['a cap that was flushed', 'flush', line().add('capped', '03:05', { flushed: true })],
    ['a zero', 'zero', line().add('zeroed', '03:05', {})],
    ['a fast-flush test', 'test', line().add('fastFlushTested', '03:05', { verdict: 'normal' })],
    ['a look at the source', 'source', line(onPump).add('sourceChecked', '03:05', {})],
    ['a new bag', 'source', line(onPump).add('sourceChanged', '03:05', { source: bag, newSet: false })],
    [
      'a look that finds more left',
      'runOut',
      line(onPump).add('sourceChecked', '03:05', { volumeLeftMl: 90 }),
    ],
    ['a new bag', 'runOut', line(onPump).add('sourceChanged', '03:05', { source: bag, newSet: false })],
    ['the pump taken away', 'runOut', line(onPump).add('flushModeChanged', '03:05', { mode: 'manual' })],
    ['a new set', 'set', line(onPump).add('sourceChanged', '03:05', { source: bag, newSet: true })],
    ['a look at the site', 'site', line().add('siteChecked', '03:05', { finding: {} })],
    ['a redress', 'site', line().add('redressed', '03:05', { finding: {} })],
    ['a redress', 'redress', line().add('redressed', '03:05', { finding: {} })],
    ['a hold that ended dry', 'hold', out().add('holdEnded', '03:05', { oozing: false })],
    ['a pulse check', 'pulse', out('02:10').add('pulseChecked', '03:05', { pulse: 'present' })],
    [
      'a pulse check',
      'pulseNextDay',
      new LineLog('2026-11-23 20:00')
        .add('removed', '2026-11-24 03:00', { reason: 'planned' })
        .add('pulseChecked', '03:05', { pulse: 'present' }),
    ],
    [
      'the fault’s next step',
      'faultOpen',
      line()
        .add('faultOpened', '02:55', { sign: 'flat' })
        .add('faultStep', '03:05', { step: 'flat.patient', answer: 'good' }),
    ],
    [
      'the fault’s end',
      'faultOpen',
      line().add('faultOpened', '02:55', { sign: 'flat' }).add('faultClosed', '03:05', { resolved: true }),
    ],
    [
      'the fault’s being solved',
      'fault',
      line()
        .add('faultOpened', '02:50', { sign: 'flat' })
        .add('faultClosed', '03:00', { resolved: false })
        .add('faultOpened', '03:02', { sign: 'flat' })
        .add('faultClosed', '03:05', { resolved: true }),
    ],
  ])('%s (%s)', (_by, kind, log) => {
    expect(status(log, kind)).toMatchObject({ is: 'done', done: { at: wall('03:05'), by: 'nina' } });
  });

  it('no sample that was not flushed after', () => {
    const log = line().add('sampled', '03:05', { volumeMl: 1, flushed: false });
    expect(status(log, 'flush')).toMatchObject({ is: 'open' });
  });

  it('no new bag on the old set, where the set was asked for', () => {
    const log = new LineLog('2026-11-21 03:00', onPump).add('sourceChanged', '03:05', {
      source: bag,
      newSet: false,
    });
    expect(status(log, 'set')).toMatchObject({ is: 'open' });
  });
});

describe('whoever did the duty that was asked for is named, whatever came after', () => {
  const done = () => line().add('flushed', '03:05', {});

  it.each<[string, (log: LineLog) => LineLog]>([
    ['the next of its kind was done', (log) => log.add('flushed', '04:05', {}, { by: 'teo' })],
    ['the next of its kind was let go', (log) => waive(log, 'flush', '03:20', '04:05')],
    ['the line was capped', (log) => log.add('capped', '03:20', { flushed: true }, { by: 'teo' })],
    ['the line came out', (log) => log.add('removed', '03:20', { reason: 'planned' }, { by: 'teo' })],
  ])('%s', (_after, add) => {
    expect(status(add(done()), 'flush', '04:10')).toMatchObject({
      is: 'done',
      done: { at: wall('03:05'), by: 'nina' },
    });
  });

  it('of one recorded before the asking nobody is', () => {
    const log = line().add('zeroed', '02:50', {}).add('disturbed', '02:55', { how: 'moved' });
    expect(status(log, 'zero')).toMatchObject({ is: 'open' });
  });

  it('of a zero asked for away from the ward, and again once back, only one made since', () => {
    const back = () => line().add('leftWard', '02:50', { to: 'theatre' }).add('returned', '03:20', {});
    const asked = (log: LineLog, now: string) => status(log, 'zero', now, '02:50');
    expect(asked(line().add('leftWard', '02:50', { to: 'theatre' }), '03:10').is).toBe('open');
    expect(asked(back(), '03:30')).toEqual({ is: 'over' });
    expect(asked(back().add('zeroed', '03:25', {}), '03:30')).toMatchObject({
      is: 'done',
      done: { at: wall('03:25') },
    });
  });

  it('of two the one who recorded it first', () => {
    const log = line()
      .add('flushed', '03:04', {}, { told: wall('03:08'), by: 'teo' })
      .add('flushed', '03:06', {}, { told: wall('03:06') });
    expect(status(log, 'flush')).toMatchObject({ is: 'done', done: { at: wall('03:06'), by: 'nina' } });
  });
});

describe('who has the duty that was asked for', () => {
  it('is named until their claim ends', () => {
    const claimed = line().add('claimed', '03:01', {
      duties: [['flush', wall('03:00')]],
      until: wall('03:31'),
    });
    expect(status(claimed, 'flush', '03:30')).toHaveProperty('claimed');
    expect(status(claimed, 'flush', '03:31')).not.toHaveProperty('claimed');
  });
});

describe('a duty that was let go', () => {
  it('is said to be: by whom, why and until when', () => {
    expect(status(waive(line(), 'flush', '03:05'), 'flush')).toMatchObject({
      is: 'let go',
      by: 'vet',
      reason: 'in surgery',
      until: wall('06:00'),
    });
  });

  it('and done later, of itself, is done', () => {
    const log = waive(line(), 'flush', '03:05').add('flushed', '03:30', {});
    expect(status(log, 'flush', '03:31')).toMatchObject({ is: 'done', done: { at: wall('03:30') } });
  });

  it('and done later, again and again, is done by the first', () => {
    const log = waive(line(), 'flush', '03:05').add('flushed', '03:30', {}).add('flushed', '04:30', {});
    expect(status(log, 'flush', '04:31')).toMatchObject({ is: 'done', done: { at: wall('03:30') } });
  });

  it('in the minute it was asked for is said to be', () => {
    expect(status(waive(line(), 'flush', '03:00'), 'flush')).toMatchObject({ is: 'let go' });
  });

  it('before the message asked is no answer to it: the line’s end is', () => {
    const log = waive(line(), 'flush', '02:50', '02:45', '02:55').add('removed', '03:05', {
      reason: 'planned',
    });
    expect(status(log, 'flush')).toMatchObject({ is: 'line out' });
  });

  it('before the message asked is none that this message speaks of', () => {
    const log = waive(line(), 'flush', '02:50', '03:00', '02:55');
    expect(status(log, 'flush')).toMatchObject({ is: 'open' });
  });
});

describe('where a line that is out had something asked of it', () => {
  it.each<DutyKind>(['flush', 'zero', 'test', 'site', 'redress', 'stillNeeded', 'dwellLimit', 'set'])(
    '%s is answered by whoever took it out',
    (kind) => {
      const log = line().add('removed', '03:05', { reason: 'planned' }, { by: 'teo' });
      expect(status(log, kind)).toMatchObject({ is: 'line out', done: { at: wall('03:05'), by: 'teo' } });
    },
  );

  it('what the removal’s own look at the site did is not said to be a site check', () => {
    const log = line().add('removed', '03:05', { reason: 'planned', finding: {} });
    expect(status(log, 'site')).toMatchObject({ is: 'line out' });
  });

  it('a check of the pulse that the line’s end made needless is over', () => {
    const log = line().add('removed', '02:00', { reason: 'death' });
    expect(status(log, 'pulse')).toEqual({ is: 'over' });
    expect(status(log, 'pulseNextDay')).toEqual({ is: 'over' });
  });

  it('a look at the puncture does no site check that was asked of the line', () => {
    const log = line()
      .add('removed', '03:05', { reason: 'planned' })
      .add('siteChecked', '03:08', { finding: {} });
    expect(status(log, 'site')).toMatchObject({ is: 'line out', done: { at: wall('03:05') } });
  });

  it('the first of two checks of the next day is the one that did it, and the first word that it bled no more', () => {
    const next = new LineLog('2026-11-23 20:00').add('removed', '2026-11-24 03:00', { reason: 'planned' });
    next
      .add('pulseChecked', '03:05', { pulse: 'present' })
      .add('pulseChecked', '03:08', { pulse: 'present' });
    expect(status(next, 'pulseNextDay')).toMatchObject({ is: 'done', done: { at: wall('03:05') } });
    const held = out()
      .add('holdEnded', '03:05', { oozing: false })
      .add('holdEnded', '03:08', { oozing: false });
    expect(status(held, 'hold')).toMatchObject({ is: 'done', done: { at: wall('03:05') } });
  });

  it('a check after removal is done though it was done after the line came out', () => {
    const log = out('02:10')
      .add('pulseChecked', '03:05', { pulse: 'present' })
      .add('pulseChecked', '03:08', { pulse: 'present' });
    expect(status(log, 'pulse')).toMatchObject({ is: 'done', done: { at: wall('03:05') } });
  });
});

describe('a finding that a clinician was asked about', () => {
  const swollen = () => line().add('siteChecked', '03:00', { finding: { swelling: true } });

  it.each<[string, LineLog, object]>([
    ['stands', swollen(), { is: 'open' }],
    [
      'is gone once somebody looks and finds nothing amiss',
      swollen().add('siteChecked', '03:05', { finding: {} }, { by: 'teo' }),
      { is: 'done', done: { at: wall('03:05'), by: 'teo' } },
    ],
    [
      'is gone by a redress too',
      swollen().add('redressed', '03:05', { finding: {} }, { by: 'teo' }),
      { is: 'done', done: { at: wall('03:05'), by: 'teo' } },
    ],
    [
      'stays decided while another is seen: that one has its own message',
      waive(swollen(), 'finding', '03:02').add('siteChecked', '03:05', {
        finding: { swelling: true, noPulse: true },
      }),
      { is: 'over' },
    ],
    ['is let go by name', waive(swollen(), 'finding', '03:02'), { is: 'let go', until: wall('06:00') }],
    [
      'is over with a worse one that was seen since',
      swollen().add('siteChecked', '03:05', { finding: { swelling: true, noPulse: true } }),
      { is: 'over' },
    ],
    [
      'is over, though it was let go, once a pressure is the clinician’s: that one has its own message',
      waive(swollen(), 'finding', '03:02').add('reading', '03:05', { sapMmHg: 78, dapMmHg: 42, mapMmHg: 55 }),
      { is: 'over' },
    ],
    [
      'is over where all that is left is an older one that was let go',
      waive(line().add('siteChecked', '02:30', { finding: { swelling: true } }), 'finding', '02:32', '02:30')
        .add('reading', '03:00', { sapMmHg: 78, dapMmHg: 42, mapMmHg: 55 })
        .add('reading', '03:05', { sapMmHg: 118, dapMmHg: 64 }),
      { is: 'over' },
    ],
    [
      'is over once it was put right to nothing, though an older one was seen gone',
      line()
        .add('siteChecked', '02:20', { finding: { swelling: true } })
        .add('siteChecked', '02:30', { finding: {} })
        .add('siteChecked', '03:00', { finding: { swelling: true } })
        .add('amended', '03:05', { target: 10, body: { finding: {} } }),
      { is: 'over' },
    ],
    [
      'is gone by a look in the minute it was seen',
      swollen().add('siteChecked', '03:00', { finding: {} }, { by: 'teo' }),
      { is: 'done', done: { by: 'teo' } },
    ],
    [
      'is over once it was put right to nothing',
      swollen().add('amended', '03:05', { target: 8, body: { finding: {} } }),
      { is: 'over' },
    ],
    [
      'goes with the line of an animal that died',
      swollen().add('removed', '03:05', { reason: 'death' }, { by: 'teo' }),
      { is: 'line out', done: { by: 'teo' } },
    ],
  ])('%s', (_how, log, expected) => {
    expect(status(log, 'finding')).toMatchObject(expected);
  });

  it('of a pressure is done by whoever reads one within the limits, and goes with the line', () => {
    const low = () => line().add('reading', '03:00', { sapMmHg: 78, dapMmHg: 42, mapMmHg: 55 });
    expect(status(low(), 'finding')).toMatchObject({ is: 'open' });
    const read = low().add('reading', '03:05', { sapMmHg: 118, dapMmHg: 64 }, { by: 'teo' });
    expect(status(read, 'finding')).toMatchObject({ is: 'done', done: { at: wall('03:05'), by: 'teo' } });
  });

  it('of a reading before which nothing was asked is over, not done by it', () => {
    const log = line().add('reading', '02:50', { sapMmHg: 118, dapMmHg: 64 });
    expect(status(log, 'finding')).toEqual({ is: 'over' });
  });
});

it('a decision on a missing piece is the last word on it, though a pulse was felt since', () => {
  const log = new LineLog('2026-11-23 16:00')
    .add('removed', '2026-11-23 20:00', { reason: 'planned', tipWhole: false })
    .add('waived', '2026-11-23 20:10', {
      duty: 'finding',
      dueAt: wall('2026-11-23 20:00'),
      reason: 'stays where it is',
      until: wall('03:00'),
    })
    .add('pulseChecked', '2026-11-23 21:00', { pulse: 'present' })
    .add('pulseChecked', '2026-11-24 20:00', { pulse: 'present' });
  const asked = { lineId: log.id, kind: 'finding' as const };
  const of = (dueAt: string) =>
    dutyStatus(log.state(), policy, { ...asked, dueAt: wall(dueAt) }, wall(dueAt), wall('03:10'));
  expect(of('2026-11-23 20:00')).toMatchObject({ is: 'let go', reason: 'stays where it is' });
  // Of what was asked about after the decision it says nothing.
  expect(of('2026-11-23 20:20')).not.toMatchObject({ is: 'let go' });
});

describe('the latest that does a duty', () => {
  it.each<[string, LineLog, string | undefined]>([
    ['a flush', line().add('flushed', '03:05', {}), '03:05'],
    ['a sample after a flush', line().add('sampled', '03:05', { volumeMl: 1, flushed: true }), '03:05'],
    [
      'a flush after a sample',
      line().add('sampled', '03:05', { volumeMl: 1, flushed: true }).add('flushed', '03:06', {}),
      '03:06',
    ],
  ])('is %s', (_which, log, at) => {
    expect(lastClearing(log.state(), 'flush')?.at).toBe(at && wall(at));
  });

  it('is none where nobody did it', () => {
    expect(lastClearing(line().state(), 'source')).toBeNull();
  });
});

describe('a fault left that a clinician was asked about', () => {
  const left = () =>
    line().add('faultOpened', '02:50', { sign: 'flat' }).add('faultClosed', '03:00', { resolved: false });

  it.each<[string, LineLog, object]>([
    ['stands', left(), { is: 'open' }],
    ['is let go by name', waive(left(), 'fault', '03:02'), { is: 'let go', until: wall('06:00') }],
    [
      'is over once its close was struck',
      left().add('amended', '03:05', { target: 9, strike: 'a slip' }),
      { is: 'over' },
    ],
    [
      'is over once its close was struck, though an older one was solved',
      line()
        .add('faultOpened', '02:10', { sign: 'flat' })
        .add('faultClosed', '02:15', { resolved: false })
        .add('faultOpened', '02:20', { sign: 'flat' })
        .add('faultClosed', '02:25', { resolved: true })
        .add('faultOpened', '02:50', { sign: 'flat' })
        .add('faultClosed', '03:00', { resolved: false })
        .add('amended', '03:05', { target: 13, strike: 'a slip' }),
      { is: 'over' },
    ],
    [
      'is over once another close shows that it was no such fault',
      left().add('amended', '03:05', { target: 9, body: { resolved: true } }),
      { is: 'over' },
    ],
    [
      'is over with another that was left since',
      left().add('faultOpened', '03:02', { sign: 'flat' }).add('faultClosed', '03:05', { resolved: false }),
      { is: 'over' },
    ],
    [
      'goes with the line',
      left().add('removed', '03:05', { reason: 'occluded' }, { by: 'teo' }),
      { is: 'line out', done: { by: 'teo' } },
    ],
  ])('%s', (_how, log, expected) => {
    expect(status(log, 'fault')).toMatchObject(expected);
  });
});

describe('what a transducer needs, of a line that was capped', () => {
  const capped = (log: LineLog) => log.add('capped', '03:05', { flushed: true });

  it('is over, and nobody is named', () => {
    expect(status(capped(line().add('disturbed', '02:58', { how: 'moved' })), 'zero')).toEqual({
      is: 'over',
    });
  });

  it('is answered by its removal where that came after', () => {
    const log = capped(line()).add('removed', '03:08', { reason: 'planned' });
    expect(status(log, 'zero')).toMatchObject({ is: 'line out' });
  });

  it('is owed anew once the line is joined, and what was done before it was capped did neither', () => {
    const log = capped(line()).add('transducerJoined', '03:06', { newSet: true, flushMode: 'manual' });
    expect(log.duty('zero', policy, '03:10')?.dueAt).toBe(wall('03:06'));
    expect(status(log, 'zero')).toEqual({ is: 'over' });
  });
});
