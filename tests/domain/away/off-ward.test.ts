import { describe, expect, it } from 'vitest';
import { accept } from '../../../src/domain/accept/accept.ts';
import type { DutyKind } from '../../../src/domain/duty-kind.ts';
import type { EntryDraft } from '../../../src/domain/record/entry.ts';
import { visitsBetween, visitsByNurse } from '../../../src/domain/rounds/visit.ts';
import { doubtsOfReading } from '../../../src/domain/trust/doubts-of-reading.ts';
import { nurseOf, wardNurseFor } from '../../../src/domain/ward/on-call.ts';
import { clock, hour, LineLog, type PlacedChanges, testWard, wall } from '../../support/line-builder.ts';
import { WardNight } from '../ladder/ward-night.ts';

// Who is asked for what while a patient is in theatre is ours: common practice, no source.

const ward = testWard();
const { policy } = ward;
const cat: PlacedChanges = { patient: { species: 'cat', weightKg: 4 } };

/** In order and flushed at 02:00, redressed 01:50; its next flush is due 03:00. */
const atTwo = (changes: PlacedChanges = {}) =>
  new LineLog('20:00', changes)
    .inOrder('20:05')
    .add('redressed', '01:50', { finding: {} })
    .add('levelled', '01:55', {})
    .inOrder('01:55')
    .add('flushed', '02:00', {});
const toTheatre = (changes: PlacedChanges = {}, person: { with?: string } = { with: 'ana' }) =>
  atTwo(changes)
    .add('capped', '02:05', { flushed: true })
    .add('leftWard', '02:06', { to: 'theatre', ...person });

function told(line: LineLog, until: string): string[] {
  const run = new WardNight(ward, [line]);
  run.runOnTime(wall('02:10'), wall(until));
  return run.told.map(({ at, reader, user, duty }) => [clock(at), reader, user ?? '', duty.kind].join(' '));
}

describe('a patient in theatre with somebody named', () => {
  it('is asked of that person when the flush is due, of the clinician at the grace, and of the ward never', () => {
    expect(told(toTheatre(), '03:30')).toEqual(['03:05 nurse ana flush', '03:25 clinician vet flush']);
  });

  it('stays with the ward where nobody is named', () => {
    expect(told(toTheatre({}, {}), '03:30')).toEqual([
      '03:05 ward  flush',
      '03:15 nurse nina flush',
      '03:25 clinician vet flush',
    ]);
  });

  it('has a cat’s limit told to the ward, to the clinician and to that person', () => {
    const line = new LineLog('20:00', cat)
      .inOrder('20:05')
      .add('capped', '02:05', { flushed: true })
      .add('leftWard', '02:06', { to: 'theatre', with: 'ana' });
    const limit = told(line, '04:05').filter((one) => one.includes('dwellLimit'));
    expect(limit.toSorted()).toEqual([
      '04:00 clinician vet dwellLimit',
      '04:00 nurse ana dwellLimit',
      '04:00 ward  dwellLimit',
    ]);
  });

  it('is told at once of what was late already', () => {
    const line = atTwo().add('leftWard', '03:12', { to: 'theatre', with: 'ana' });
    const run = new WardNight(ward, [line]);
    run.wake(wall('03:12'));
    expect(run.told.find(({ duty, reader }) => duty.kind === 'flush' && reader === 'nurse')?.user).toBe(
      'ana',
    );
  });

  it('follows whoever takes over there, and whoever stands in for them', () => {
    const log = toTheatre();
    expect(nurseOf(ward, log.state(), wall('02:10'))).toBe('ana');
    log.add('arrived', '02:20', { with: 'ben' });
    expect(nurseOf(ward, log.state(), wall('02:21'))).toBe('ben');
    log.add('leftWard', '02:40', { to: 'imaging' });
    expect(log.state().away).toMatchObject({ to: 'imaging', with: 'ben', from: wall('02:06') });
    expect(wardNurseFor(ward, log.state(), wall('02:41')).user).toBe('nina');
  });

  it('goes back to the ward’s nurse, or to whoever took it back', () => {
    const back = toTheatre().add('returned', '04:00', {});
    expect(nurseOf(ward, back.state(), wall('04:01'))).toBe('nina');
    const taken = toTheatre().add('returned', '04:00', { with: 'teo' });
    expect(nurseOf(ward, taken.state(), wall('04:01'))).toBe('teo');
    const flushes = told(back.add('flushed', '04:00', {}), '05:14').filter((one) => one.endsWith('flush'));
    expect(flushes.slice(-2)).toEqual(['05:00 ward  flush', '05:10 nurse nina flush']);
  });

  it('is in no round of the ward, and in them again once it is back', () => {
    const away = toTheatre().state();
    const visits = (lines: Parameters<typeof visitsBetween>[0]) =>
      visitsBetween(lines, policy, wall('02:10'), wall('06:00')).length;
    expect(visits([away])).toBe(0);
    expect(visitsByNurse(ward, [away], wall('02:10'), wall('06:00'), wall('02:10'))).toEqual([]);
    expect(visits([toTheatre().add('returned', '02:09', {}).state()])).toBeGreaterThan(0);
    expect(visits([toTheatre({}, {}).state()])).toBeGreaterThan(0);
  });
});

describe('what falls due while the patient is away', () => {
  const due = (log: LineLog, kind: DutyKind, now: string) => {
    const duty = log.duty(kind, policy, now);
    return duty && clock(duty.dueAt);
  };
  /** A redress is due 05:00, twelve hours after 17:00. */
  const away = () =>
    new LineLog('17:00')
      .inOrder('19:05')
      .add('siteChecked', '03:00', { finding: {} })
      .add('flushed', '04:20', {})
      .add('leftWard', '04:30', { to: 'theatre', with: 'ana' });

  it('waits until it is back: a redress, a test, a check of the source, a set, a question whether it is needed', () => {
    expect(due(away().add('returned', '06:10', {}), 'redress', '06:11')).toBe('06:10');
    const shift = new LineLog('17:00', { flushMode: 'continuous' })
      .inOrder('19:05')
      .add('sourceChecked', '19:05', {})
      .add('leftWard', '06:30', { to: 'theatre', with: 'ana' })
      .add('returned', '08:00', {});
    expect(due(shift, 'test', '08:01')).toBe('08:00');
    expect(due(shift, 'source', '08:01')).toBe('08:00');
  });

  it('does not wait for one whose return nobody told: no longer than the ward’s hours', () => {
    expect(due(away(), 'redress', '05:10')).toBe('08:30');
  });

  it('does not wait: flush and site check', () => {
    expect(due(away(), 'flush', '05:10')).toBe('05:20');
    expect(due(away(), 'site', '05:10')).toBe('07:00');
  });

  it('was late before the patient left and is late still', () => {
    const log = away().add('amended', '04:40', { target: 1, at: wall('16:00') });
    expect(due(log, 'redress', '05:10')).toBe('04:00');
  });
});

// That a zero drifts and must be checked before treating on a number: Gordon VL et al., Med Instrum 1987;21(2):87-91.
describe('a number after a move', () => {
  const pressures = { sapMmHg: 118, dapMmHg: 64, heartRatePerMin: 120 };
  const moved = () => atTwo().add('leftWard', '02:06', { to: 'theatre', with: 'ana' });
  const doubts = (log: LineLog) => doubtsOfReading(log.state(), policy);

  it('is doubted at each place until the line is zeroed there', () => {
    expect(doubts(moved().add('reading', '02:20', pressures))).toEqual([
      { doubt: 'not zeroed since', why: 'left' },
    ]);
    const zeroed = () =>
      moved().add('arrived', '02:15', {}).add('levelled', '02:20', {}).add('zeroed', '02:20', {});
    expect(doubts(zeroed().add('reading', '02:30', pressures))).toEqual([]);
    const back = () => zeroed().add('returned', '04:00', {});
    expect(doubts(back().add('reading', '04:02', pressures))).toEqual([
      { doubt: 'not zeroed since', why: 'returned' },
    ]);
  });

  it('is doubted where it was zeroed and not levelled: the height is another', () => {
    const zeroedOnly = moved().add('returned', '04:00', {}).add('zeroed', '04:03', {});
    expect(doubts(zeroedOnly.add('reading', '04:05', pressures))).toEqual([
      { doubt: 'not levelled since', why: 'returned' },
    ]);
    zeroedOnly.add('levelled', '04:06', {}).add('reading', '04:10', pressures);
    expect(doubts(zeroedOnly)).toEqual([]);
  });

  it('is asked for by the step it is at: the zero is due from the arrival, then from the return', () => {
    const zero = (log: LineLog, now: string) => clock(log.duty('zero', policy, now)?.dueAt ?? 0);
    const log = moved();
    expect(zero(log, '02:30')).toBe('02:06');
    expect(zero(log.add('arrived', '02:15', {}), '02:30')).toBe('02:15');
    expect(zero(log.add('returned', '04:00', {}), '04:01')).toBe('04:00');
  });

  it('owes no zero while the line is off its transducer, nor on return before it is joined', () => {
    const log = toTheatre().add('returned', '04:00', {});
    expect(log.duty('zero', policy, '04:01')).toBeUndefined();
    log.add('transducerJoined', '04:05', { newSet: false, flushMode: 'manual' });
    expect(clock(log.duty('zero', policy, '04:06')?.dueAt ?? 0)).toBe('04:05');
  });
});

describe('a step of a move', () => {
  const verdict = (log: LineLog, draft: EntryDraft, at = '03:00') =>
    accept(
      log.state(),
      ward,
      draft,
      { at: wall(at), told: wall(at), by: 'nina', via: 'button' },
      log.entries,
    );

  it('is refused of a patient that is on the ward', () => {
    expect(verdict(atTwo(), { kind: 'returned', body: {} })).toEqual({ refuse: { because: 'not away' } });
    expect(verdict(atTwo(), { kind: 'arrived', body: {} })).toEqual({ refuse: { because: 'not away' } });
  });

  it('told again is the one that stands; with another person it is news', () => {
    const same: EntryDraft = { kind: 'leftWard', body: { to: 'theatre', with: 'ana' } };
    expect(verdict(toTheatre(), same)).toMatchObject({ already: { at: wall('02:06') } });
    expect(verdict(toTheatre(), { kind: 'leftWard', body: { to: 'theatre', with: 'ben' } })).toHaveProperty(
      'take',
    );
    const back = toTheatre().add('returned', '02:59', {});
    expect(verdict(back, { kind: 'returned', body: {} })).toHaveProperty('already');
  });

  it('ends also where the line came out there', () => {
    const out = toTheatre().add('removed', '02:50', { reason: 'planned' });
    expect(verdict(out, { kind: 'returned', body: {} })).toHaveProperty('take');
    expect(verdict(out, { kind: 'leftWard', body: { to: 'imaging' } })).toHaveProperty('refuse');
  });

  it('keeps the hold and the pulse check with whoever has the patient', () => {
    const out = toTheatre().add('removed', '02:50', { reason: 'planned' });
    expect(told(out, '04:00').filter((one) => /hold|pulse/.test(one))).toEqual([
      '02:55 nurse ana hold',
      '03:50 nurse ana pulse',
      // The newer message takes the older one’s place, with all that is open there.
      '03:50 nurse ana hold',
    ]);
    expect(out.duty('pulse', policy, '03:00')?.dueAt).toBe(wall('02:50') + hour);
  });
});
