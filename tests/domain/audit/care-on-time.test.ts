import { describe, expect, it } from 'vitest';
import { careOnTime } from '../../../src/domain/audit/care-on-time.ts';
import {
  type DutyOutcome,
  dutyOutcomes,
  type TimedDutyKind,
} from '../../../src/domain/audit/duty-outcomes.ts';
import { lineCourse } from '../../../src/domain/audit/line-course.ts';
import { lineWakeAt, planWake } from '../../../src/domain/ladder/plan-wake.ts';
import type { Entry } from '../../../src/domain/record/entry.ts';
import { visitsHeldUntil } from '../../../src/domain/rounds/visit-gap.ts';
import { type Act, careAct, placedLine, removalDraft } from '../../support/arbitraries.ts';
import { clock, LineLog, minute, testWard, wall } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';
import { entryOf } from '../entry-of-act.ts';
import { policyAt } from './audited-lines.ts';

/** How the duties of one kind ended: when due, how, and minutes late. */
function endings(log: LineLog, kind: TimedDutyKind, to: string): string[] {
  const course = lineCourse({ id: 'line-1', log: log.entries }, wall(to));
  if (!course) throw new Error('the line was not placed');
  return dutyOutcomes(course, policyAt, wall(to))
    .filter((one) => one.kind === kind)
    .map(({ dueAt, ended, lateByMs }) =>
      [clock(dueAt), ended, ...(lateByMs === null ? [] : [lateByMs / minute])].join(' '),
    );
}

// Due times are the duties' own, which tests/domain/duties holds to the ward's table; the endings here are worked by hand.
describe('hourly flushes', () => {
  it('are on time until the nurse’s ten minutes are over, and late from then on', () => {
    const log = new LineLog('20:00')
      .add('flushed', '21:09', {})
      .add('flushed', '22:19', {})
      .add('flushed', '23:00', {});
    expect(endings(log, 'flush', '23:30')).toEqual(['21:00 on time 9', '22:09 late 10', '23:19 on time -19']);
  });

  it('done before they count ask for nothing and are not counted', () => {
    const log = new LineLog('20:00').add('flushed', '20:19', {}).add('flushed', '20:40', {});
    expect(endings(log, 'flush', '21:30')).toEqual(['21:19 on time -39']);
  });

  it('left out for hours are one that was not done', () => {
    expect(endings(new LineLog('20:00'), 'flush', '02:00')).toEqual(['21:00 not done']);
    expect(endings(new LineLog('20:00'), 'flush', '21:09')).toEqual([]);
  });

  it('owed when the line comes out were not done, if their grace was over', () => {
    const log = () => new LineLog('20:00');
    expect(endings(log().add('removed', '21:10', { reason: 'planned' }), 'flush', '23:00')).toEqual([
      '21:00 not done',
    ]);
    expect(endings(log().add('removed', '21:09', { reason: 'planned' }), 'flush', '23:00')).toEqual([]);
  });

  it('are done by a sample that was flushed and not by one that was not', () => {
    const log = new LineLog('20:00')
      .add('sampled', '20:50', { volumeMl: 1, flushed: false })
      .add('sampled', '21:05', { volumeMl: 1, flushed: true });
    // The first left the line unflushed at once.
    expect(endings(log, 'flush', '21:30')).toEqual(['20:50 late 15']);
  });

  it('dropped by a pump are asked for no more: not done if their grace was over, else nothing', () => {
    const pump = { mode: 'continuous' as const };
    expect(endings(new LineLog('20:00').add('flushModeChanged', '21:10', pump), 'flush', '23:00')).toEqual([
      '21:00 not done',
    ]);
    expect(endings(new LineLog('20:00').add('flushModeChanged', '21:09', pump), 'flush', '23:00')).toEqual(
      [],
    );
  });

  it('dropped by a pump stay owed where blood stands in the line, as one flush', () => {
    const log = new LineLog('20:00')
      .add('sampled', '21:01', { volumeMl: 1, flushed: false })
      .add('flushModeChanged', '21:20', { mode: 'continuous' })
      .add('flushed', '21:30', {});
    expect(endings(log, 'flush', '23:00')).toEqual(['21:00 late 30']);
  });

  it('let go by a clinician are neither on time nor missed', () => {
    const log = new LineLog('20:00')
      .add('waived', '21:05', {
        duty: 'flush',
        dueAt: wall('21:00'),
        reason: 'in theatre',
        until: wall('23:00'),
      })
      .add('flushed', '23:05', {});
    expect(endings(log, 'flush', '23:30')).toEqual(['21:00 let go', '23:00 on time 5']);
  });

  it('are judged by when they were done, not by when they were told', () => {
    const log = new LineLog('20:00').add('flushed', '21:00', {}, { told: wall('22:30') });
    expect(endings(log, 'flush', '22:00')).toEqual(['21:00 on time 0']);
  });

  it('are judged as amended', () => {
    const log = new LineLog('20:00').add('flushed', '21:30', {});
    log.add('amended', '21:40', { target: 2, at: wall('21:05') });
    expect(endings(log, 'flush', '22:00')).toEqual(['21:00 on time 5']);
  });
});

describe('other care', () => {
  it('of a source that was not checked by the time the line was flushed by hand was not done', () => {
    const pump = () =>
      new LineLog('18:00', {
        flushMode: 'continuous',
        source: { kind: 'pressure bag', volumeMl: 500, rateMlPerH: 3 },
      });
    const byHand = { mode: 'manual' as const };
    expect(endings(pump().add('flushModeChanged', '19:15', byHand), 'source', '21:00')).toEqual([
      '19:00 not done',
    ]);
    expect(endings(pump().add('flushModeChanged', '19:14', byHand), 'source', '21:00')).toEqual([]);
  });

  it('of a source that runs out is done by a new one, a change to flushing by hand, and a volume that lasts', () => {
    // 10 mL at 3 mL/h is empty after 3 h 20 min, less half an hour.
    const pump = () =>
      new LineLog('20:00', {
        flushMode: 'continuous',
        source: { kind: 'syringe', volumeMl: 10, rateMlPerH: 3 },
      });
    const fresh = { source: { kind: 'syringe' as const, volumeMl: 50, rateMlPerH: 3 }, newSet: false };
    expect(endings(pump().add('sourceChanged', '22:40', fresh), 'runOut', '00:00')).toEqual([
      '22:50 on time -10',
    ]);
    expect(endings(pump().add('flushModeChanged', '23:10', { mode: 'manual' }), 'runOut', '00:00')).toEqual([
      '22:50 late 20',
    ]);
    expect(endings(pump().add('sourceChecked', '22:55', { volumeLeftMl: 40 }), 'runOut', '00:00')).toEqual([
      '22:50 on time 5',
    ]);
    expect(endings(pump().add('sourceChecked', '22:55', {}), 'runOut', '00:00')).toEqual(['22:50 not done']);
  });

  it('at once after placing and by the shift: zero within 15 min, then at 07:00', () => {
    const log = new LineLog('20:00')
      .add('zeroed', '20:14', {})
      .add('zeroed', '06:45', {})
      .add('zeroed', '07:30', {});
    // The last is of no duty: the shift's zero was done, and 19:00 is far.
    expect(endings(log, 'zero', '08:00')).toEqual(['20:00 on time 14', '07:00 on time -15']);
  });

  it('of the site is done by a redress only where it told what was seen', () => {
    const log = () => new LineLog('20:00');
    expect(endings(log().add('redressed', '00:10', { finding: {} }), 'site', '00:30')).toEqual([
      '00:00 on time 10',
    ]);
    expect(endings(log().add('redressed', '00:10', {}), 'site', '00:30')).toEqual(['00:00 not done']);
  });

  it('of a cat’s dwell: out before the limit kept it, out an hour after did not, a clinician’s new limit moves it', () => {
    const cat = () => new LineLog('20:00', { patient: { species: 'cat', weightKg: 4 } });
    expect(endings(cat().add('removed', '03:00', { reason: 'planned' }), 'dwellLimit', '05:00')).toEqual([
      '04:00 on time -60',
    ]);
    expect(endings(cat().add('removed', '05:00', { reason: 'planned' }), 'dwellLimit', '06:00')).toEqual([
      '04:00 late 60',
    ]);
    const waived = cat().add('waived', '03:30', {
      duty: 'dwellLimit',
      dueAt: wall('04:00'),
      reason: 'still needed',
      until: wall('06:00'),
    });
    expect(endings(waived.add('removed', '05:00', { reason: 'planned' }), 'dwellLimit', '06:00')).toEqual([
      '04:00 let go',
      '06:00 on time -60',
    ]);
  });

  it('“still needed?” is done by its answer', () => {
    const log = new LineLog('2026-11-23 20:00').add('waived', '20:10', {
      duty: 'stillNeeded',
      dueAt: wall('20:00'),
      reason: 'pressors',
      until: wall('2026-11-25 20:00'),
    });
    expect(endings(log, 'stillNeeded', '21:00')).toEqual(['20:00 on time 10']);
  });

  it('of a limb after removal: looked at after an hour, not the next day', () => {
    const log = new LineLog('20:00')
      .add('removed', '21:00', { reason: 'planned' })
      .add('pulseChecked', '22:10', { pulse: 'present' });
    expect(endings(log, 'pulse', '2026-11-26 00:00')).toEqual(['22:00 on time 10']);
    expect(endings(log, 'pulseNextDay', '2026-11-26 00:00')).toEqual(['21:00 not done']);
  });
});

describe('any care told when it is done', () => {
  const ward = testWard();
  const removalAct: fc.Arbitrary<Act> = fc.record({
    does: fc.constant('record' as const),
    draft: removalDraft,
    waitMs: fc.integer({ min: 0, max: 300 }).map((minutes) => minutes * minute),
    backMs: fc.constant(0),
  });
  const acts = fc.array(fc.oneof({ weight: 12, arbitrary: careAct }, { weight: 1, arbitrary: removalAct }), {
    minLength: 1,
    maxLength: 30,
  });
  // No nurse is reminded of a cat's dwell or asked a clinician's question; a run-out's time moves with each volume that is told.
  const isCompared = (kind: string) => !['dwellLimit', 'runOut', 'faultOpen', 'stillNeeded'].includes(kind);

  it('is late or not done just where the ladder turned to the nurse', () => {
    let late = 0;
    fc.assert(
      fc.property(placedLine('line-1'), acts, (drawn, life) => {
        const placed = new LineLog(drawn.entries[0]?.at ?? 0);
        placed.entries.splice(0, 1, ...drawn.entries);
        let now = wall('19:00');
        const toldNurse = new Set<string>();
        const valueRecordedAt: { kind: string; dueAt: number; at: number }[] = [];
        // Who was told of its kind since it fell due, for an older cause, need not be told of it again.
        const needNotBeTold = ({ kind, dueAt }: DutyOutcome) =>
          !toldNurse.has(`${kind} ${clock(dueAt)}`) &&
          valueRecordedAt.some((told) => told.kind === kind && told.dueAt < dueAt && told.at >= dueAt);
        const wake = () => {
          for (const { draft } of planWake(ward, [placed.state()], now).drafts) {
            placed.entries.push({ at: now, told: now, by: 'bot', via: 'bot', ...draft } as Entry);
            if (draft.kind !== 'escalated' || draft.body.to !== 'nurse') continue;
            for (const [kind, dueAt] of draft.body.duties)
              if (isCompared(kind)) {
                toldNurse.add(`${kind} ${clock(dueAt)}`);
                valueRecordedAt.push({ kind, dueAt, at: now });
              }
          }
        };
        const nextWake = () => {
          const line = placed.state();
          // Without the end of the ward's gap a visit that waits for it would be looked at each millisecond.
          const held = visitsHeldUntil(ward, [line], now).get(line.id);
          return Math.max(now + 1, lineWakeAt(line, ward, now, held) ?? Number.POSITIVE_INFINITY);
        };
        wake();
        for (const act of life) {
          const actAt = now + act.waitMs;
          for (let next = nextWake(); next <= actAt; next = nextWake()) {
            now = next;
            wake();
          }
          now = actAt;
          const entry = entryOf(act, placed.state(), placed.entries, ward, now);
          if (entry) placed.entries.push(entry);
          // The bot looks at a line again as soon as anything is told of it, be it in the same ms as the next.
          wake();
        }
        const course = lineCourse({ id: 'line-1', log: placed.entries }, now + 1);
        if (!course) throw new Error('the line was not placed');
        const missed = dutyOutcomes(course, () => ward.policy, now)
          .filter((outcome) => isCompared(outcome.kind) && !needNotBeTold(outcome))
          .filter(({ ended }) => ended === 'late' || ended === 'not done')
          .map(({ kind, dueAt }) => `${kind} ${clock(dueAt)}`);
        late += missed.length;
        expect(missed.toSorted()).toEqual([...toldNurse].toSorted());
      }),
      { numRuns: 80 },
    );
    expect(late).toBeGreaterThan(100);
  });
});

describe('the shares of care', () => {
  it('count what fell due within the period, let go apart', () => {
    const log = new LineLog('20:00')
      .add('flushed', '21:00', {})
      .add('flushed', '22:30', {})
      .add('waived', '23:40', {
        duty: 'flush',
        dueAt: wall('23:30'),
        reason: 'in theatre',
        until: wall('00:30'),
      });
    const course = lineCourse({ id: 'line-1', log: log.entries }, wall('01:00'));
    if (!course) throw new Error('the line was not placed');
    const outcomes = dutyOutcomes(course, policyAt, wall('01:00'));
    const { flush } = careOnTime(outcomes, { fromMs: wall('21:00'), toMs: wall('01:00') });
    expect(flush).toMatchObject({
      onTime: { count: 1, total: 3, tooFew: true },
      late: 1,
      notDone: 1,
      letGo: 1,
    });
    expect(flush?.lateByMs.median).toBe(30 * minute);
    expect(careOnTime(outcomes, { fromMs: wall('21:01'), toMs: wall('01:00') }).flush?.onTime.count).toBe(0);
    expect(careOnTime(outcomes, { fromMs: wall('05:00'), toMs: wall('06:00') })).toEqual({});
  });
});
