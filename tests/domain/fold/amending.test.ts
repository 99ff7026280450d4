import { describe, expect, it } from 'vitest';
import { foldLine, foldNext } from '../../../src/domain/fold/fold-line.ts';
import { effectiveEntries } from '../../../src/domain/record/effective-entries.ts';
import type { DraftOf, EntryHead, EntryKind } from '../../../src/domain/record/entry.ts';
import { clock, LineLog, testWard, wall } from '../../support/line-builder.ts';

/** What counts of a log, as `HH:mm kind`. */
function counted(line: LineLog): string[] {
  return effectiveEntries(line.entries).map(({ entry }) => `${clock(entry.at)} ${entry.kind}`);
}

const policy = testWard().policy;

describe('effectiveEntries', () => {
  it('puts what was told late where it happened', () => {
    const line = new LineLog('20:00')
      .add('flushed', '22:00', {})
      .add('flushed', '21:00', {}, { told: wall('22:30') });
    expect(counted(line)).toEqual(['20:00 placed', '21:00 flushed', '22:00 flushed']);
  });

  it('keeps two things of one minute in the order they were told', () => {
    const line = new LineLog('20:00').add('zeroed', '21:00', {}).add('disturbed', '21:00', { how: 'moved' });
    expect(counted(line)).toEqual(['20:00 placed', '21:00 zeroed', '21:00 disturbed']);
    expect(line.duty('zero', policy, '21:01')?.dueAt).toBe(wall('21:00'));
  });

  it('moves an amended entry and drops the amendment', () => {
    const line = new LineLog('20:00')
      .add('flushed', '22:00', {})
      .add('amended', '22:30', { target: 2, at: wall('21:45') });
    expect(counted(line)).toEqual(['20:00 placed', '21:45 flushed']);
  });

  it('takes the last of two amendments of one time', () => {
    const line = new LineLog('20:00').add('flushed', '22:00', {});
    line
      .add('amended', '22:30', { target: 2, at: wall('21:45') })
      .add('amended', '22:40', { target: 2, at: wall('21:50') });
    expect(counted(line)).toEqual(['20:00 placed', '21:50 flushed']);
  });

  it('falls back on the earlier amendment when the later is struck, and on the first telling when both are', () => {
    const line = new LineLog('20:00').add('flushed', '22:00', {});
    line
      .add('amended', '22:30', { target: 2, at: wall('21:45') })
      .add('amended', '22:40', { target: 2, at: wall('21:50') });
    expect(counted(line.add('amended', '22:50', { target: 4, strike: 'slip' }))).toEqual([
      '20:00 placed',
      '21:45 flushed',
    ]);
    expect(counted(line.add('amended', '22:55', { target: 3, strike: 'slip' }))).toEqual([
      '20:00 placed',
      '22:00 flushed',
    ]);
  });

  it('joins amendments of different values and lets the later win for the same', () => {
    const line = new LineLog('20:00').add('reading', '22:00', { sapMmHg: 120, dapMmHg: 70 });
    line.add('amended', '22:10', { target: 2, body: { dapMmHg: 60, mapMmHg: 80 } });
    line.add('amended', '22:20', { target: 2, at: wall('21:58'), body: { dapMmHg: 65 } });
    expect(effectiveEntries(line.entries)[1]).toMatchObject({
      number: 2,
      entry: { at: wall('21:58'), body: { sapMmHg: 120, dapMmHg: 65, mapMmHg: 80 } },
    });
  });

  it('takes a struck entry out, and back in when the strike is struck, and out again', () => {
    const line = new LineLog('20:00')
      .add('flushed', '22:00', {})
      .add('amended', '22:10', { target: 2, strike: 'not done' });
    expect(counted(line)).toEqual(['20:00 placed']);
    expect(counted(line.add('amended', '22:20', { target: 3, strike: 'was done' }))).toEqual([
      '20:00 placed',
      '22:00 flushed',
    ]);
    expect(counted(line.add('amended', '22:30', { target: 4, strike: 'no' }))).toEqual(['20:00 placed']);
    expect(counted(line.add('amended', '22:40', { target: 5, strike: 'yes' }))).toEqual([
      '20:00 placed',
      '22:00 flushed',
    ]);
  });

  it('gives nothing to an amendment of what comes after it', () => {
    const line = new LineLog('20:00')
      .add('amended', '22:10', { target: 3, strike: 'forged' })
      .add('flushed', '22:20', {});
    expect(counted(line)).toEqual(['20:00 placed', '22:20 flushed']);
  });

  it('leaves the log itself as it was told', () => {
    const line = new LineLog('20:00').add('flushed', '22:00', { volumeMl: 1 });
    const before = structuredClone(line.entries);
    line.add('amended', '22:10', { target: 2, at: wall('21:00'), body: { volumeMl: 2 } });
    effectiveEntries(line.entries);
    foldLine('line-1', line.entries);
    expect(line.entries.slice(0, 2)).toEqual(before);
  });
});

describe('what follows an amendment is derived anew', () => {
  it('flush totals, the last flush and the next one due', () => {
    const line = new LineLog('20:00')
      .add('flushed', '21:00', { volumeMl: 1 })
      .add('flushed', '22:00', { volumeMl: 1 });
    line
      .add('amended', '22:10', { target: 3, strike: 'wrong patient' })
      .add('amended', '22:11', { target: 2, body: { volumeMl: 0.5 } });
    expect(line.state()).toMatchObject({
      flushedMl: 0.5,
      flushCount: 1,
      flushed: { at: wall('21:00'), entry: 2 },
    });
    expect(line.duty('flush', policy, '22:12')?.dueAt).toBe(wall('22:00'));
  });

  it('a zero is owed again when it turns out to be from before the disturbance', () => {
    const line = new LineLog('20:00').add('disturbed', '21:00', { how: 'moved' }).add('zeroed', '21:05', {});
    expect(line.duty('zero', policy, '21:06')?.dueAt).toBe(wall('07:00'));
    line.add('amended', '21:10', { target: 3, at: wall('20:50') });
    expect(line.duty('zero', policy, '21:11')?.dueAt).toBe(wall('21:00'));
  });

  it('a line is back in when its removal is struck', () => {
    const line = new LineLog('20:00')
      .add('removed', '22:00', { reason: 'planned' })
      .add('amended', '22:05', { target: 2, strike: 'wrong line' });
    expect(line.state().removed).toBeNull();
    expect(line.duty('flush', policy, '22:06')?.dueAt).toBe(wall('21:00'));
  });

  it('weight and site follow the placing put right', () => {
    const line = new LineLog('20:00').add('amended', '20:10', {
      target: 1,
      body: { site: 'radial', patient: { name: 'Biscuit', species: 'dog', weightKg: 30 } },
    });
    expect(line.state()).toMatchObject({ site: 'radial', patient: { weightKg: 30 }, version: 2 });
  });

  it('samples older than 24 h before the latest are not kept', () => {
    const line = new LineLog('2026-11-23 08:00');
    for (const at of ['2026-11-23 10:00', '2026-11-24 09:59', '2026-11-24 10:01'])
      line.add('sampled', at, { volumeMl: 1, flushed: true });
    expect(line.state().samples.map(({ at }) => clock(at))).toEqual(['09:59', '10:01']);
  });
});

describe('foldLine and foldNext', () => {
  it('refuse a log that does not begin with its placing', () => {
    const flushed = new LineLog('20:00').add('flushed', '21:00', {}).entries.slice(1);
    expect(() => foldLine('line-9', flushed)).toThrow('line line-9: the log does not begin with its placing');
    expect(() => foldLine('line-9', [])).toThrow('line line-9');
  });

  it('ask for the log only when something is late or amended', () => {
    const line = new LineLog('20:00').add('flushed', '21:00', {});
    let asked = 0;
    const log = () => {
      asked += 1;
      return line.entries;
    };
    const next = <K extends EntryKind>(
      kind: K,
      at: string,
      body: DraftOf<K>['body'],
      head: Partial<EntryHead> = {},
    ) => {
      const entry = new LineLog('20:00').add(kind, at, body, head).entries[1];
      if (!entry) throw new Error('no entry');
      return foldNext(line.state(), entry, log);
    };
    expect(next('flushed', '21:00', {}).version).toBe(3);
    expect(next('flushed', '22:00', {}).version).toBe(3);
    expect(asked).toBe(0);
    expect(next('flushed', '20:59', {}).flushed.at).toBe(wall('21:00'));
    expect(next('amended', '22:00', { target: 2, strike: 'no' }).flushed.at).toBe(wall('20:00'));
    expect(asked).toBe(2);
  });
});
