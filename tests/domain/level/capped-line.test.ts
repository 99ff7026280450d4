import { describe, expect, it } from 'vitest';
import { accept } from '../../../src/domain/accept/accept.ts';
import { dutyOutcomes } from '../../../src/domain/audit/duty-outcomes.ts';
import { lineCourse } from '../../../src/domain/audit/line-course.ts';
import { dutyStatus } from '../../../src/domain/duties/duty-status.ts';
import { sourceEmptyAt } from '../../../src/domain/duties/flush-source.ts';
import { isCapped } from '../../../src/domain/level/transducer.ts';
import type { EntryDraft } from '../../../src/domain/record/entry.ts';
import { doubtsOfReading } from '../../../src/domain/trust/doubts-of-reading.ts';
import { clock, hour, LineLog, type PlacedChanges, testWard, wall } from '../../support/line-builder.ts';
import { policyAt } from '../audit/audited-lines.ts';

// A capped arterial catheter for blood gases, flushed by hand and looked after as any other: common practice, no source.

const ward = testWard();
const { policy } = ward;
const samplesOnly: PlacedChanges = { transducer: false };
const bag = { kind: 'pressure bag', volumeMl: 250, rateMlPerH: 3 } as const;
const kinds = (log: LineLog, now: string) => log.duties(policy, now).map(({ kind }) => kind);
const dueAt = (log: LineLog, kind: Parameters<LineLog['duty']>[0], now: string) => {
  const duty = log.duty(kind, policy, now);
  return duty ? clock(duty.dueAt) : null;
};

describe('a line placed for samples only', () => {
  it('owes everything but what a transducer needs', () => {
    expect(kinds(new LineLog('19:30', samplesOnly), '19:31')).toEqual([
      'flush',
      'site',
      'redress',
      'stillNeeded',
    ]);
    expect(kinds(new LineLog('19:30'), '19:31')).toEqual(expect.arrayContaining(['zero', 'test', 'set']));
  });

  it('keeps a cat’s limit', () => {
    const cat = new LineLog('19:30', { ...samplesOnly, patient: { species: 'cat', weightKg: 4 } });
    expect(dueAt(cat, 'dwellLimit', '19:31')).toBe('03:30');
  });

  it('is flushed by hand, though a continuous flush was recorded of it', () => {
    const log = new LineLog('19:30', { ...samplesOnly, flushMode: 'continuous', source: bag });
    expect(log.state().flushMode).toBe('manual');
    expect(dueAt(log, 'flush', '19:31')).toBe('20:30');
    expect(dueAt(log, 'runOut', '19:31')).toBeNull();
  });

  it('owes no zero of a new shift, after a sample, a redress or a move', () => {
    const log = new LineLog('19:30', samplesOnly)
      .add('sampled', '20:00', { volumeMl: 1, flushed: true })
      .add('redressed', '20:10', { finding: {} })
      .add('disturbed', '20:20', { how: 'moved' });
    expect(kinds(log, '2026-11-25 08:00').filter((kind) => kind === 'zero' || kind === 'test')).toEqual([]);
  });

  it('is left out of what was zeroed and tested on time', () => {
    const course = (changes: PlacedChanges) =>
      lineCourse({ id: 'a', log: new LineLog('19:30', changes).entries }, wall('2026-11-25 08:00'));
    const counted = (changes: PlacedChanges) => {
      const one = course(changes);
      if (!one) throw new Error('not placed');
      return new Set(dutyOutcomes(one, policyAt, wall('2026-11-25 08:00')).map(({ kind }) => kind));
    };
    expect([...counted({})]).toEqual(expect.arrayContaining(['zero', 'test', 'flush']));
    expect(counted(samplesOnly).has('flush')).toBe(true);
    expect(counted(samplesOnly).has('zero') || counted(samplesOnly).has('test')).toBe(false);
  });
});

describe('a line joined to a transducer', () => {
  const joined = () =>
    new LineLog('19:30', samplesOnly).add('transducerJoined', '23:00', {
      newSet: true,
      flushMode: 'continuous',
      source: bag,
    });

  it('owes zero and test at once, from the joining and not from before it', () => {
    expect(dueAt(joined(), 'zero', '23:01')).toBe('23:00');
    expect(dueAt(joined(), 'test', '23:01')).toBe('23:00');
  });

  it('owes no zero of the shifts in which it was capped', () => {
    const log = new LineLog('2026-11-22 20:00', samplesOnly)
      .add('transducerJoined', '23:00', { newSet: true, flushMode: 'manual' })
      .inOrder('23:05');
    expect(log.duty('zero', policy, '23:06')?.dueAt).toBe(wall('2026-11-25 07:00'));
  });

  it('has its set changed 96 h from the joining, and its source counted from there', () => {
    expect(joined().duty('set', policy, '23:01')?.dueAt).toBe(wall('23:00') + 96 * hour);
    // 250 mL at 3 mL/h: 83.3 h, by arithmetic.
    expect(sourceEmptyAt(joined().state(), policy)).toBeCloseTo(wall('23:00') + (250 / 3) * hour, -2);
  });

  it('doubts a reading until it is zeroed and levelled', () => {
    const log = joined().add('reading', '23:02', { sapMmHg: 118, dapMmHg: 64 });
    expect(doubtsOfReading(log.state(), policy)).toEqual(
      expect.arrayContaining([{ doubt: 'never zeroed' }, { doubt: 'never tested' }]),
    );
  });
});

describe('a line taken off its transducer', () => {
  const onPump = () =>
    new LineLog('2026-11-24 10:00', { flushMode: 'continuous', source: bag }).inOrder('2026-11-24 10:05');
  const capped = (flushed = true) => onPump().add('capped', '20:00', { flushed });

  it('owes nothing of the transducer, and a flush by hand an hour later', () => {
    const owed = kinds(capped(), '20:05');
    expect(owed.filter((kind) => ['zero', 'test', 'set', 'source', 'runOut'].includes(kind))).toEqual([]);
    expect(dueAt(capped(), 'flush', '20:05')).toBe('21:00');
  });

  it('owes a flush at once where it was not flushed', () => {
    expect(dueAt(capped(false), 'flush', '20:05')).toBe('20:00');
  });

  it('sets its source aside with what is left: 250 mL less ten hours at 3 mL/h is 220 mL', () => {
    expect(capped().state().setAside).toEqual({
      flushMode: 'continuous',
      source: { kind: 'pressure bag', volumeMl: 220, rateMlPerH: 3 },
    });
    expect(capped().state().source).toBeNull();
  });

  it('joined to the same set again keeps that set’s days, and zero is due from then', () => {
    const log = capped().add('transducerJoined', '23:00', {
      newSet: false,
      flushMode: 'continuous',
      source: { kind: 'pressure bag', volumeMl: 220, rateMlPerH: 3 },
    });
    expect(log.duty('set', policy, '23:01')?.dueAt).toBe(wall('2026-11-24 10:00') + 96 * hour);
    expect(dueAt(log, 'zero', '23:01')).toBe('23:00');
    expect(sourceEmptyAt(log.state(), policy)).toBeCloseTo(wall('23:00') + (220 / 3) * hour, -2);
    expect(log.state().setAside).toBeNull();
  });

  it('makes an open ask for a zero one that is owed no more, and nobody is named as having done it', () => {
    const log = onPump()
      .add('disturbed', '19:30', { how: 'moved' })
      .add('capped', '20:00', { flushed: true });
    const asked = { lineId: 'line-1', kind: 'zero', dueAt: wall('19:30') } as const;
    expect(dutyStatus(log.state(), policy, asked, wall('19:40'), wall('20:05'))).toEqual({ is: 'over' });
  });

  it('counts a zero that was late when it was capped as not done, and none that had just come due', () => {
    const zeroes = (at: string) => {
      const log = onPump()
        .inOrder('19:05')
        .add('disturbed', '19:30', { how: 'moved' })
        .add('capped', at, { flushed: true });
      const course = lineCourse({ id: 'a', log: log.entries }, wall('22:00'));
      if (!course) throw new Error('not placed');
      return dutyOutcomes(course, policyAt, wall('22:00'))
        .filter(({ kind, dueAt: due }) => kind === 'zero' && due >= wall('19:30'))
        .map(({ ended }) => ended);
    };
    // Asked for 10 min after the move, and late from 15 min after that on.
    expect(zeroes('19:50')).toEqual([]);
    expect(zeroes('19:56')).toEqual(['not done']);
  });

  it('is as it was when the capping is struck', () => {
    const log = capped();
    log.add('amended', '20:10', { target: log.entries.length, strike: 'another line' });
    expect(isCapped(log.state())).toBe(false);
    expect(log.state()).toMatchObject({ flushMode: 'continuous', source: bag });
  });
});

describe('what is told of a capped line', () => {
  const log = () => new LineLog('19:30').inOrder('19:35').add('capped', '21:00', { flushed: true });
  const verdict = (draft: EntryDraft, at = '22:00') =>
    accept(
      log().state(),
      ward,
      draft,
      { at: wall(at), told: wall('22:00'), by: 'nina', via: 'button' },
      log().entries,
    );
  const reading: EntryDraft = { kind: 'reading', body: { sapMmHg: 118, dapMmHg: 64 } };

  it.each<EntryDraft>([
    { kind: 'zeroed', body: {} },
    { kind: 'levelled', body: {} },
    { kind: 'fastFlushTested', body: { verdict: 'normal' } },
    reading,
    { kind: 'faultOpened', body: { sign: 'flat' } },
    { kind: 'flushModeChanged', body: { mode: 'continuous', source: bag } },
    { kind: 'sourceChanged', body: { source: { kind: 'pressure bag' }, newSet: true } },
    { kind: 'sourceChanged', body: { source: { kind: 'syringe', rateMlPerH: 1 }, newSet: false } },
  ])('is refused where it needs a transducer: %j', (draft) => {
    expect(verdict(draft)).toEqual({ refuse: { because: 'no transducer' } });
  });

  it.each<EntryDraft>([
    { kind: 'flushed', body: {} },
    { kind: 'sampled', body: { volumeMl: 1, flushed: true } },
    { kind: 'redressed', body: { finding: {} } },
    { kind: 'siteChecked', body: { finding: {} } },
    { kind: 'faultOpened', body: { sign: 'blocked' } },
    { kind: 'sourceChanged', body: { source: { kind: 'syringe', heparinUPerMl: 1 }, newSet: false } },
  ])('is taken where it needs none: %j', (draft) => {
    expect(verdict(draft)).toHaveProperty('take');
  });

  it('is taken of a time before it was capped', () => {
    expect(verdict(reading, '20:30')).toHaveProperty('take');
  });
});
