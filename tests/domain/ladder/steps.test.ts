import { describe, expect, it } from 'vitest';
import type { DutyKind } from '../../../src/domain/duty-kind.ts';
import { type People, stepsOf } from '../../../src/domain/ladder/steps.ts';
import type { WardPolicy } from '../../../src/domain/policy/ward-policy.ts';
import { clock, LineLog, type PlacedChanges, testWard, wall } from '../../support/line-builder.ts';

/** The minutes are the ward policy's defaults, 22:00 to 07:00 is night for a clinician: common practice, no source. */

const all: People = { nurse: 'nina', lead: 'lea', clinician: 'vet', backup: 'bea' };
const noLead: People = { ...all, lead: null };
/** Who is told of a duty next, and when. */
function steps(
  log: LineLog,
  kind: DutyKind,
  people: People = all,
  changes: Partial<WardPolicy> = {},
): string[] {
  const { policy } = testWard(changes);
  const line = log.state();
  const duty = log.duty(kind, policy, line.latestAt);
  if (!duty) throw new Error(`no ${kind}`);
  return stepsOf(line, duty, policy, people).map(({ to, at }) => `${to} ${clock(at)}`);
}

const day = (time: string) => `2026-11-24 ${time}`;
/** In order, its next flush due 03:00; its next site check due at 11:00 by day. */
const flushDue3 = (changes: PlacedChanges = {}) =>
  new LineLog('20:00', changes)
    .inOrder('20:05')
    .add('siteChecked', '01:00', { finding: {} })
    .add('flushed', '02:00', {});
const siteDue11 = (changes: PlacedChanges = {}) =>
  new LineLog(day('06:50'), changes).inOrder(day('06:55')).add('siteChecked', day('07:00'), { finding: {} });
const flush3 = { duties: [['flush', wall('03:00')] as ['flush', number]] };
const site11 = { duties: [['site', wall(day('11:00'))] as ['site', number]] };

describe('late care goes', () => {
  it.each<[string, LineLog, People, string[]]>([
    [
      'to the nurse, the lead, and after the lead’s half hour the clinician',
      siteDue11(),
      all,
      ['nurse 11:15', 'lead 11:30', 'clinician 12:00'],
    ],
    ['to nurse and clinician where nobody leads', siteDue11(), noLead, ['nurse 11:15', 'clinician 11:30']],
    [
      'to the lead at the nurse’s time where the nurse is not reached',
      siteDue11(),
      { ...all, nurse: null },
      ['lead 11:15', 'clinician 12:00'],
    ],
    [
      'to the clinician at the nurse’s time where neither is',
      siteDue11(),
      { ...noLead, nurse: null },
      ['clinician 11:15'],
    ],
    [
      'to a clinician in waking hours',
      new LineLog('20:00').inOrder('20:05').add('siteChecked', '23:00', { finding: {} }),
      noLead,
      ['nurse 03:15', 'clinician 07:00'],
    ],
    [
      'later, put off: 15 min after that ends to the nurse, and to lead and clinician at most half an hour later',
      siteDue11().add('snoozed', day('11:05'), { ...site11, until: wall(day('11:40')) }),
      all,
      ['nurse 11:55', 'lead 12:00', 'clinician 12:30'],
    ],
    [
      'as soon as somebody says that they cannot: to the lead, and half an hour later the clinician',
      siteDue11().add('noted', day('11:05'), { text: 'asleep', cannot: ['site', wall(day('11:00'))] }),
      all,
      ['lead 11:05', 'clinician 11:35'],
    ],
    [
      'and then to the lead also where no nurse is reached',
      siteDue11().add('noted', day('11:05'), { text: 'asleep', cannot: ['site', wall(day('11:00'))] }),
      { ...all, nurse: null },
      ['lead 11:05', 'clinician 11:35'],
    ],
    [
      'to nobody before a claim ends',
      siteDue11().add('claimed', day('11:01'), { ...site11, until: wall(day('12:10')) }),
      all,
      ['nurse 12:10', 'lead 12:10', 'clinician 12:10'],
    ],
    [
      'to the lead once',
      siteDue11().add('escalated', day('11:30'), { ...site11, to: 'lead', user: 'lea' }),
      all,
      ['nurse 11:15', 'clinician 12:00'],
    ],
    [
      'to whoever leads since',
      siteDue11().add('escalated', day('11:30'), { ...site11, to: 'lead', user: 'lou' }),
      all,
      ['nurse 11:15', 'lead 11:30', 'clinician 12:00'],
    ],
    [
      'to the nurse once, and again after they put it off',
      siteDue11()
        .add('escalated', day('11:15'), { ...site11, to: 'nurse', user: 'nina' })
        .add('escalated', day('11:30'), { ...site11, to: 'lead', user: 'lea' }),
      all,
      ['clinician 12:00'],
    ],
    [
      'again to a clinician half an hour after they were told, and to no backup',
      ['12:00', '12:30', '13:00', '13:30'].reduce(
        (log, time) => log.add('escalated', day(time), { ...site11, to: 'clinician', user: 'vet' }),
        siteDue11().add('escalated', day('11:30'), { ...site11, to: 'lead', user: 'lea' }),
      ),
      all,
      ['nurse 11:15', 'clinician 14:00'],
    ],
  ])('%s', (_to, log, people, expected) => {
    expect(steps(log, 'site', people)).toEqual(expected);
  });

  it('to the nurse again who put it off after they were told', () => {
    const log = siteDue11()
      .add('escalated', day('11:15'), { ...site11, to: 'nurse', user: 'nina' })
      .add('snoozed', day('11:16'), { ...site11, until: wall(day('11:46')) });
    expect(steps(log, 'site', noLead)).toEqual(['nurse 12:01', 'clinician 12:00']);
  });
});

describe('a danger goes', () => {
  const told = (...times: string[]) =>
    times.reduce(
      (log, time) => log.add('escalated', time, { ...flush3, to: 'clinician', user: 'vet' }),
      flushDue3(),
    );
  const backup = (log: LineLog, ...times: string[]) =>
    times.reduce((all_, time) => all_.add('escalated', time, { ...flush3, to: 'backup', user: 'bea' }), log);
  const own = (log: LineLog, at = '03:25') =>
    log.add('noted', at, { text: 'in surgery', cannot: ['flush', wall('03:00')] }, { by: 'vet' });

  it.each<[string, LineLog, People, string[]]>([
    [
      'to the nurse and at any hour the clinician, and to no lead',
      flushDue3(),
      all,
      ['nurse 03:10', 'clinician 03:20'],
    ],
    [
      'to the clinician as much later as “later” buys, 10 min at most',
      flushDue3().add('snoozed', '03:02', { ...flush3, until: wall('03:15') }),
      all,
      ['nurse 03:25', 'clinician 03:30'],
    ],
    [
      'no later for a “later” that ended before it was due',
      flushDue3().add('snoozed', '02:45', { ...flush3, until: wall('02:55') }),
      all,
      ['nurse 03:10', 'clinician 03:20'],
    ],
    [
      'to the clinician as soon as somebody cannot',
      flushDue3().add('noted', '03:02', { text: 'clotted', cannot: ['flush', wall('03:00')] }),
      all,
      ['clinician 03:02'],
    ],
    [
      'to nobody before a claim ends',
      flushDue3().add('claimed', '03:02', { ...flush3, until: wall('03:32') }),
      all,
      ['nurse 03:32', 'clinician 03:32'],
    ],
    ['to a clinician again half an hour later', told('03:20'), all, ['nurse 03:10', 'clinician 03:50']],
    [
      'at once to whoever is on call since',
      told('03:20'),
      { ...all, clinician: 'mika' },
      ['nurse 03:10', 'clinician 03:20'],
    ],
    [
      'after three calls to the backup too',
      told('03:20', '03:50', '04:20'),
      all,
      ['nurse 03:10', 'clinician 04:50', 'backup 04:50'],
    ],
    ['after two not yet', told('03:20', '03:50'), all, ['nurse 03:10', 'clinician 04:20']],
    [
      'to the backup again ever more rarely: after half an hour, then an hour',
      backup(told('03:20', '03:50', '04:20'), '04:50'),
      all,
      ['nurse 03:10', 'clinician 04:50', 'backup 05:20'],
    ],
    [
      'to the backup a third time an hour after the second',
      backup(told('03:20', '03:50', '04:20'), '04:50', '05:20'),
      all,
      ['nurse 03:10', 'clinician 04:50', 'backup 06:20'],
    ],
    [
      'again as soon as somebody says that they cannot',
      told('03:20').add('noted', '03:25', { text: 'clotted', cannot: ['flush', wall('03:00')] }),
      all,
      ['clinician 03:25'],
    ],
    [
      'to the backup as soon as the clinician who was called says that they cannot, and to that clinician no sooner',
      own(told('03:20')),
      all,
      ['nurse 03:10', 'clinician 03:50', 'backup 03:25'],
    ],
    [
      'to the backup again, ever more rarely, while that stands',
      backup(own(told('03:20')), '03:25', '03:55'),
      all,
      ['nurse 03:10', 'clinician 03:50', 'backup 04:55'],
    ],
    [
      'to the backup at once again where the clinician says so again',
      own(backup(own(told('03:20')), '03:25'), '03:40'),
      all,
      ['nurse 03:10', 'clinician 03:50', 'backup 03:40'],
    ],
    [
      'to nurse and clinician as usual where the clinician said so before they were called, and to the backup with them',
      own(flushDue3(), '03:05'),
      all,
      ['nurse 03:10', 'clinician 03:20', 'backup 03:20'],
    ],
    [
      'to the ward in their place, not to the backup, where whoever was called can’t be reached any more',
      told('03:20', '03:50', '04:20'),
      { ...all, clinician: null },
      ['nurse 03:10', 'clinician 04:50'],
    ],
    [
      'not to the nurse again where that is the same person',
      own(flushDue3(), '03:05'),
      { ...all, nurse: 'vet' },
      ['clinician 03:20', 'backup 03:20'],
    ],
    [
      'to whoever is called since at once',
      own(told('03:20')),
      { ...all, clinician: 'otto' },
      ['clinician 03:25'],
    ],
  ])('%s', (_to, log, people, expected) => {
    expect(steps(log, 'flush', people)).toEqual(expected);
  });

  it('20 min after the phone rang for another patient, where it was only added', () => {
    const added = flushDue3().add('escalated', '03:20', {
      ...flush3,
      to: 'clinician',
      user: 'vet',
      joins: wall('03:15'),
    });
    expect(steps(added, 'flush')).toEqual(['nurse 03:10', 'clinician 03:35']);
    // The phone had rung for this very patient: after the usual half hour.
    const own = flushDue3()
      .add('escalated', '03:15', { duties: [['site', wall('05:00')]], to: 'clinician', user: 'vet' })
      .add('escalated', '03:20', { ...flush3, to: 'clinician', user: 'vet', joins: wall('03:15') });
    expect(steps(own, 'flush')).toEqual(['nurse 03:10', 'clinician 03:45']);
  });

  it('to the ward ever more rarely while nobody is on call, up to every 4 h', () => {
    const nobody: People = { ...noLead, clinician: null, backup: null };
    const cried = (...times: string[]) =>
      steps(
        times.reduce((log, time) => log.add('escalated', time, { ...flush3, to: 'clinician' }), flushDue3()),
        'flush',
        nobody,
      ).at(-1);
    expect(cried('03:20')).toBe('clinician 03:50');
    expect(cried('03:20', '03:50')).toBe('clinician 04:20');
    expect(cried('03:20', '03:50', '04:20')).toBe('clinician 05:20');
    expect(cried('03:20', '03:50', '04:20', '05:20')).toBe('clinician 07:20');
    expect(cried('03:20', '03:50', '04:20', '05:20', '07:20')).toBe('clinician 11:20');
    expect(cried('03:20', '03:50', '04:20', '05:20', '07:20', '11:20')).toBe('clinician 15:20');
    // Somebody is on call since: they hear at once.
    const log = flushDue3().add('escalated', '03:20', { ...flush3, to: 'clinician' });
    expect(steps(log, 'flush')).toEqual(['nurse 03:10', 'clinician 03:20']);
  });

  it('from when it is due where the ward says so of that care', () => {
    expect(steps(siteDue11(), 'site', all, { dangerFor: ['site'] })).toEqual([
      'nurse 11:15',
      'clinician 11:00',
    ]);
  });

  it('of a source when it has run dry, half an hour after it was to be changed', () => {
    const source = { kind: 'syringe', volumeMl: 24, rateMlPerH: 3 } as const;
    const log = new LineLog('20:00', { flushMode: 'continuous', source }).inOrder('20:05');
    expect(steps(log, 'runOut')).toEqual(['nurse 03:45', 'clinician 04:00']);
  });
});

describe('what speaks for itself', () => {
  const cat = () =>
    new LineLog('19:30', { patient: { species: 'cat', weightKg: 4 }, flushMode: 'continuous' }).inOrder(
      '19:35',
    );
  const limit = { duties: [['dwellLimit', wall('03:30')] as ['dwellLimit', number]] };
  const warning = { duties: [['dwellWarning', wall('01:30')] as ['dwellWarning', number]] };

  it('a cat’s limit goes to ward and clinician at once, to the ward once and the clinician every half hour', () => {
    expect(steps(cat(), 'dwellLimit')).toEqual(['ward 03:30', 'clinician 03:30']);
    const told = cat()
      .add('nudged', '03:30', limit)
      .add('escalated', '03:30', { ...limit, to: 'clinician', user: 'vet' });
    expect(steps(told, 'dwellLimit')).toEqual(['clinician 04:00']);
  });

  it('a cat’s warning goes to a clinician in waking hours, once', () => {
    expect(steps(cat(), 'dwellWarning')).toEqual(['clinician 07:00']);
    const told = cat().add('escalated', '07:00', { ...warning, to: 'clinician', user: 'vet' });
    expect(
      stepsOf(
        told.state(),
        {
          ...cat().duties(testWard().policy, '01:40')[0],
          kind: 'dwellWarning',
          dueAt: wall('01:30'),
        } as never,
        testWard().policy,
        all,
      ),
    ).toEqual([]);
  });

  it('the end of a hold goes to the ward 2 min after it, and to nobody else', () => {
    const out = flushDue3().add('removed', '02:50', { reason: 'planned' });
    expect(steps(out, 'hold')).toEqual(['ward 02:57']);
    expect(steps(out.add('nudged', '02:57', { duties: [['hold', wall('02:55')]] }), 'hold')).toEqual([]);
  });

  it('a finding and a fault left go to the clinician at once', () => {
    expect(
      steps(flushDue3().add('siteChecked', '02:10', { finding: { swelling: true } }), 'finding'),
    ).toEqual(['clinician 02:10']);
    const left = flushDue3()
      .add('faultOpened', '02:10', { sign: 'flat' })
      .add('faultClosed', '02:20', { resolved: false });
    expect(steps(left, 'fault')).toEqual(['clinician 02:20']);
  });
});

// The day’s list at 09:00; nobody is asked within an hour of placing a line or deciding: common practice, no source.
describe('a question goes on the day’s list', () => {
  const needed = (placed: string) => new LineLog(placed);
  const at = (log: LineLog) => {
    const { policy } = testWard();
    const duty = log.duty('stillNeeded', policy, log.state().latestAt);
    if (!duty) throw new Error('none');
    return stepsOf(log.state(), duty, policy, all).map((step) => [step.to, step.at]);
  };
  it.each([
    ['the next day’s where it is due at 10:00 then: an hour late at most', day('10:00'), '2026-11-25 09:00'],
    ['that of the day on which a line was placed by 08:00', day('08:00'), day('09:00')],
    ['not that within an hour of its placing', day('08:01'), '2026-11-25 09:00'],
  ])('%s', (_which, placed, asked) => {
    expect(at(needed(placed))).toEqual([['clinician', wall(asked)]]);
  });

  it('of the day after one on which it was asked, or after a decision', () => {
    const due = wall('2026-11-25 10:00');
    const asked = needed(day('10:00')).add('escalated', '2026-11-25 09:00', {
      duties: [['stillNeeded', due]],
      to: 'clinician',
      user: 'vet',
    });
    expect(at(asked)).toEqual([['clinician', wall('2026-11-26 09:00')]]);
    const decided = needed(day('10:00')).add('waived', '2026-11-25 09:30', {
      duty: 'stillNeeded',
      dueAt: due,
      reason: 'septic',
      until: wall('2026-11-26 08:30'),
    });
    expect(at(decided)).toEqual([['clinician', wall('2026-11-26 09:00')]]);
  });
});

describe('of a patient whom somebody has off the ward', () => {
  const away = () => flushDue3().add('leftWard', '02:10', { to: 'theatre', with: 'ana' });
  const withAna: People = { ...all, nurse: 'ana' };
  it('they are asked when a visit would begin, and the clinician hears as ever', () => {
    expect(steps(away(), 'flush', withAna)).toEqual(['nurse 03:00', 'clinician 03:20']);
    const cannot = away().add('noted', '03:02', { text: 'draped', cannot: ['flush', wall('03:00')] });
    expect(steps(cannot, 'flush', withAna)).toEqual(['clinician 03:02']);
  });

  it('they are asked to look after a hold, not the ward', () => {
    expect(steps(away().add('removed', '02:50', { reason: 'planned' }), 'hold', withAna)).toEqual([
      'nurse 02:55',
    ]);
  });

  it('they are asked no question and told of no finding', () => {
    expect(
      steps(away().add('siteChecked', '02:20', { finding: { ooze: true } }), 'finding', withAna),
    ).toEqual(['clinician 02:20']);
    expect(steps(away(), 'stillNeeded', withAna)).toHaveLength(1);
  });
});
