import { describe, expect, it } from 'vitest';
import { foldLine } from '../../../src/domain/fold/fold-line.ts';
import { lineWakeAt, planWake } from '../../../src/domain/ladder/plan-wake.ts';
import { foldWardNext } from '../../../src/domain/ward/ward-state.ts';
import { clock, LineLog, minute, testWard, wall } from '../../support/line-builder.ts';

const setUp = () =>
  new LineLog('20:00').add('zeroed', '20:05', {}).add('fastFlushTested', '20:05', { verdict: 'normal' });

// Common practice, no source: nobody is late for what they could not be reminded of.
describe('a disturbance of 20:20 that is told at 21:00', () => {
  it('makes zero due from 21:00, not 40 min late', () => {
    const log = setUp()
      .add('flushed', '20:50', {})
      .add('disturbed', '20:20', { how: 'moved' }, { told: wall('21:00') });
    expect(clock(log.duty('zero', testWard().policy, wall('21:00'))?.dueAt ?? 0)).toBe('21:00');
  });

  it('asks for nothing when the line was zeroed in between', () => {
    const log = setUp()
      .add('zeroed', '20:30', {})
      .add('disturbed', '20:20', { how: 'moved' }, { told: wall('21:00') });
    expect(foldLine('a1', log.entries).zeroCause).toBeNull();
  });
});

describe('a clinician put on call after the ward was told that nobody was', () => {
  it('hears of what is late at once, not at the next repeat', () => {
    const nobody = testWard({ rota: {} });
    const log = setUp()
      .add('nudged', '21:00', { duties: [['flush', wall('21:00')]] })
      .add('escalated', '21:10', { duties: [['flush', wall('21:00')]], to: 'nurse', user: 'nina' })
      .add('escalated', '21:20', { duties: [['flush', wall('21:00')]], to: 'clinician' });
    const line = foldLine('a1', log.entries);
    const now = wall('21:25');
    expect(planWake(nobody, [line], now).posts).toEqual([]);
    const head = { at: now, told: now, by: 'nina', via: 'command' } as const;
    const called = foldWardNext(nobody, { ...head, kind: 'onCallSet', body: { user: 'vet' } });
    expect(lineWakeAt(line, called, now)).toBeLessThanOrEqual(now);
    expect(planWake(called, [line], now).posts).toMatchObject([{ to: 'clinician', user: 'vet' }]);
    expect(lineWakeAt(line, nobody, now)).toBe(wall('21:20') + 30 * minute);
  });

  it('hears nothing of the next flush, which is not due yet, when the late one was done meanwhile', () => {
    const nobody = testWard({ rota: {} });
    const log = setUp()
      .add('nudged', '21:00', { duties: [['flush', wall('21:00')]] })
      .add('escalated', '21:20', { duties: [['flush', wall('21:00')]], to: 'clinician' })
      .add('flushed', '21:23', {});
    const line = foldLine('a1', log.entries);
    const now = wall('21:25');
    const head = { at: now, told: now, by: 'nina', via: 'command' } as const;
    const called = foldWardNext(nobody, { ...head, kind: 'onCallSet', body: { user: 'vet' } });
    expect(planWake(called, [line], now).posts).toEqual([]);
  });
});

describe('a clinician who comes on call after another was told of what is late', () => {
  const due = wall('21:00');
  const told = (user: string) =>
    setUp()
      .add('nudged', '21:00', { duties: [['flush', due]] })
      .add('escalated', '21:10', { duties: [['flush', due]], to: 'nurse', user: 'nina' })
      .add('escalated', '21:20', { duties: [['flush', due]], to: 'clinician', user });
  const now = wall('21:25');
  const head = { at: now, told: now, by: 'nina', via: 'command' } as const;
  const ward = testWard();
  const called = foldWardNext(ward, { ...head, kind: 'onCallSet', body: { user: 'mika' } });

  it('hears of it at once, and after that with everybody else', () => {
    const line = foldLine('a1', told('vet').entries);
    expect(planWake(ward, [line], now).posts).toEqual([]);
    expect(planWake(called, [line], now).posts).toMatchObject([{ to: 'clinician', user: 'mika' }]);
    const heard = told('vet').add('escalated', now, {
      duties: [['flush', due]],
      to: 'clinician',
      user: 'mika',
    });
    expect(lineWakeAt(foldLine('a1', heard.entries), called, now)).toBe(now + 30 * minute);
  });

  it('hears nothing of what is claimed, until the claim is over', () => {
    const claimed = told('vet').add(
      'claimed',
      '21:24',
      { duties: [['flush', due]], until: wall('21:54') },
      { by: 'vet' },
    );
    const line = foldLine('a1', claimed.entries);
    expect(planWake(called, [line], now).posts).toEqual([]);
    expect(planWake(called, [line], wall('21:54')).posts).toMatchObject([{ to: 'clinician', user: 'mika' }]);
  });
});

describe('words of one and the same instant', () => {
  const due = wall('21:00');
  const later = (log: LineLog) =>
    log.add('snoozed', '21:10', { duties: [['flush', due]], until: wall('21:10') });
  const toNurse = (log: LineLog) =>
    log.add('escalated', '21:10', { duties: [['flush', due]], to: 'nurse', user: 'nina' });
  const nudged = () => setUp().add('nudged', '21:00', { duties: [['flush', due]] });
  const toldAnew = (log: LineLog) =>
    planWake(testWard(), [foldLine('a1', log.entries)], wall('21:10')).posts.map(({ to }) => to);

  // Found by the ladder's properties once in some thousand nights: a "later" that was put right to end when it began.
  it('count in the order they were told: a visit begins once after “later”, not twice', () => {
    expect(toldAnew(toNurse(nudged()))).toEqual([]);
    expect(toldAnew(later(toNurse(nudged())))).toEqual(['ward']);
  });

  it('a “cannot” told after the clinician was told is news to them', () => {
    const toClinician = (log: LineLog) =>
      log.add('escalated', '21:20', { duties: [['flush', due]], to: 'clinician', user: 'vet' });
    const cannot = (log: LineLog) => log.add('noted', '21:20', { text: 'clotted', cannot: ['flush', due] });
    const told = (log: LineLog) =>
      planWake(testWard(), [foldLine('a1', log.entries)], wall('21:20')).posts.map(({ to }) => to);
    expect(told(cannot(toClinician(toNurse(nudged()))))).toEqual(['clinician']);
    expect(told(toClinician(cannot(toNurse(nudged()))))).toEqual([]);
  });
});
