import { describe, expect, it } from 'vitest';
import { lineCourse } from '../../../src/domain/audit/line-course.ts';
import { linesAudit } from '../../../src/domain/audit/lines-audit.ts';
import { dutiesOfLine } from '../../../src/domain/duties/duties-of-line.ts';
import type { DutyKind } from '../../../src/domain/duty-kind.ts';
import { foldLine } from '../../../src/domain/fold/fold-line.ts';
import { planWake } from '../../../src/domain/ladder/plan-wake.ts';
import type { Entry } from '../../../src/domain/record/entry.ts';
import { type Act, amendAct, answerAct, lateAct, placedLine } from '../../support/arbitraries.ts';
import { hour, LineLog, minute, type PlacedChanges, testWard, wall } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';
import { entryOf } from '../entry-of-act.ts';
import { lineOut, logged, policyAt } from './audited-lines.ts';

const night = { fromMs: wall('19:00'), toMs: wall('2026-11-25 19:00') };
const day = 24 * hour;

describe('line-days and complications', () => {
  it('count the time within the period only: 12 h of a line of 24 h, and a line still in to its end', () => {
    const audit = linesAudit(
      logged([lineOut(night.fromMs - 12 * hour, 24 * hour, 'planned'), new LineLog(night.toMs - 6 * hour)]),
      policyAt,
      night,
    );
    expect(audit.all).toMatchObject({ lines: 2, placed: 1, out: 1, lineDays: 0.75 });
  });

  it('count each kind of a line once, at its first telling, with what it came out for', () => {
    const log = lineOut(night.fromMs, 10 * hour, 'swelling', {}, (line) =>
      line
        .add('siteChecked', night.fromMs + hour, { finding: { swelling: true, pain: true } })
        .add('siteChecked', night.fromMs + 2 * hour, { finding: { swelling: true } })
        .add('pulseChecked', night.fromMs + 3 * hour, { pulse: 'absent' })
        .add('redressed', night.fromMs + 4 * hour, { finding: { cold: true, soiled: true } }),
    );
    const { complications } = linesAudit(logged([log]), policyAt, night).all;
    expect(complications.byKind).toEqual({ swelling: 1, 'pulse or limb change': 1 });
    expect(complications.per100LineDays).toMatchObject({ events: 2, rate: 480, tooFew: true });
  });

  it('belong to the period of the first telling, however often they are told again', () => {
    const log = lineOut(night.fromMs - day, 2 * day, 'planned', {}, (line) =>
      line
        .add('siteChecked', night.fromMs - hour, { finding: { swelling: true } })
        .add('siteChecked', night.fromMs + hour, { finding: { swelling: true, cold: true } }),
    );
    const byKind = (period: typeof night) =>
      linesAudit(logged([log]), policyAt, period).all.complications.byKind;
    expect(byKind({ fromMs: night.fromMs - day, toMs: night.fromMs })).toEqual({ swelling: 1 });
    expect(byKind(night)).toEqual({ 'pulse or limb change': 1 });
  });

  it('know nothing of what came after the period: a line that failed then was good to its end', () => {
    const log = lineOut(night.fromMs, day + hour, 'occluded');
    const { all } = linesAudit(logged([log]), policyAt, night);
    expect(all).toMatchObject({ out: 0, reasons: {}, timeToFailure: { failures: 0, exposure: day } });
    expect(all.complications.byKind).toEqual({});
  });

  it('of a line that came out at the instant between two periods are the second one’s, as its coming out is', () => {
    const log = lineOut(night.fromMs - 10 * hour, 10 * hour, 'bleeding');
    const of = (period: typeof night) => linesAudit(logged([log]), policyAt, period).all;
    const before = { fromMs: night.fromMs - day, toMs: night.fromMs };
    expect(of(before)).toMatchObject({ lines: 1, placed: 1, out: 0, lineDays: 10 / 24 });
    expect(of(before).complications.byKind).toEqual({});
    expect(of(night)).toMatchObject({ lines: 1, placed: 0, out: 1, lineDays: 0, reasons: { bleeding: 1 } });
    expect(of(night).complications).toMatchObject({ byKind: { bleeding: 1 }, per100LineDays: null });
  });

  it('leave out a line that was out before the period, though its limb was looked after in it', () => {
    const log = lineOut(night.fromMs - 3 * hour, 2 * hour, 'planned')
      .add('nudged', night.fromMs + minute, { duties: [['pulse', night.fromMs]] })
      .add('pulseChecked', night.fromMs + 5 * minute, { pulse: 'present' });
    const audit = linesAudit(logged([log]), policyAt, night);
    expect(audit.all).toMatchObject({ lines: 0, lineDays: 0 });
    expect(audit.bySpecies).toEqual({});
    expect(audit.pulseAfterRemoval.removed).toBe(0);
    expect(audit.careOnTime.pulse?.onTime).toMatchObject({ count: 1, total: 1 });
    // The one shift with a reminder counts, though no line was in.
    expect(audit.alerts.nudgesPerShift).toMatchObject({ values: 1, mean: 1 });
  });

  it('give the quartiles of the dwell: of 1, 2, 3 and 4 h 1.75, 2.5 and 3.25 h, the longest 4 h', () => {
    const { dwellMs } = linesAudit(
      logged([3, 1, 4, 2].map((hours) => lineOut(night.fromMs, hours * hour, 'planned'))),
      policyAt,
      night,
    ).all;
    expect(dwellMs).toMatchObject({
      values: 4,
      lowerQuartile: 1.75 * hour,
      median: 2.5 * hour,
      upperQuartile: 3.25 * hour,
      most: 4 * hour,
    });
  });

  it('leave out what was struck, and a pulse that was lost after the line was out', () => {
    const log = lineOut(night.fromMs, 10 * hour, 'planned', {}, (line) =>
      line.add('siteChecked', night.fromMs + hour, { finding: { ooze: true } }),
    )
      .add('amended', night.fromMs + 11 * hour, { target: 2, strike: 'wrong patient' })
      .add('pulseChecked', night.fromMs + 11 * hour, { pulse: 'absent' });
    const audit = linesAudit(logged([log]), policyAt, night);
    expect(audit.all.complications.byKind).toEqual({});
    expect(audit.pulseAfterRemoval.first.absent).toMatchObject({ count: 1, total: 1 });
  });

  it('of death or transfer leave no limb to follow', () => {
    const { pulseAfterRemoval } = linesAudit(
      logged([
        lineOut(night.fromMs, hour, 'death'),
        lineOut(night.fromMs, hour, 'transfer'),
        lineOut(night.fromMs, hour, 'planned'),
      ]),
      policyAt,
      night,
    );
    expect(pulseAfterRemoval).toMatchObject({
      removed: 3,
      followedUp: 1,
      nextDay: { notYet: 1, notChecked: 0 },
    });
  });

  it('know a pulse that somebody looked at though a clinician had let the look go until later', () => {
    const log = lineOut(night.fromMs, hour, 'planned')
      .add('waived', '20:50', {
        duty: 'pulse',
        dueAt: wall('21:00'),
        reason: 'asleep at last',
        until: wall('23:00'),
      })
      .add('pulseChecked', '21:10', { pulse: 'absent' });
    const { first } = linesAudit(logged([log]), policyAt, night).pulseAfterRemoval;
    expect(first).toMatchObject({ found: { absent: 1 }, notChecked: 0, absent: { count: 1, total: 1 } });
  });

  it('of a ward without lines are nothing, and say so', () => {
    const audit = linesAudit([], policyAt, night);
    expect(audit.all).toMatchObject({ lines: 0, lineDays: 0, dwellMs: { median: null, tooFew: true } });
    expect(audit.all.complications.per100LineDays).toBeNull();
    expect(audit.all.complications.linesWithOne).toMatchObject({ share: null, tooFew: true });
    expect(audit.alerts).toMatchObject({ nudgesPerLineDay: null, nudgesPerShift: { mean: null } });
    expect(audit.bloodTaken.mlPerLineDay).toBeNull();
  });

  it('refuse a period that does not end after it begins', () => {
    expect(() => linesAudit([], policyAt, { fromMs: 5, toMs: 5 })).toThrow(RangeError);
  });
});

describe('too few to mean anything', () => {
  it.each([
    [19, true],
    [20, false],
  ])('%i lines out, for a share: %s', (lines, tooFew) => {
    const { all } = linesAudit(
      logged(Array.from({ length: lines }, () => lineOut(night.fromMs, hour, 'planned'))),
      policyAt,
      night,
    );
    expect(all.complications.linesWithOne.tooFew).toBe(tooFew);
  });

  it.each([
    [29, true],
    [30, false],
  ])('%i line-days, for a rate: %s', (days, tooFew) => {
    const { all } = linesAudit(logged([lineOut(night.fromMs, days * day, 'planned')]), policyAt, {
      fromMs: night.fromMs,
      toMs: night.fromMs + 100 * day,
    });
    expect(all.complications.per100LineDays?.tooFew).toBe(tooFew);
  });

  it.each([
    [9, true],
    [10, false],
  ])('%i lines, for a median and a curve: %s', (lines, tooFew) => {
    const { all } = linesAudit(
      logged(Array.from({ length: lines }, () => lineOut(night.fromMs, hour, 'occluded'))),
      policyAt,
      night,
    );
    expect([all.dwellMs.tooFew, all.timeToFailure.tooFew]).toEqual([tooFew, tooFew]);
  });
});

describe('the burden of reminders', () => {
  const about = (kind: DutyKind, at: string): [DutyKind, number][] => [[kind, wall(at)]];

  it('counts a message about two lines once a shift, and for both lines a line-day', () => {
    const one = new LineLog('19:00').add('nudged', '20:00', { duties: about('flush', '20:00') });
    const other = new LineLog('19:00')
      .add('nudged', '20:00', { duties: [...about('flush', '20:00'), ...about('zero', '20:00')] })
      .add('nudged', '08:00', { duties: about('flush', '08:00') })
      .add('escalated', '20:10', { duties: about('flush', '20:00'), to: 'nurse', user: 'nina' })
      .add('escalated', '20:20', { duties: about('flush', '20:00'), to: 'clinician', user: 'vet' })
      .add('escalated', '20:50', { duties: about('flush', '20:00'), to: 'clinician' });
    const { alerts } = linesAudit(logged([one, other]), policyAt, night);
    expect(alerts.messages).toEqual({ nudges: 2, toNurse: 1, toClinician: 1, toNobody: 1 });
    // Two lines in for a day each: three lines named by nudges, three by escalations.
    expect([alerts.nudgesPerLineDay, alerts.escalationsPerLineDay]).toEqual([1.5, 1.5]);
    expect(alerts.nudgesPerShift).toMatchObject({ values: 2, mean: 1, most: 1 });
    expect(alerts.escalationsPerShift).toMatchObject({ values: 2, mean: 1.5, most: 3 });
    expect(alerts.byDuty).toEqual({ flush: 6, zero: 1 });
  });

  it('counts each nurse’s message of one instant, and what was added to one that stood as none', () => {
    const nudge = (nurse: string) => ({ duties: about('flush', '20:00'), nurse });
    const one = new LineLog('19:00')
      .add('nudged', '20:00', nudge('nina'))
      .add('escalated', '20:10', { duties: about('flush', '20:00'), to: 'nurse', user: 'nina' })
      .add('escalated', '20:15', {
        duties: about('zero', '20:00'),
        to: 'nurse',
        user: 'nina',
        joins: wall('20:10'),
      })
      .add('escalated', '20:20', { duties: about('zero', '20:00'), to: 'lead', user: 'lea' });
    const other = new LineLog('19:00').add('nudged', '20:00', nudge('noor'));
    const same = new LineLog('19:00').add('nudged', '20:00', nudge('noor'));
    expect(linesAudit(logged([one, other, same]), policyAt, night).alerts.messages).toEqual({
      nudges: 2,
      toNurse: 2,
      toClinician: 0,
      toNobody: 0,
    });
  });

  it('is of one message also where a line’s log has it later, behind a clock that was ahead', () => {
    const sent = wall('20:00');
    const of = (period: typeof night) =>
      linesAudit(
        logged([
          new LineLog('19:00').add('nudged', sent, { duties: about('flush', '20:00') }),
          new LineLog('19:00').add(
            'nudged',
            sent + minute,
            { duties: about('flush', '20:00') },
            { told: sent },
          ),
        ]),
        policyAt,
        period,
      ).alerts;
    expect(of(night)).toMatchObject({ messages: { nudges: 1 }, byDuty: { flush: 2 } });
    // Whichever instant between the two ends a period, it is the period in which it was sent.
    expect(of({ fromMs: night.fromMs, toMs: sent + 1 }).byDuty).toEqual({ flush: 2 });
    expect(of({ fromMs: sent + 1, toMs: night.toMs }).byDuty).toEqual({});
  });

  it('counts the same shifts for both, also where a limb alone was reminded of', () => {
    const log = lineOut(night.fromMs - 3 * hour, 2 * hour, 'planned').add('escalated', '08:00', {
      duties: about('pulse', '19:00'),
      to: 'clinician',
      user: 'vet',
    });
    const { nudgesPerShift, escalationsPerShift } = linesAudit(logged([log]), policyAt, night).alerts;
    expect([nudgesPerShift.values, nudgesPerShift.mean]).toEqual([1, 0]);
    expect([escalationsPerShift.values, escalationsPerShift.mean]).toEqual([1, 1]);
  });

  it('does not share itself out over shifts in which no line was in', () => {
    const log = lineOut(night.fromMs, hour, 'death', {}, (line) =>
      line.add('nudged', '19:30', { duties: about('zero', '19:00') }),
    );
    const week = { fromMs: night.fromMs - 3 * day, toMs: night.fromMs + 4 * day };
    expect(linesAudit(logged([log]), policyAt, week).alerts.nudgesPerShift).toMatchObject({
      values: 1,
      mean: 1,
    });
  });
});

describe('blood taken', () => {
  it('is what left the animal: samples, and discards thrown away', () => {
    // 4 kg of cat at 55 mL/kg: 220 mL; 5 % of it is 11 mL.
    const log = new LineLog('19:00', { patient: { species: 'cat', weightKg: 4 } })
      .add('sampled', '20:00', { volumeMl: 4, discardMl: 2, discardReturned: true, flushed: true })
      .add('sampled', '22:00', { volumeMl: 6, discardMl: 2, flushed: true });
    const { bloodTaken } = linesAudit(logged([log, new LineLog('19:00')]), policyAt, night);
    expect(bloodTaken).toMatchObject({
      samples: 2,
      ml: 12,
      mlPerLineDay: 6,
      animalsBeyondWarning: { count: 1, total: 1 },
    });
    expect(bloodTaken.mostPercentIn24h.most).toBeCloseTo((100 * 12) / 220, 10);
  });

  it('is an animal’s by all its lines, and what was lost at a disconnection is named', () => {
    // Circulating volume of a cat: 55 mL/kg (the ward's own figure, see blood-volume.ts); 4 kg: 220 mL.
    const cat = { patient: { species: 'cat', weightKg: 4 } } as const;
    const first = new LineLog('19:00', { ...cat, animal: 'a' }, 'line-1')
      .add('sampled', '20:00', { volumeMl: 4, flushed: true })
      .add('disturbed', '21:00', { how: 'disconnected', bloodLostMl: 5 })
      .add('disturbed', '21:30', { how: 'moved' });
    const second = new LineLog('19:30', { ...cat, animal: 'a', side: 'right' }, 'line-2').add(
      'sampled',
      '22:00',
      { volumeMl: 3, flushed: true },
    );
    const { bloodTaken } = linesAudit(logged([first, second]), policyAt, night);
    expect(bloodTaken).toMatchObject({
      samples: 2,
      spills: 1,
      spiltMl: 5,
      ml: 12,
      animalsBeyondWarning: { count: 1, total: 1 },
    });
    // Each line alone is below the ward's 5 %: 9 mL and 3 mL of 220.
    expect(bloodTaken.mostPercentIn24h).toMatchObject({ values: 1 });
    expect(bloodTaken.mostPercentIn24h.most).toBeCloseTo((100 * 12) / 220, 10);
  });
});

describe('any record', () => {
  const ward = testWard();
  const anyAct = fc.oneof(
    { weight: 6, arbitrary: lateAct },
    { weight: 1, arbitrary: amendAct },
    { weight: 1, arbitrary: answerAct },
  );
  const life = fc.tuple(placedLine('line-1'), fc.array(anyAct, { minLength: 1, maxLength: 25 }));

  function live([drawn, acts]: [LineLog, Act[]]): Entry[] {
    // What was drawn is drawn again when a failure is made smaller: it must stay as it is.
    const placed = new LineLog(drawn.entries[0]?.at ?? 0);
    placed.entries.splice(0, 1, ...drawn.entries);
    let now = wall('19:00');
    for (const act of acts) {
      now += act.waitMs;
      const entry = entryOf(act, placed.state(), placed.entries, ward, now);
      if (entry) placed.entries.push(entry);
      const state = placed.state();
      for (const { draft } of planWake(ward, [state], now).drafts)
        placed.entries.push({
          at: Math.max(now, state.latestAt),
          told: now,
          by: 'bot',
          via: 'bot',
          ...draft,
        } as Entry);
    }
    return placed.entries;
  }

  it('told late, amended and struck, adds up: two periods side by side are the period of both', () => {
    fc.assert(
      fc.property(
        fc.array(life, { minLength: 1, maxLength: 3 }),
        fc.integer({ min: 1, max: 23 }),
        (lives, hours) => {
          const lines = lives.map((one, index) => ({ id: `line-${index}`, log: live(one) }));
          const from = wall('12:00') - day;
          const splitMs = from + day + hours * hour;
          const toMs = from + 4 * day;
          const [whole, before, after] = [
            { fromMs: from, toMs },
            { fromMs: from, toMs: splitMs },
            { fromMs: splitMs, toMs },
          ].map((period) => linesAudit(lines, () => ward.policy, period));
          if (!whole || !before || !after) throw new Error('three audits were made');
          expect(before.all.lineDays + after.all.lineDays).toBeCloseTo(whole.all.lineDays, 9);
          expect(before.all.placed + after.all.placed).toBe(whole.all.placed);
          expect(before.all.out + after.all.out).toBe(whole.all.out);
          expect(before.bloodTaken.samples + after.bloodTaken.samples).toBe(whole.bloodTaken.samples);
          expect(before.bloodTaken.ml + after.bloodTaken.ml).toBeCloseTo(whole.bloodTaken.ml, 9);
          expect(before.alerts.messages.nudges + after.alerts.messages.nudges).toBe(
            whole.alerts.messages.nudges,
          );
          const events = (one: typeof whole) =>
            Object.values(one.all.complications.byKind).reduce((sum, count) => sum + count, 0);
          expect(events(before) + events(after)).toBe(events(whole));
        },
      ),
      { numRuns: 60 },
    );
  });

  // The audit folds no nudge and no escalation: were a duty's time ever to hang on one, it would be wrong, and this too.
  it('owes the same in the audit’s course of a line as on the ward', () => {
    fc.assert(
      fc.property(life, (one) => {
        const log = live(one);
        const toMs = Math.max(...log.map(({ at }) => at)) + 1;
        const course = lineCourse({ id: 'line-1', log }, toMs);
        fc.pre(foldLine('line-1', log).inError === null);
        if (!course) throw new Error('the line was placed');
        expect(dutiesOfLine(course.last, ward.policy, toMs)).toEqual(
          dutiesOfLine(foldLine('line-1', log), ward.policy, toMs),
        );
      }),
      { numRuns: 150 },
    );
  });

  it('has every duty end in one way, and none on time after its grace', () => {
    fc.assert(
      fc.property(life, (one) => {
        const audit = linesAudit([{ id: 'line-1', log: live(one) }], () => ward.policy, {
          fromMs: wall('12:00') - day,
          toMs: wall('12:00') + day,
        });
        for (const care of Object.values(audit.careOnTime)) {
          expect(care.onTime.count + care.late + care.notDone).toBe(care.onTime.total);
          expect(care.lateByMs.values).toBe(care.late);
          expect(care.lateByMs.values === 0 || (care.lateByMs.median ?? 0) >= 10 * minute).toBe(true);
        }
      }),
      { numRuns: 60 },
    );
  });
});

describe('the animals that had lines', () => {
  it('are fewer than the lines where one had two, and one more where a stay was over', () => {
    const line = (id: string, at: string, changes: PlacedChanges, outAt?: string) => {
      const log = new LineLog(`2026-11-${at}`, changes, id);
      if (outAt) log.add('removed', `2026-11-${outAt}`, { reason: 'planned' });
      return { id, log: log.entries };
    };
    const lines = [
      line('a', '01 08:00', {}, '02 08:00'),
      line('b', '03 08:00', { site: 'radial' }, '04 08:00'),
      line('c', '20 08:00', {}),
      line('d', '20 08:00', { patient: { name: 'Milo' } }),
    ];
    const { policy } = testWard();
    const animals = (from: string, to: string) =>
      linesAudit(lines, () => policy, {
        fromMs: wall(`2026-11-${from} 00:00`),
        toMs: wall(`2026-11-${to} 00:00`),
      }).animals;
    expect(animals('01', '30')).toBe(3);
    expect(animals('01', '10')).toBe(1);
    expect(animals('03', '21')).toBe(3);
  });
});
