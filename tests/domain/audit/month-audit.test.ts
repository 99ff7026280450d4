import { describe, expect, it } from 'vitest';
import { monthOwed, nextAuditAt } from '../../../src/domain/audit/month-audit.ts';
import { foldWardNext } from '../../../src/domain/ward/ward-state.ts';
import { testWard, wall } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';

const { policy } = testWard();
const berlin = policy.shifts;
const owed = (
  now: string,
  ward: { begunAt?: number | null; auditedTo?: number | null } = {},
  lines: { placed: { at: number } }[] = [],
) => monthOwed({ policy, begunAt: wall('2026-01-05 10:00'), auditedTo: null, ...ward }, lines, wall(now));
const month = (first: string, next: string) => ({
  fromMs: wall(`${first} 00:00`),
  toMs: wall(`${next} 00:00`),
});

describe('nextAuditAt', () => {
  it.each([
    ['2026-11-24 19:20', '2026-12-01 07:00'],
    ['2026-12-01 06:59', '2026-12-01 07:00'],
    ['2026-12-01 07:00', '2027-01-01 07:00'],
    ['2026-03-01 12:00', '2026-04-01 07:00'],
    ['2026-12-31 23:59', '2027-01-01 07:00'],
  ])('is, seen on %s, %s: the first shift start of a month on the ward’s clock', (now, next) => {
    expect(nextAuditAt(berlin, wall(now))).toBe(wall(next));
  });

  it('takes a shift that starts at midnight of the first', () => {
    const plan = { zone: berlin.zone, shifts: [{ name: 'all day', startsAt: '00:00' as const }] };
    expect(nextAuditAt(plan, wall('2026-11-24 19:20'))).toBe(wall('2026-12-01 00:00'));
  });

  it('is the same whatever was asked before, in any order of times', () => {
    const times = fc.array(fc.integer({ min: wall('2026-01-01 00:00'), max: wall('2027-01-01 00:00') }), {
      minLength: 2,
    });
    fc.assert(
      fc.property(times, (asked) => {
        const remembering = { ...berlin };
        for (const now of asked) expect(nextAuditAt(remembering, now)).toBe(nextAuditAt({ ...berlin }, now));
      }),
    );
  });
});

describe('monthOwed', () => {
  it('is the month before, from the first shift start on, to the end of the clocks’ own month', () => {
    const sinceOctober = { begunAt: wall('2026-10-05 10:00') };
    const october = { auditedTo: wall('2026-11-01 00:00') };
    expect(owed('2026-12-01 07:00', october)).toEqual(month('2026-11-01', '2026-12-01'));
    expect(owed('2026-12-01 06:59', october)).toBeNull();
    expect(owed('2026-12-01 06:59', sinceOctober)).toEqual(month('2026-10-01', '2026-11-01'));
  });

  it('lasts 31 days less or more an hour where clocks change in it', () => {
    const hours = (now: string) => {
      const before = { begunAt: wall(now) - 20 * 24 * 3_600_000 };
      const one = owed(now, before);
      return one && (one.toMs - one.fromMs) / 3_600_000;
    };
    expect(hours('2026-04-01 08:00')).toBe(31 * 24 - 1);
    expect(hours('2026-11-01 08:00')).toBe(31 * 24 + 1);
    expect(hours('2026-06-01 08:00')).toBe(31 * 24);
  });

  it('is owed late too, each month once and the oldest first', () => {
    const from = (auditedTo: string) => owed('2026-12-05 15:00', { auditedTo: wall(`${auditedTo} 00:00`) });
    expect(from('2026-09-01')).toEqual(month('2026-09-01', '2026-10-01'));
    expect(from('2026-10-01')).toEqual(month('2026-10-01', '2026-11-01'));
    expect(from('2026-11-01')).toEqual(month('2026-11-01', '2026-12-01'));
    expect(from('2026-12-01')).toBeNull();
  });

  it('is of no month more than three back, and of none before the ward began', () => {
    expect(owed('2026-12-05 15:00')).toEqual(month('2026-09-01', '2026-10-01'));
    expect(owed('2026-12-05 15:00', { auditedTo: wall('2026-04-01 00:00') })).toEqual(
      month('2026-09-01', '2026-10-01'),
    );
    expect(owed('2026-12-05 15:00', { begunAt: wall('2026-10-31 23:59') })).toEqual(
      month('2026-10-01', '2026-11-01'),
    );
    expect(owed('2026-12-05 15:00', { begunAt: wall('2026-11-01 00:00') })).toEqual(
      month('2026-11-01', '2026-12-01'),
    );
  });

  it.each(['America/New_York', 'Pacific/Kiritimati', 'Pacific/Pago_Pago'])(
    'is not owed again where the ward’s zone becomes %s after it was posted',
    (zone) => {
      const auditedTo = wall('2026-12-01 00:00');
      const moved = { policy: { ...policy, shifts: { ...berlin, zone } }, begunAt: 0, auditedTo };
      expect(monthOwed(moved, [], wall('2026-12-05 12:00'))).toBeNull();
      expect(monthOwed(moved, [], wall('2027-01-02 12:00'))).not.toBeNull();
    },
  );

  it('is not owed by a ward that began after it, and is by one that has a line as old', () => {
    expect(owed('2026-12-01 08:00', { begunAt: wall('2026-12-01 07:30') })).toBeNull();
    const young = { placed: { at: wall('2026-12-01 07:30') } };
    expect(owed('2026-12-01 08:00', { begunAt: null }, [young])).toBeNull();
    const line = { placed: { at: wall('2026-11-30 23:00') } };
    expect(owed('2026-12-01 08:00', { begunAt: null }, [line])).not.toBeNull();
  });

  it('is owed by a ward of which only its closed lines could tell how old it is', () => {
    expect(owed('2026-12-01 08:00', { begunAt: null })).toEqual(month('2026-11-01', '2026-12-01'));
    expect(owed('2026-12-01 08:00', { begunAt: null, auditedTo: wall('2026-12-01 00:00') })).toBeNull();
  });
});

describe('a ward’s state', () => {
  const head = { told: 0, by: 'bot', via: 'bot' } as const;

  it('remembers up to when it was audited and when its record began', () => {
    const first = foldWardNext(testWard(), { ...head, at: 5_000, kind: 'onCallSet', body: { user: 'vet' } });
    const audited = foldWardNext(first, {
      ...head,
      at: 9_000,
      kind: 'audited',
      body: { from: 1, to: 8_000 },
    });
    expect([audited.begunAt, audited.auditedTo, first.auditedTo]).toEqual([5_000, 8_000, null]);
  });
});
