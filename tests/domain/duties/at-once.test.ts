import { describe, expect, it } from 'vitest';
import { atOnceMs, isAtOnce } from '../../../src/domain/duties/at-once.ts';
import type { Duty } from '../../../src/domain/duties/duty.ts';
import { type DutyKind, dutyKinds } from '../../../src/domain/duty-kind.ts';
import { LineLog, minute, type PlacedChanges, testWard, wall } from '../../support/line-builder.ts';

const { policy } = testWard();
const bag = { kind: 'pressure bag', volumeMl: 250, rateMlPerH: 3 } as const;
const onPump: PlacedChanges = { flushMode: 'continuous', source: bag };
const inOrder = (changes: PlacedChanges = {}) => new LineLog('19:30', changes).inOrder('19:35');
const out = () => inOrder().add('removed', '20:00', { reason: 'planned' });
const cat: PlacedChanges = { patient: { species: 'cat', weightKg: 4 } };

describe('what comes with time is asked for when it is due', () => {
  it.each<[DutyKind, Duty['why'], LineLog]>([
    ['zero', 'shift start', inOrder()],
    ['test', 'shift start', inOrder()],
    ['source', 'shift start', inOrder(onPump)],
    ['flush', 'interval', inOrder()],
    ['site', 'interval', inOrder()],
    ['redress', 'interval', inOrder()],
    ['set', 'interval', inOrder()],
    ['runOut', 'running out', inOrder(onPump)],
    ['stillNeeded', 'dwell', inOrder()],
    ['dwellWarning', 'dwell', inOrder(cat)],
    ['dwellLimit', 'dwell', inOrder(cat)],
    ['hold', 'removed', out()],
    ['pulse', 'removed', out()],
    ['pulseNextDay', 'removed', out()],
    ['faultOpen', 'fault open', inOrder().add('faultOpened', '20:00', { sign: 'flat' })],
  ])('%s: %s', (kind, why, line) => {
    const duty = line.duty(kind, policy, '20:01');
    expect(duty?.why).toBe(why);
    expect(duty && atOnceMs(duty, policy)).toBe(0);
  });
});

describe('whoever made a duty due has 10 min to do it before it is asked for', () => {
  it.each<[DutyKind, Duty['why'], LineLog]>([
    ['zero', 'placed', new LineLog('19:30')],
    ['zero', 'disturbed', inOrder().add('disturbed', '20:00', { how: 'moved' })],
    ['zero', 'redressed', inOrder().add('redressed', '20:00', { finding: {} })],
    ['site', 'redressed', inOrder().add('redressed', '20:00', {})],
    ['flush', 'sampled', inOrder().add('sampled', '20:00', { volumeMl: 1, flushed: false })],
    ['redress', 'soiled', inOrder().add('siteChecked', '20:00', { finding: { soiled: true } })],
    ['test', 'source changed', inOrder(onPump).add('sourceChanged', '20:00', { source: bag, newSet: true })],
  ])('%s: %s', (kind, why, line) => {
    const duty = line.duty(kind, policy, '20:01');
    expect(duty?.why).toBe(why);
    expect(duty && atOnceMs(duty, policy) / minute).toBe(10);
  });

  it('soiled in the very minute in which the dressing is due anyway, it is said to be soiled', () => {
    const line = inOrder().add('siteChecked', '07:30', { finding: { soiled: true } });
    expect(line.duty('redress', policy, '07:30')?.why).toBe('soiled');
  });

  it('findings and faults, which are the clinician’s, count as at once', () => {
    const line = inOrder()
      .add('siteChecked', '20:00', { finding: { swelling: true } })
      .add('faultOpened', '20:00', { sign: 'flat' })
      .add('faultClosed', '20:01', { resolved: false });
    const isSeen = ({ kind }: Duty) => kind === 'finding' || kind === 'fault';
    const seen = line.duties(policy, '20:01').filter(isSeen);
    expect(seen.map(({ why }) => why)).toEqual(['finding', 'fault']);
    expect(seen.map(isAtOnce)).toEqual([true, true]);
  });
});

describe('a duty counts from the entry that began its time', () => {
  it.each<[string, DutyKind, LineLog, number | undefined]>([
    ['the flush before', 'flush', inOrder().add('flushed', '20:00', {}), 4],
    [
      'the change to flushing by hand',
      'flush',
      inOrder(onPump).add('flushModeChanged', '20:00', { mode: 'manual' }),
      4,
    ],
    [
      'a flush in the minute of that change',
      'flush',
      inOrder(onPump).add('flushModeChanged', '20:00', { mode: 'manual' }).add('flushed', '20:00', {}),
      5,
    ],
    ['the redress before', 'redress', inOrder().add('redressed', '20:00', { finding: {} }), 4],
    ['the removal', 'pulse', out(), 4],
    ['the removal', 'pulseNextDay', out(), 4],
    ['nothing, where the calendar makes it due', 'zero', inOrder(), undefined],
  ])('%s (%s)', (_from, kind, line, armedBy) => {
    expect(line.duty(kind, policy, '20:01')?.armedBy).toBe(armedBy);
  });

  it('every kind that is owed at all is made by its own name', () => {
    const owed = [
      inOrder(onPump),
      inOrder(cat),
      inOrder().add('faultOpened', '20:00', { sign: 'flat' }),
      inOrder().add('siteChecked', '20:00', { finding: { swelling: true } }),
      inOrder()
        .add('faultOpened', '19:59', { sign: 'flat' })
        .add('faultClosed', '20:00', { resolved: false }),
      out(),
    ].flatMap((line) => line.duties(policy, wall('20:01')).map(({ kind }) => kind));
    expect(dutyKinds.filter((kind) => !owed.includes(kind))).toEqual([]);
  });
});
