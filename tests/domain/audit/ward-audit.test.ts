import { describe, expect, it } from 'vitest';
import { type Share, shareOf } from '../../../src/domain/audit/share.ts';
import { type WardLogs, wardAudit } from '../../../src/domain/audit/ward-audit.ts';
import type { WardDraft, WardEntry } from '../../../src/domain/ward/ward-entry.ts';
import { hour, LineLog, type PlacedChanges, wall } from '../../support/line-builder.ts';
import { policy } from './audited-lines.ts';

const period = { fromMs: wall('2026-01-01 00:00'), toMs: wall('2026-12-31 00:00') };
const day = 24 * hour;

/** A made ward: placings told as the ward would, one a day. */
class MadeWard implements WardLogs {
  readonly wardEntries: WardEntry[] = [];
  readonly lines: { id: string; entries: LineLog['entries'] }[] = [];
  private next = period.fromMs + hour;

  record(draft: WardDraft, at = this.next): this {
    this.wardEntries.push({ at, told: at, by: 'nina', via: 'form', ...draft } as WardEntry);
    return this;
  }

  /** A line in an animal of its own, at the try given; null: nobody told. */
  line(operator: string, tries: number | null, changes: PlacedChanges = {}): this {
    const id = `line-${this.lines.length + 1}`;
    const log = new LineLog(
      this.next,
      {
        ...changes,
        patient: { name: `Animal ${this.lines.length + this.wardEntries.length}`, ...changes.patient },
        operator,
        ...(tries === null ? {} : { tries }),
      },
      id,
    );
    log.add('removed', this.next + 6 * hour, { reason: 'planned' });
    this.lines.push({ id, entries: log.entries });
    this.next += day / 8;
    return this;
  }

  /** Tries that came to no line. */
  noLine(operator: string, tries: number, species: 'dog' | 'cat'): this {
    const name = `Animal ${this.lines.length + this.wardEntries.length}`;
    this.record({
      kind: 'triesFailed',
      body: { patient: { name, species }, site: 'dorsal pedal', operator, tries },
    });
    this.next += day / 8;
    return this;
  }
}

const times = (count: number, act: () => unknown) => {
  for (let i = 0; i < count; i++) act();
};
const figures = ({ count, total, share, score }: Share = shareOf(0, 0)) => [
  count,
  total,
  ...[share, score?.lower, score?.upper].map((one) => (100 * (one ?? Number.NaN)).toFixed(1)),
];

describe('a ward whose tries are told as published', () => {
  it('prints 9 of 52, 17.3 % (9.4 to 29.7): dorsal pedal arteries of cats (J Feline Med Surg 2024, doi:10.1177/1098612X241257857)', () => {
    const ward = new MadeWard();
    const cat = { patient: { species: 'cat' as const, weightKg: 4 } };
    times(9, () => ward.line('ada', 1, cat));
    times(20, () => ward.line('ada', 2, cat));
    times(23, () => ward.noLine('ada', 1, 'cat'));
    const { firstAttempts, withTries, tries, withoutLine } = wardAudit(ward, policy, period);
    expect(figures(firstAttempts.bySpecies.cat)).toEqual([9, 52, '17.3', '9.4', '29.7']);
    expect(figures(withTries).slice(0, 2)).toEqual([29, 29]);
    expect([tries, withoutLine]).toEqual([9 + 40 + 23, 23]);
  });

  it('prints 61.4 and 88.7 % with their score intervals: tail arteries of small dogs (Vet Rec 2023;192(12):e2881)', () => {
    const ward = new MadeWard();
    times(43, () => ward.line('palpation', 1));
    times(27, () => ward.line('palpation', 3));
    times(63, () => ward.line('light', 1));
    times(8, () => ward.noLine('light', 2, 'dog'));
    const { byOperator } = wardAudit(ward, policy, period).firstAttempts;
    expect(figures(byOperator.palpation)).toEqual([43, 70, '61.4', '49.7', '72.0']);
    expect(figures(byOperator.light)).toEqual([63, 71, '88.7', '79.3', '94.2']);
  });
});

describe('wardAudit', () => {
  it('counts tries that nobody told in no share, and says of how many lines they were told', () => {
    const ward = new MadeWard().line('ada', 1).line('ada', null).line('ada', null);
    const { firstAttempts, withTries, curves } = wardAudit(ward, policy, period);
    expect(firstAttempts.all).toMatchObject({ count: 1, total: 1 });
    expect(withTries).toMatchObject({ count: 1, total: 3 });
    expect(curves).toMatchObject([{ by: 'ada', attempts: 1 }]);
  });

  it('counts a placing that goes on beyond the period’s end once, and never as one without a line where one came', () => {
    const ward = new MadeWard();
    const at = (hours: number) => period.fromMs + hours * hour;
    const failed = (name: string, hours: number, tries: number) =>
      ward.record(
        {
          kind: 'triesFailed',
          body: { patient: { name, species: 'dog' }, site: 'dorsal pedal', operator: 'ada', tries },
        },
        at(hours),
      );
    failed('Nocturne', 23, 2);
    failed('Vesper', 23, 1);
    failed('Vesper', 25, 1);
    const { entries } = new LineLog(at(26), { patient: { name: 'Nocturne' }, operator: 'ben', tries: 1 });
    ward.lines.push({ id: 'line-1', entries });
    const of = (fromHours: number, toHours: number) => {
      const { tries, withoutLine } = wardAudit(ward, policy, {
        fromMs: at(fromHours),
        toMs: at(toHours),
      });
      return [tries, withoutLine];
    };
    expect([of(0, 24), of(24, 48), of(0, 48)]).toEqual([
      [3, 1],
      [2, 0],
      [5, 1],
    ]);
  });

  it('draws curves of all tries up to the period’s end, and of none after it', () => {
    const ward = new MadeWard();
    times(24, () => ward.line('ada', 1));
    const late = { fromMs: period.fromMs + 2 * day, toMs: period.fromMs + 2 * day + 12 * hour };
    const { curves, firstAttempts, practice } = wardAudit(ward, policy, late);
    expect(firstAttempts.all.total).toBe(4);
    // 0.2933 a success: the eighth reaches −2.2402 (Kestin IG, Br J Anaesth 1995;75:805-809), the sixteenth again.
    expect(curves).toMatchObject([{ attempts: 20, failures: 0, stands: 'acceptable', decidedAt: 16 }]);
    expect(practice).toMatchObject([{ by: 'ada', lapsed: false }]);
  });

  it('goes by the policy at the period’s end: the rates of the curves, when practice lapses', () => {
    const ward = new MadeWard().line('ada', 1);
    ward.record({
      kind: 'policySet',
      body: {
        policy: {
          ...policy,
          lapsedAfterDays: 30,
          failureAcceptablePercent: 5,
          failureUnacceptablePercent: 10,
        },
      },
    });
    const { rates, practice, lapsedAfterDays, curves } = wardAudit(ward, policy, period);
    expect(rates).toMatchObject({ acceptable: 0.05, unacceptable: 0.1, alpha: 0.1, beta: 0.1 });
    expect([lapsedAfterDays, practice[0]?.lapsed]).toEqual([30, true]);
    // P = ln 2, Q = ln(0.95/0.90): s = Q/(P + Q), recomputed.
    expect(curves[0]?.limits.s).toBeCloseTo(0.0724, 4);
    const before = wardAudit(ward, policy, { fromMs: period.fromMs, toMs: period.fromMs + 2 * hour });
    expect(before.rates.acceptable).toBe(0.2);
  });

  it('takes practice for lapsed after 90 days and not at 90', () => {
    const ward = new MadeWard().line('ada', null);
    const until = (days: number, more = 0) =>
      wardAudit(ward, policy, { fromMs: period.fromMs, toMs: period.fromMs + hour + days * day + more })
        .practice;
    expect(until(90)).toEqual([{ by: 'ada', lastAttemptAt: period.fromMs + hour, lapsed: false }]);
    expect(until(90, 1)).toMatchObject([{ lapsed: true }]);
  });

  it('is of nothing in a ward without a record', () => {
    const { lines, practice, withTries } = wardAudit({ wardEntries: [], lines: [] }, policy, period);
    expect([lines.all.lines, practice, withTries.share]).toEqual([0, [], null]);
  });
});
