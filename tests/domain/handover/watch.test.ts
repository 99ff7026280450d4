import { describe, expect, it } from 'vitest';
import { gravityOf, type Trouble } from '../../../src/domain/handover/trouble.ts';
import { handoverOf } from '../../support/handed-over.ts';
import { LineLog, type PlacedChanges, testWard, wall } from '../../support/line-builder.ts';

// What belongs into Watch and in which order is common practice, no source; the figures of each check are reckoned by hand.

/** The 24 November, on which the ward’s clock shows this; handed over at 18:45 to the night of 19:00. */
const day = (clock: string) => wall(`2026-11-24 ${clock}`);
const now = day('18:45');

/** A line placed at 16:00 and in good order until 18:45. */
function inOrder(changes: PlacedChanges = {}, id = 'line-1'): LineLog {
  return new LineLog(day('16:00'), changes, id)
    .inOrder(day('16:05'))
    .add('flushed', day('17:00'), {})
    .add('flushed', day('18:00'), {});
}

const watched = (...logs: LineLog[]) => handoverOf(logs, testWard(), now).watch;
const troubles = (log: LineLog): Trouble[] => watched(log)[0]?.troubles ?? [];
const kinds = (log: LineLog) => troubles(log).map(({ what }) => what);

describe('Watch holds of a line', () => {
  it('nothing where nothing went wrong', () => {
    const handed = handoverOf([inOrder()], testWard(), now);
    expect(handed.watch).toEqual([]);
    expect(handed.stable.map(({ line }) => line.id)).toEqual(['line-1']);
  });

  it('a finding of the shift, though a look found it clear since, and one that still stands', () => {
    const seen = inOrder()
      .add('siteChecked', day('16:20'), { finding: { cold: true } })
      .add('siteChecked', day('16:30'), { finding: { swelling: true } });
    expect(troubles(seen)).toEqual([
      { what: 'finding', at: day('16:20'), site: { cold: true, swelling: true }, limb: null, clearAt: null },
    ]);
    expect(troubles(seen.add('siteChecked', day('16:50'), { finding: {} }))).toMatchObject([
      { what: 'finding', at: day('16:20'), clearAt: day('16:50') },
    ]);
  });

  it('a puncture that nobody looked at once the ward was asked, 2 min after its hold of 5 min', () => {
    const out = (at: string) => kinds(inOrder().add('removed', day(at), { reason: 'planned' }));
    expect(out('18:38')).toContain('hold late');
    expect(out('18:39')).not.toContain('hold late');
  });

  it('no finding that was clear before the shift began', () => {
    const log = new LineLog(day('05:00'))
      .inOrder(day('05:05'))
      .add('siteChecked', day('06:00'), { finding: { ooze: true } })
      .add('siteChecked', day('06:30'), { finding: {} });
    expect(kinds(log)).not.toContain('finding');
    const late = new LineLog(day('05:00'))
      .add('siteChecked', day('06:00'), { finding: { ooze: true } })
      .add('siteChecked', day('07:10'), { finding: {} });
    expect(kinds(late)).toContain('finding');
  });

  it('readings beyond the ward’s limits by the worst, and whether a later one lies within', () => {
    // Default limit: mean 60 mmHg. 52 is further off than 58.
    const low = inOrder()
      .add('reading', day('16:30'), { sapMmHg: 95, dapMmHg: 45, mapMmHg: 58 })
      .add('reading', day('17:00'), { sapMmHg: 92, dapMmHg: 42, mapMmHg: 52 });
    expect(troubles(low)).toMatchObject([
      { what: 'pressure', at: day('17:00'), times: 2, beyond: [{ what: 'mean', mmHg: 52 }], within: null },
    ]);
    low.add('reading', day('17:30'), { sapMmHg: 118, dapMmHg: 64, mapMmHg: 82 });
    expect(troubles(low)).toMatchObject([{ at: day('17:00'), within: { at: day('17:30'), mapMmHg: 82 } }]);
  });

  it('readings by its targets, and targets that end in the coming shift', () => {
    const log = inOrder()
      .add(
        'targetsSet',
        day('16:10'),
        { mapMmHg: { low: 80 }, reason: 'head injury', until: wall('06:00') },
        { by: 'vet' },
      )
      .add('reading', day('17:00'), { sapMmHg: 110, dapMmHg: 60, mapMmHg: 75 });
    expect(troubles(log)).toMatchObject([
      { what: 'pressure', beyond: [{ by: 'target', limitMmHg: 80 }] },
      { what: 'targets end', targets: { until: wall('06:00') } },
    ]);
    const longer = inOrder().add(
      'targetsSet',
      day('16:10'),
      { mapMmHg: { low: 80 }, reason: 'head injury', until: wall('2026-11-25 07:00') },
      { by: 'vet' },
    );
    expect(troubles(longer)).toEqual([]);
  });

  it('a fault with how it ended: open, left, or solved', () => {
    const opened = () => inOrder().add('faultOpened', day('17:10'), { sign: 'flat' });
    expect(troubles(opened())).toMatchObject([{ what: 'fault', left: false, fault: { closedAt: null } }]);
    const left = opened().add('faultClosed', day('17:20'), { resolved: false, sign: 'flat' });
    expect(troubles(left)).toMatchObject([{ what: 'fault', left: true }, { what: 'late' }, { what: 'late' }]);
    const solved = opened()
      .add('faultClosed', day('17:20'), { resolved: true, sign: 'flat' })
      .inOrder(day('17:22'));
    expect(troubles(solved)).toMatchObject([
      {
        what: 'fault',
        left: false,
        others: 0,
        fault: { at: day('17:10'), closedAt: day('17:20'), resolved: true },
      },
    ]);
  });

  it('care past the nurse’s grace with when and what since: open, late once, late again and again', () => {
    const placed = () =>
      new LineLog(day('14:00')).inOrder(day('14:05')).add('siteChecked', day('17:50'), { finding: {} });
    // Due by the hour with 10 min grace. 15:00 and 16:40 were done 40 and 30 min late, 17:40 on time.
    const late = placed()
      .add('flushed', day('15:40'), {})
      .add('flushed', day('17:10'), {})
      .add('flushed', day('18:05'), {});
    expect(troubles(late)).toEqual([
      {
        what: 'late',
        kind: 'flush',
        dueAt: day('15:00'),
        doneAt: day('15:40'),
        isOpen: false,
        lateByMs: 40 * 60_000,
        times: 2,
        onTimeSince: 1,
        cannot: null,
      },
    ]);
    const open = placed()
      .add('flushed', day('15:00'), {})
      .add('noted', day('16:20'), {
        text: 'in theatre',
        cannot: ['flush', day('16:00')],
      });
    expect(troubles(open)).toMatchObject([
      {
        what: 'late',
        kind: 'flush',
        isOpen: true,
        dueAt: day('16:00'),
        lateByMs: 165 * 60_000,
        cannot: 'in theatre',
      },
    ]);
  });

  it('nothing within its grace, and nothing that was late in the shift before', () => {
    // The last flush was 18:00, the next is due 19:00; at 14:00 one was late, before the evening shift of 15:00 began.
    const threeShifts = testWard({
      shifts: {
        zone: 'Europe/Berlin',
        shifts: [
          { name: 'early', startsAt: '07:00' },
          { name: 'late', startsAt: '15:00' },
          { name: 'night', startsAt: '19:00' },
        ],
      },
    });
    const log = new LineLog(day('12:00'))
      .inOrder(day('12:05'))
      .add('siteChecked', day('15:55'), { finding: {} });
    for (const at of ['14:00', '14:55', '15:50', '16:45', '17:40', '18:35']) log.add('flushed', day(at), {});
    log.inOrder(day('14:50'));
    expect(handoverOf([log], threeShifts, now).watch).toEqual([]);
    expect(kinds(log)).toEqual(['late']);
  });

  it('a cat’s limit that ends in the coming shift or has passed, and none of a dog', () => {
    const cat: PlacedChanges = { patient: { species: 'cat', weightKg: 4 } };
    // 8 h from 16:00 is midnight; from 10:00 it was 18:00.
    const looked = inOrder(cat).add('siteChecked', day('17:50'), { finding: {} });
    expect(troubles(looked)).toEqual([{ what: 'dwell', limitAt: wall('00:00'), hasPassed: false }]);
    const past = new LineLog(day('10:00'), cat).inOrder(day('10:05'));
    expect(troubles(past)).toContainEqual({ what: 'dwell', limitAt: day('18:00'), hasPassed: true });
    expect(troubles(past).filter((one) => one.what === 'late' && one.kind === 'dwellLimit')).toEqual([]);
    expect(kinds(inOrder())).not.toContain('dwell');
  });

  it('a line lost, not one taken out as planned or at its limit', () => {
    const out = (reason: 'dislodged' | 'planned' | 'dwell limit') =>
      inOrder().add('removed', day('18:10'), { reason }).add('holdEnded', day('18:16'), { oozing: false });
    expect(troubles(out('dislodged'))).toEqual([{ what: 'lost', at: day('18:10'), reason: 'dislodged' }]);
    expect(troubles(out('planned'))).toEqual([]);
    expect(troubles(out('dwell limit'))).toEqual([]);
  });

  it('blood that was spilt, or more taken than the ward’s limit', () => {
    const bled = inOrder()
      .add('disturbed', day('17:30'), { how: 'disconnected', bloodLostMl: 20 })
      .add('levelled', day('17:32'), {})
      .add('zeroed', day('17:33'), {});
    expect(troubles(bled)).toMatchObject([{ what: 'blood', spiltMl: 20, isMuch: false }]);
    // A cat of 4 kg has about 220 mL in its vessels (55 mL/kg); the ward’s limit is 5 %, 11 mL.
    const drawn = inOrder({ patient: { species: 'cat', weightKg: 4 } })
      .add('siteChecked', day('17:50'), { finding: {} })
      .add('sampled', day('18:20'), { volumeMl: 12, flushed: true })
      .add('zeroed', day('18:21'), {});
    expect(troubles(drawn)).toMatchObject([{ what: 'blood', spiltMl: 0, isMuch: true }, { what: 'dwell' }]);
  });

  it('what a clinician let go and is due again in the coming shift; no answer to “still needed?”', () => {
    const waived = (until: number) =>
      inOrder().add(
        'waived',
        day('18:05'),
        { duty: 'flush', dueAt: day('19:00'), reason: 'pump tonight', until },
        { by: 'vet' },
      );
    expect(troubles(waived(wall('01:00')))).toMatchObject([
      { what: 'waiver ends', kind: 'flush', waived: { until: wall('01:00'), reason: 'pump tonight' } },
    ]);
    expect(troubles(waived(wall('2026-11-25 08:00')))).toEqual([]);
    const needed = inOrder().add(
      'waived',
      day('18:05'),
      { duty: 'stillNeeded', dueAt: day('16:00'), reason: 'still needed', until: wall('05:00') },
      { by: 'vet' },
    );
    expect(kinds(needed)).not.toContain('waiver ends');
  });

  it('its cautions, but not that it is a cat', () => {
    const cautious = inOrder({ screening: { cautions: ['walking patient', 'cat'] } });
    expect(troubles(cautious)).toEqual([{ what: 'caution', cautions: ['walking patient'] }]);
    expect(kinds(inOrder({ patient: { bleeding: true } }))).toEqual(['caution']);
  });
});

describe('the order of Watch', () => {
  const fault = { sign: 'flat', at: 1, by: 'x', entry: 1, steps: [], latest: { told: 1, entry: 1 } } as const;
  const late = { what: 'late', dueAt: 1, lateByMs: 1, times: 1, onTimeSince: 0, cannot: null } as const;
  const done = { ...late, isOpen: false, doneAt: 2 } as const;
  const open = { ...late, isOpen: true, doneAt: null } as const;
  // Written down here a second time, by hand: whoever changes the order changes it knowingly.
  const gravestFirst = [
    { what: 'finding', at: 1, site: { cold: true }, limb: null, clearAt: null },
    { what: 'pressure', at: 1, beyond: [], times: 1, within: null },
    { what: 'dwell', limitAt: 1, hasPassed: true },
    {
      what: 'fault',
      fault: { ...fault, steps: [], closedAt: null, resolved: false },
      left: false,
      others: 0,
    },
    { ...open, kind: 'flush' },
    { what: 'finding', at: 1, site: { cold: true }, limb: null, clearAt: 2 },
    { what: 'pressure', at: 1, beyond: [], times: 1, within: { sapMmHg: 120 } as never },
    { what: 'blood', spiltMl: 1, percent: 1, isMuch: false },
    { what: 'dwell', limitAt: 1, hasPassed: false },
    { what: 'lost', at: 1, reason: 'dislodged' },
    { ...open, kind: 'zero' },
    { what: 'fault', fault: { ...fault, steps: [], closedAt: 2, resolved: true }, left: false, others: 0 },
    { ...done, kind: 'flush' },
    { what: 'waiver ends', kind: 'flush', waived: {} as never },
    { what: 'targets end', targets: {} as never },
    { ...done, kind: 'zero' },
    { what: 'caution', cautions: ['bleeding disorder'] },
  ] satisfies Trouble[];

  it('puts what stands before what is over, the limb before the line, the line before a number', () => {
    const gravities = gravestFirst.map(gravityOf);
    expect(gravities).toEqual(gravities.toSorted((a, b) => a - b));
    expect(new Set(gravities).size).toBe(gravestFirst.length);
  });

  it('puts the sickest patient first, whatever the names, and of two as sick the one with more', () => {
    const named = (name: string, id: string) => inOrder({ patient: { name } }, id);
    const cold = named('Zed', 'z').add('siteChecked', day('18:20'), { finding: { cold: true } });
    const both = named('Yak', 'y')
      .add('siteChecked', day('18:20'), { finding: { cold: true } })
      .add('reading', day('18:30'), { sapMmHg: 90, dapMmHg: 40, mapMmHg: 50 });
    const bleeder = inOrder({ patient: { name: 'Ann', bleeding: true } }, 'a');
    expect(watched(bleeder, cold, both).map(({ line }) => line.patient.name)).toEqual(['Yak', 'Zed', 'Ann']);
  });
});
