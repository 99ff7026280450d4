import { describe, expect, it } from 'vitest';
import type { TimedDutyKind } from '../../../src/domain/audit/duty-outcomes.ts';
import type { Period } from '../../../src/domain/audit/line-course.ts';
import type { LinesInNumbers } from '../../../src/domain/audit/lines-in-numbers.ts';
import { type WardAudit, wardAudit } from '../../../src/domain/audit/ward-audit.ts';
import { policyAtOf } from '../../../src/domain/ward/policy-at.ts';
import { testWard } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';
import { recounted, type WardRecord } from './recount.ts';
import { wardLife } from './ward-lives.ts';

const { policy } = testWard();

/** A number as near as sums of fractions come. */
const near = (value: number) => (value === 0 ? 0 : expect.closeTo(value, 8));
const nearOr = (value: number | null) => (value === null ? null : near(value));

function numbersOf(one: LinesInNumbers) {
  const { per100LineDays, byKind, linesWithOne, removedForOne } = one.complications;
  const { steps, failures, exposure } = one.timeToFailure;
  return {
    lines: one.lines,
    placed: one.placed,
    out: one.out,
    lineDays: one.lineDays,
    sites: Object.fromEntries(Object.entries(one.sites).map(([site, share]) => [site, share.count])),
    dwell: one.dwellMs.median,
    reasons: one.reasons,
    failed: failures,
    exposureMs: exposure,
    survival: steps.at(-1)?.survival ?? 1,
    byKind,
    per100: per100LineDays?.rate ?? null,
    linesWithOne: linesWithOne.count,
    removedForOne: removedForOne.count,
  };
}

const nearNumbers = (one: ReturnType<typeof recounted>['all']) => ({
  ...one,
  lineDays: near(one.lineDays),
  survival: near(one.survival),
  per100: nearOr(one.per100),
});

function looks({ found, notChecked, notYet }: WardAudit['lines']['pulseAfterRemoval']['first']) {
  const all = { ...found, nothing: notChecked + notYet };
  return Object.fromEntries(Object.entries(all).filter(([, count]) => count > 0));
}

function figures({ lines, firstAttempts, withTries, tries, withoutLine, curves, downtime }: WardAudit) {
  const { alerts, pulseAfterRemoval, bloodTaken } = lines;
  const { messages, nudgesPerLineDay, escalationsPerLineDay, nudgesPerShift, byDuty } = alerts;
  return {
    all: numbersOf(lines.all),
    inError: lines.inError,
    bySpecies: Object.fromEntries(
      Object.entries(lines.bySpecies).map(([species, one]) => [species, numbersOf(one)]),
    ),
    alerts: {
      messages,
      nudgesPerLineDay,
      escalationsPerLineDay,
      shifts: nudgesPerShift.values,
      mostNudges: nudgesPerShift.most,
      mostBeyond: alerts.escalationsPerShift.most,
      byDuty,
    },
    pulses: {
      removed: pulseAfterRemoval.removed,
      followedUp: pulseAfterRemoval.followedUp,
      first: looks(pulseAfterRemoval.first),
      nextDay: looks(pulseAfterRemoval.nextDay),
    },
    blood: {
      samples: bloodTaken.samples,
      ml: bloodTaken.ml,
      animals: bloodTaken.animalsBeyondWarning.total,
      most: bloodTaken.mostPercentIn24h.most,
      beyond: bloodTaken.animalsBeyondWarning.count,
    },
    placings: {
      tries,
      told: withTries.count,
      firsts: firstAttempts.all.total,
      firstsGood: firstAttempts.all.count,
      byOperator: Object.fromEntries(
        Object.entries(firstAttempts.byOperator).map(([by, { total }]) => [by, total]),
      ),
      withoutLine,
      curves: Object.fromEntries(curves.map(({ by, attempts }) => [by, attempts])),
      failures: Object.fromEntries(
        curves.flatMap(({ by, failures }) => (failures > 0 ? [[by, failures]] : [])),
      ),
    },
    down: { ms: downtime.ms, missed: downtime.missed },
  };
}

/** The figures of which a longer time has as many as its parts together, by name. */
function summed({ all, alerts, pulses, blood, placings, down }: ReturnType<typeof figures>) {
  const sums: Record<string, number> = {
    placed: all.placed,
    out: all.out,
    lineDays: all.lineDays,
    removedForOne: all.removedForOne,
    linesWithOne: all.linesWithOne,
    removed: pulses.removed,
    followedUp: pulses.followedUp,
    samples: blood.samples,
    ml: blood.ml,
    tries: placings.tries,
    told: placings.told,
    firsts: placings.firsts,
    firstsGood: placings.firstsGood,
    downMs: down.ms,
    missed: down.missed,
    ...alerts.messages,
  };
  for (const [what, counts] of Object.entries({
    reason: all.reasons,
    complication: all.byKind,
    duty: alerts.byDuty,
    operator: placings.byOperator,
  }))
    for (const [name, count] of Object.entries(counts)) sums[`${what} ${name}`] = count;
  return sums;
}

function expectRecounted(logs: WardRecord, period: Period) {
  const pencil = recounted(logs, policyAtOf(logs.wardEntries, policy), period);
  expect(figures(wardAudit(logs, policy, period))).toEqual({
    ...pencil,
    all: nearNumbers(pencil.all),
    bySpecies: Object.fromEntries(
      Object.entries(pencil.bySpecies).map(([species, one]) => [species, nearNumbers(one)]),
    ),
    alerts: {
      ...pencil.alerts,
      nudgesPerLineDay: nearOr(pencil.alerts.nudgesPerLineDay),
      escalationsPerLineDay: nearOr(pencil.alerts.escalationsPerLineDay),
    },
    blood: { ...pencil.blood, ml: near(pencil.blood.ml), most: nearOr(pencil.blood.most) },
  });
}

describe('any ward’s record', () => {
  it('comes to what is counted from its raw entries, whatever the ends of the period fall on', () => {
    fc.assert(
      fc.property(wardLife, ({ logs, whole, before, after }) => {
        for (const period of [whole, before, after]) expectRecounted(logs, period);
      }),
      { numRuns: 25 },
    );
  });

  it('adds up: what two periods side by side come to is what the period of both does', () => {
    fc.assert(
      fc.property(wardLife, ({ logs, ...periods }) => {
        const sums = (period: Period) => summed(figures(wardAudit(logs, policy, period)));
        const [before, after] = [sums(periods.before), sums(periods.after)];
        const both = Object.fromEntries(
          [...new Set([...Object.keys(before), ...Object.keys(after)])].map((name) => [
            name,
            near((before[name] ?? 0) + (after[name] ?? 0)),
          ]),
        );
        expect(sums(periods.whole)).toEqual(both);
      }),
      { numRuns: 20 },
    );
  });

  // A duty still within its grace when a period ends is in neither of two; none is in both. A change of policy moves what is
  // open, and so which period it is due in.
  it('has each duty in one period at most, and in none only where it was open at the end of one', () => {
    fc.assert(
      fc.property(wardLife, ({ logs: { wardEntries, lines }, ...periods }) => {
        const logs = { wardEntries: wardEntries.filter(({ kind }) => kind !== 'policySet'), lines };
        const of = (period: Period) => wardAudit(logs, policy, period).lines.careOnTime;
        const [whole, before, after] = [of(periods.whole), of(periods.before), of(periods.after)];
        const all = (care: typeof whole, kind: TimedDutyKind) =>
          (care[kind]?.onTime.total ?? 0) + (care[kind]?.letGo ?? 0);
        const kinds = [whole, before, after].flatMap((care) => Object.keys(care) as TimedDutyKind[]);
        for (const kind of new Set(kinds)) {
          const inNeither = all(whole, kind) - all(before, kind) - all(after, kind);
          expect(inNeither).toBeGreaterThanOrEqual(0);
          expect(inNeither).toBeLessThanOrEqual(logs.lines.length);
        }
      }),
      { numRuns: 20 },
    );
  });
});
