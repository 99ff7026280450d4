import { describe, expect, it } from 'vitest';
import type { Duty } from '../../../src/domain/duties/duty.ts';
import type { DutyKind } from '../../../src/domain/duty-kind.ts';
import { gravity, notificationOf } from '../../../src/domain/ladder/notify-late.ts';
import type { Reader } from '../../../src/domain/ladder/steps.ts';
import { stepsOfLine } from '../../../src/domain/ladder/steps-of-line.ts';
import type { WardPolicy } from '../../../src/domain/policy/ward-policy.ts';
import { clock, LineLog, type PlacedChanges, testWard, wall } from '../../support/line-builder.ts';

/** The minutes are the ward policy's defaults: common practice, no source. */

/** In order, flushed at `flushed`; its site check is due `siteSeen` and 4 h. */
const dog = (id: string, flushed: string, siteSeen = '02:30', changes: PlacedChanges = {}) =>
  new LineLog('20:00', changes, id)
    .inOrder('20:05')
    .add('siteChecked', siteSeen, { finding: {} })
    .add('flushed', flushed, {});
const cat = (id: string, placed: string | number) =>
  new LineLog(placed, { patient: { species: 'cat', weightKg: 4 }, flushMode: 'continuous' }, id)
    .inOrder(placed)
    .add('siteChecked', '02:30', { finding: {} });
const say = (
  log: LineLog,
  at: string,
  to: Reader,
  kind: DutyKind,
  dueAt: string,
  user = to === 'nurse' ? 'nina' : 'vet',
) => log.add('escalated', at, { duties: [[kind, wall(dueAt)]], to, user });
const asked = (log: LineLog, at: string, kind: DutyKind, dueAt: string) =>
  log.add('nudged', at, { duties: [[kind, wall(dueAt)]] });
const claim = (log: LineLog, at: string, kind: DutyKind, dueAt: string, until: string) =>
  log.add('claimed', at, { duties: [[kind, wall(dueAt)]], until: wall(until) }, { by: 'vet' });

/** What a reader is told: in a new message, or added to that of a time; null: nothing. */
function told(
  to: Reader,
  user: string,
  logs: LineLog[],
  now: string | number,
  changes: Partial<WardPolicy> = {},
) {
  const ward = testWard(changes);
  const lines = logs.map((log) => log.state());
  const at = typeof now === 'number' ? now : wall(now);
  const steps = lines
    .flatMap((line) => stepsOfLine(line, ward, at))
    .filter((step) => step.to === to && step.duty.kind !== 'stillNeeded');
  const found = notificationOf(to, user, steps, lines, ward.policy, at);
  if (!found) return null;
  const what = found.duties.map(({ lineId, kind }) => `${lineId} ${kind}`).join(', ');
  return found.joins === undefined ? `new: ${what}` : `to ${clock(found.joins)}: ${what}`;
}
const vet = (logs: LineLog[], now: string | number, changes?: Partial<WardPolicy>) =>
  told('clinician', 'vet', logs, now, changes);
const nina = (logs: LineLog[], now: string, changes?: Partial<WardPolicy>) =>
  told('nurse', 'nina', logs, now, changes);
/** A dog whose flush was due 03:00 and of which the clinician was told at 03:20. */
const called = () => say(dog('a', '02:00'), '03:20', 'clinician', 'flush', '03:00');

describe('how grave a duty is', () => {
  it.each<[DutyKind, number, Partial<WardPolicy>, number]>([
    ['flush', 19, {}, 1],
    ['flush', 20, {}, 2],
    ['site', 600, {}, 1],
    ['site', 0, { dangerFor: ['site'] }, 2],
    ['runOut', 29, {}, 1],
    ['runOut', 30, {}, 3],
    ['finding', 0, {}, 3],
    ['fault', 0, {}, 3],
    ['dwellLimit', 0, {}, 3],
    ['dwellLimit', -1, {}, 1],
    ['dwellWarning', 60, {}, 1],
  ])('%s, %d min late (%j): %d', (kind, lateMin, changes, expected) => {
    const duty: Duty = { lineId: 'a', kind, dueAt: 0, earliestAt: 0, why: 'interval' };
    expect(gravity(duty, testWard(changes).policy, lateMin * 60_000)).toBe(expected);
  });
});

describe('what a clinician is told', () => {
  it('is nothing before its time', () => {
    expect(vet([dog('a', '02:00')], '03:19')).toBeNull();
    expect(vet([dog('a', '02:00')], '03:20')).toBe('new: a flush');
  });

  it('joins the message that stands for 20 min, where it’s another patient’s; then a new one says all', () => {
    expect(vet([called(), dog('b', '02:19')], '03:39')).toBe('to 03:20: b flush');
    expect(vet([called(), dog('b', '02:20')], '03:40')).toBe('new: b flush, a flush');
    expect(vet([called(), dog('b', '02:30')], '03:50')).toBe('new: a flush, b flush');
  });

  it('rings again for what it was told of, with all that is open of it', () => {
    const other = say(dog('b', '02:10'), '03:30', 'clinician', 'flush', '03:10');
    expect(vet([called(), other], '03:50')).toBe('new: a flush, b flush');
  });

  it('rings for what is graver than all that stands', () => {
    const source = { kind: 'syringe', volumeMl: 22, rateMlPerH: 3 } as const;
    const pump = new LineLog('20:00', { flushMode: 'continuous', source }, 'b')
      .inOrder('20:05')
      .add('siteChecked', '02:30', { finding: {} });
    // Empty at 03:20; changed half an hour before.
    expect(vet([called(), pump], '03:20')).toBe('new: b runOut, a flush');
    expect(vet([called(), cat('b', '19:30')], '03:30')).toBe('new: b dwellLimit, a flush');
  });

  const swollen = (log: LineLog, at: string) => log.add('siteChecked', at, { finding: { swelling: true } });
  const seen = () => say(swollen(dog('a', '03:00'), '03:20'), '03:20', 'clinician', 'finding', '03:20');
  it('does not ring for a cat’s limit where a finding stands, and does for another finding', () => {
    expect(vet([seen(), cat('b', '19:30')], '03:30')).toBe('to 03:20: b dwellLimit');
    expect(vet([seen(), swollen(dog('b', '03:00'), '03:25')], '03:25')).toBe('new: b finding, a finding');
  });

  it('rings for a line that was registered after the message that stands was made', () => {
    const registered = (at: string) => {
      const log = cat('b', '19:00');
      return [{ ...log.entries[0], told: wall(at) }, ...log.entries.slice(1)];
    };
    const late = (at: string) => {
      const log = cat('b', '19:00');
      log.entries.splice(0, log.entries.length, ...(registered(at) as typeof log.entries));
      return log;
    };
    expect(vet([seen(), late('03:21')], '03:25')).toBe('new: b dwellLimit, a finding');
    expect(vet([seen(), late('03:20')], '03:25')).toBe('to 03:20: b dwellLimit');
  });

  it('takes what somebody has for no message that stands, and leaves it out', () => {
    const taken = claim(called(), '03:21', 'flush', '03:00', '04:00');
    expect(vet([taken, dog('b', '02:10')], '03:30')).toBe('new: b flush');
    const ended = claim(called(), '03:21', 'flush', '03:00', '03:30');
    expect(vet([ended, dog('b', '02:10')], '03:30')).toBe('to 03:20: b flush');
  });

  it('adds late care to a message that somebody has', () => {
    const day = (time: string) => `2026-11-24 ${time}`;
    const site = (id: string, at: string) =>
      new LineLog(day('06:50'), { flushMode: 'continuous' }, id)
        .inOrder(day('06:55'))
        .add('siteChecked', day(at), { finding: {} });
    const taken = claim(
      say(site('a', '07:00'), day('11:30'), 'clinician', 'site', day('11:00')),
      day('11:31'),
      'site',
      day('11:00'),
      day('12:30'),
    );
    expect(vet([taken, site('b', '07:20')], day('11:50'))).toBe('to 11:30: b site');
    expect(vet([taken, site('b', '07:20')], day('12:00'))).toBe('new: b site');
  });

  it('is told of what is a danger within the minute with what is now, and not of what is not due yet', () => {
    const halfMinute = 30_000;
    const soon = (ms: number) => {
      const log = new LineLog('20:00', {}, 'b').inOrder('20:05').add('siteChecked', '02:30', { finding: {} });
      return log.add('flushed', wall('02:00') + ms, {});
    };
    expect(vet([dog('a', '02:00'), soon(halfMinute)], '03:20')).toBe('new: a flush, b flush');
    expect(vet([dog('a', '02:00'), soon(2 * halfMinute)], '03:20')).toBe('new: a flush');
    expect(vet([dog('a', '02:00'), cat('b', wall('19:20') + halfMinute)], '03:20')).toBe(
      'new: a flush, b dwellWarning',
    );
  });

  it('hears with a message that is sent anyway of care that waits for the morning', () => {
    const late = (siteSeen: string) => vet([dog('a', '02:00', siteSeen)], '03:20');
    expect(late('22:50')).toBe('new: a flush, a site');
    expect(late('22:51')).toBe('new: a flush');
    const taken = claim(dog('a', '02:00', '22:50'), '02:55', 'site', '02:50', '03:40');
    expect(vet([taken], '03:20')).toBe('new: a flush');
    const ended = claim(dog('a', '02:00', '22:50'), '02:55', 'site', '02:50', '03:20');
    expect(vet([ended], '03:20')).toBe('new: a flush, a site');
    // A cat’s warning is news from when it is due; the end of a hold and a question are none.
    expect(vet([dog('a', '02:00'), cat('b', '21:20')], '03:20')).toBe('new: a flush, b dwellWarning');
    const out = dog('c', '02:10').add('removed', '02:20', { reason: 'planned' });
    expect(vet([dog('a', '02:00'), out], '03:05')).toBeNull();
    expect(vet([dog('a', '02:00'), out], '03:20')).toBe('new: a flush');
    const old = new LineLog('2026-11-23 23:00', { transducer: false }, 'd')
      .add('siteChecked', '02:30', { finding: {} })
      .add('flushed', '02:50', {})
      .add('redressed', '01:00', { finding: {} });
    expect(vet([dog('a', '02:00'), old], '03:20')).toBe('new: a flush');
  });
});

describe('what a nurse is told', () => {
  const late = () =>
    say(asked(dog('a', '02:00'), '03:00', 'flush', '03:00'), '03:10', 'nurse', 'flush', '03:00');
  const site = (id: string, siteSeen: string, askedAt: string) =>
    asked(dog(id, '03:20', siteSeen), askedAt, 'site', askedAt);

  it('is not the care that waits for the morning', () => {
    expect(nina([dog('a', '02:00', '22:50')], '03:10')).toBe('new: a site, a flush');
    expect(nina([dog('a', '02:00', '23:00')], '03:10')).toBe('new: a flush');
  });

  it('joins what stands for half an hour, and for another where they were called for a visit or a limit just now', () => {
    // Their site check of 03:15 is late at 03:30, those of 03:25 and 03:26 at 03:40 and 03:41.
    expect(nina([late(), site('b', '23:15', '03:15')], '03:30')).toBe('to 03:10: b site');
    expect(nina([late(), site('b', '23:25', '03:25')], '03:40')).toBe('new: b site, a flush');
    expect(nina([late(), site('b', '23:26', '03:27')], '03:41')).toBe('to 03:10: b site');
    expect(nina([late(), site('b', '23:26', '03:26')], '03:41')).toBe('new: b site, a flush');
  });

  it('joins it where a cat’s limit was called out within half an hour', () => {
    const limit = (at: string) => asked(cat('c', '19:00'), at, 'dwellLimit', '03:00');
    expect(nina([late(), site('b', '23:26', '03:26'), limit('03:12')], '03:41')).toBe('to 03:10: b site');
    expect(nina([late(), site('b', '23:26', '03:26'), limit('03:11')], '03:41')).toBe('new: b site, a flush');
  });

  it('rings for a flush all the same, which may clot, and after an hour', () => {
    const flush = asked(dog('b', '02:31'), '03:31', 'flush', '03:31');
    expect(nina([late(), flush], '03:41')).toBe('new: b flush, a flush');
    expect(nina([late(), site('b', '23:54', '03:56')], '04:09')).toBe('to 03:10: b site');
    expect(nina([late(), site('b', '23:55', '03:57')], '04:10')).toBe('new: b site, a flush');
  });

  it('with a patient off the ward rings each time, and takes along what can be done within 10 min', () => {
    const away = (siteSeen: string) =>
      dog('a', '02:00', siteSeen)
        .add('leftWard', '02:10', { to: 'theatre', with: 'ana' })
        .add('zeroed', '02:12', {});
    const ana = (logs: LineLog[], now: string) => told('nurse', 'ana', logs, now);
    expect(ana([away('23:10')], '03:00')).toBe('new: a flush, a site');
    expect(ana([away('23:11')], '03:00')).toBe('new: a flush');
    // Another line of theirs on the ward is not taken along.
    expect(ana([away('23:30'), dog('b', '02:55', '23:05', { nurse: 'ana' })], '03:00')).toBe('new: a flush');
    const again = say(away('23:10'), '03:00', 'nurse', 'flush', '03:00', 'ana');
    expect(ana([again], '03:10')).toBe('new: a site, a flush');
  });
});
