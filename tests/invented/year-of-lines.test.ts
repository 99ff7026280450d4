import { isDeepStrictEqual } from 'node:util';
import { describe, expect, it } from 'vitest';
import { accept } from '../../src/domain/accept/accept.ts';
import { attemptsOf } from '../../src/domain/audit/attempts-of.ts';
import { firstAttemptSuccess } from '../../src/domain/audit/first-attempt.ts';
import { learningCurves } from '../../src/domain/audit/learning-curve.ts';
import { type LinesAudit, linesAudit } from '../../src/domain/audit/lines-audit.ts';
import type { DutyKind } from '../../src/domain/duty-kind.ts';
import { foldLine, foldNext } from '../../src/domain/fold/fold-line.ts';
import { defaultPolicy, graceOf } from '../../src/domain/policy/ward-policy.ts';
import { type Entry, entrySchema } from '../../src/domain/record/entry.ts';
import type { Interval } from '../../src/domain/statistics/interval.ts';
import { survivalAt } from '../../src/domain/statistics/kaplan-meier.ts';
import { poissonRateInterval } from '../../src/domain/statistics/poisson-rate-interval.ts';
import { type WardEntryKind, wardEntrySchema } from '../../src/domain/ward/ward-entry.ts';
import { foldWard, foldWardNext, newWard, type WardState } from '../../src/domain/ward/ward-state.ts';
import { type InventedSpecies, inventedYear } from '../../src/invented/invented-year.ts';
import { yearMs, yearOfLines } from '../../src/invented/year-of-lines.ts';
import { hour, minute, wall, wardZone } from '../support/line-builder.ts';

const endMs = wall('2026-11-25 12:00');
const period = { fromMs: endMs - yearMs, toMs: endMs };
const year = yearOfLines({ seed: 'a year', lines: 600, endMs, zone: wardZone });
const ward = foldWard(year.wardId, defaultPolicy(wardZone), year.wardEntries);

/** From how many minutes before it is due a kind of duty counts at the most; 30 unless said. */
const countsFromMin: Partial<Record<DutyKind, number>> = {
  flush: 40,
  site: 60,
  redress: 120,
  set: 720,
  pulseNextDay: 360,
  runOut: 240,
};

describe('an invented year', () => {
  it('is the same to the byte from the same seed, and another from another', () => {
    const made = (seed: string) => JSON.stringify(yearOfLines({ seed, lines: 6, endMs, zone: wardZone }));
    const first = made('one');
    expect(made('one')).toBe(first);
    expect(made('two')).not.toBe(first);
  });

  it('holds 600 lines, the last still in, of every species and more than a handful of sites', () => {
    expect(year.lines).toHaveLength(600);
    const states = year.lines.map(({ id, entries }) => foldLine(id, entries));
    expect(new Set(states.map(({ patient }) => patient.species)).size).toBe(3);
    expect(new Set(states.map(({ site }) => site)).size).toBeGreaterThan(4);
    for (const { entries } of year.lines) expect(entries[0]?.at).toBeGreaterThanOrEqual(period.fromMs);
    const latest = Math.max(...year.lines.flatMap(({ entries }) => entries.map(({ told }) => told)));
    expect(latest).toBeLessThan(endMs);
  });

  it('has a ward’s year about it: handovers, cover, a month’s audit each month, tries that came to no line', () => {
    const times = (kind: WardEntryKind) => year.wardEntries.filter((entry) => entry.kind === kind).length;
    expect(times('policySet')).toBe(1);
    expect(times('onCallSet')).toBe(52);
    // Lines come and go: not every one of 730 shifts has one to hand over.
    expect(times('handedOver')).toBeGreaterThan(600);
    expect(times('handoverAccepted')).toBe(times('handedOver'));
    expect(times('handoverNudged')).toBeGreaterThan(10);
    expect(times('coverSet')).toBeGreaterThan(3);
    expect(times('audited')).toBe(12);
    const placed = new Set(attemptsOf(year.wardEntries, year.lines).map(({ placing }) => placing));
    expect([...placed].filter((placing) => placing.startsWith('no line')).length).toBeGreaterThan(2);
  });

  it('passes the schemas of entries, as a record read from outside must', () => {
    for (const { entries } of year.lines)
      for (const entry of entries) expect(entrySchema.safeParse(entry).data).toEqual(entry);
    for (const entry of year.wardEntries) expect(wardEntrySchema.safeParse(entry).data).toEqual(entry);
  });

  it('is told in order, and each thing that people told is taken again as things stood then', () => {
    let taken = 0;
    const refused: unknown[] = [];
    for (const { id, entries } of year.lines.filter((_, index) => index % 6 === 0)) {
      const [placed, ...others] = entries;
      if (!placed) throw new Error(`${id} was not placed`);
      const log = [placed];
      let state = foldLine(id, log);
      for (const entry of others) {
        expect(entry.told).toBeGreaterThanOrEqual(log.at(-1)?.told ?? 0);
        const { at, told, by, via, ...draft } = entry;
        if (via !== 'bot') {
          const asOf = wardAt(told);
          const verdict = accept(state, asOf, draft as Entry, { at, told, by, via }, log);
          if (!isDeepStrictEqual(verdict, { take: entry })) refused.push({ entry, verdict });
          taken += 1;
        }
        state = foldNext(state, entry, () => log);
        log.push(entry);
      }
    }
    expect(refused).toEqual([]);
    expect(taken).toBeGreaterThan(1000);
  });

  it('reminds as the ladder does: of what is due or nearly so, and the nurse only when the grace is over', () => {
    const late = (to: 'ward' | 'nurse') =>
      year.lines.flatMap(({ entries }) =>
        entries.flatMap((entry) => {
          const isAsked =
            to === 'ward' ? entry.kind === 'nudged' : entry.kind === 'escalated' && entry.body.to === to;
          if (!isAsked || (entry.kind !== 'nudged' && entry.kind !== 'escalated')) return [];
          // A visit takes along what counts already.
          const graceMs = (kind: DutyKind) =>
            (to === 'ward' ? -(countsFromMin[kind] ?? 30) : graceOf(ward.policy, kind).nurse) * minute;
          return entry.body.duties.map(([kind, dueAt]) => entry.at - dueAt - graceMs(kind));
        }),
      );
    for (const to of ['ward', 'nurse'] as const) {
      expect(late(to).length).toBeGreaterThan(1000);
      expect(Math.min(...late(to))).toBeGreaterThanOrEqual(0);
    }
  });
});

/** The ward after each of its entries, in the order in which they were recorded; first the ward before any. */
const wards = [newWard(year.wardId, defaultPolicy(wardZone))];
for (const entry of year.wardEntries) wards.push(foldWardNext(wards.at(-1) as WardState, entry));

/** The ward as it stood when something was recorded. */
function wardAt(told: number): WardState {
  const recorded = year.wardEntries.findLastIndex((entry) => entry.told <= told) + 1;
  return wards[recorded] as WardState;
}

describe('the audit of an invented year', () => {
  const lines = year.lines.map(({ id, entries }) => ({ id, log: entries }));
  const audit = linesAudit(lines, () => ward.policy, period);
  const attempts = attemptsOf(year.wardEntries, year.lines);
  const { byOperator } = firstAttemptSuccess(attempts, period);
  const planted = plantedAndFound(audit, byOperator);

  // One in twenty 95 % intervals misses what it is of; of fourteen, more than two miss in three years of a hundred.
  it('finds again what was put in: of fourteen figures at most two lie outside their 95 % interval', () => {
    expect(planted).toHaveLength(14);
    const outside = planted.filter(({ put, found }) => !(put >= found.lower && put <= found.upper));
    expect(outside.length, JSON.stringify(outside)).toBeLessThanOrEqual(2);
  });

  it('is sharp enough to tell: each interval is much narrower than its figure could be', () => {
    for (const { what, found, couldBe } of planted)
      expect((found.upper - found.lower) / couldBe, what).toBeLessThan(0.35);
  });

  it('tells a hand that is good from one that is not, and one that has lapsed', () => {
    const curves = new Map(learningCurves(attempts).map((curve) => [curve.by, curve]));
    expect(curves.get('U0CLINORLA')?.stands).toBe('acceptable');
    expect(curves.get('U0NURSEIVIE')?.stands).toBe('unacceptable');
    const last = Math.max(...attempts.filter(({ by }) => by === 'U0NURSERUNE').map(({ at }) => at));
    expect(last).toBeLessThan(period.fromMs + 0.41 * yearMs);
  });
});

interface Planted {
  what: string;
  put: number;
  found: Interval;
  /** How far the figure could lie from 0 at most, to judge the interval's width by. */
  couldBe: number;
}

function plantedAndFound(
  audit: LinesAudit,
  byOperator: ReturnType<typeof firstAttemptSuccess>['byOperator'],
): Planted[] {
  const bandAt = (species: InventedSpecies, hours: number): Planted => {
    const { scaleH, shape } = inventedYear.failure[species];
    const curve = audit.bySpecies[species]?.timeToFailure;
    const found = curve && survivalAt(curve, hours * hour).band;
    if (!found) throw new Error(`no band of ${species} at ${hours} h`);
    return {
      what: `${species} at ${hours} h`,
      put: Math.exp(-((hours / scaleH) ** shape)),
      found,
      couldBe: 1,
    };
  };
  const shareOf = (what: string, put: number, share: { exact: Interval | null } | undefined): Planted => {
    if (!share?.exact) throw new Error(`no share of ${what}`);
    return { what, put, found: share.exact, couldBe: 1 };
  };
  const ooze = audit.all.complications.byKind.bleeding ?? 0;
  return [
    ...[12, 24, 48].map((hours) => bandAt('dog', hours)),
    ...[4, 7].map((hours) => bandAt('cat', hours)),
    {
      what: 'ooze per 100 line-days',
      put: inventedYear.oozePer100LineDays,
      found: poissonRateInterval(ooze, audit.all.lineDays, { per: 100 }),
      couldBe: 4 * inventedYear.oozePer100LineDays,
    },
    shareOf('flushes on time', inventedYear.onTime.flush, audit.careOnTime.flush?.onTime),
    shareOf('pulse checks on time', inventedYear.onTime.pulse, audit.careOnTime.pulse?.onTime),
    shareOf('pulse absent', inventedYear.pulseAbsent, audit.pulseAfterRemoval.first.absent),
    ...inventedYear.operators
      .filter(({ learnsIn }) => learnsIn === 0)
      .map(({ user, fails }) => shareOf(`first try of ${user}`, 1 - fails, byOperator[user])),
  ];
}
