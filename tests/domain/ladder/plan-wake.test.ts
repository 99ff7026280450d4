import { describe, expect, it } from 'vitest';
import { insteadOfChannel, shutNotificationsAt } from '../../../src/domain/ladder/channel-shut.ts';
import { backupAt, calledAt, leadAt } from '../../../src/domain/ladder/people.ts';
import {
  changesCall,
  changesCover,
  changesHands,
  lineWakeAt,
  planWake,
  wardWakeAt,
} from '../../../src/domain/ladder/plan-wake.ts';
import type { WardPolicy } from '../../../src/domain/policy/ward-policy.ts';
import type { WardDraft, WardEntry } from '../../../src/domain/ward/ward-entry.ts';
import { foldWardNext, type WardState } from '../../../src/domain/ward/ward-state.ts';
import {
  clock,
  hour,
  LineLog,
  minute,
  type PlacedChanges,
  testWard,
  wall,
} from '../../support/line-builder.ts';

const entry = (at: string, draft: WardDraft): WardEntry =>
  ({ at: wall(at), told: wall(at), by: 'bot', via: 'bot', ...draft }) as WardEntry;
const ward = (changes: Partial<WardPolicy> = {}, ...log: WardEntry[]): WardState =>
  log.reduce(foldWardNext, testWard(changes));
/** In order, its next flush due 03:00, its next site check 05:00. */
const dog = (id = 'line-1', changes: PlacedChanges = {}) =>
  new LineLog('20:00', changes, id)
    .inOrder('20:05')
    .add('siteChecked', '01:00', { finding: {} })
    .add('flushed', '02:00', {});
const cat = (id = 'line-1') =>
  new LineLog('19:30', { patient: { species: 'cat', weightKg: 4 }, flushMode: 'continuous' }, id)
    .inOrder('19:35')
    .add('siteChecked', '03:00', { finding: {} });
const flush3 = { duties: [['flush', wall('03:00')] as ['flush', number]] };
const planned = (at: WardState, logs: LineLog[], now: string) =>
  planWake(
    at,
    logs.map((log) => log.state()),
    wall(now),
  );
const posts = (at: WardState, logs: LineLog[], now: string) =>
  planned(at, logs, now).posts.map((post) =>
    [
      post.to,
      post.what,
      ...('user' in post ? [post.user] : []),
      ...('duties' in post ? post.duties.map(({ lineId, kind }) => `${lineId} ${kind}`) : []),
    ].join(' '),
  );

describe('a ward woken', () => {
  it('tells nothing before its time, and writes down nothing', () => {
    const plan = planned(ward(), [dog()], '02:59');
    expect(plan).toEqual({ drafts: [], wardDrafts: [], posts: [], adds: false });
  });

  it('writes down for each line what it told, as it was due', () => {
    const { posts: told, drafts } = planned(ward(), [dog(), dog('line-2')], '03:00');
    expect(told).toMatchObject([{ to: 'ward', what: 'nudge', nurse: 'nina' }]);
    expect(drafts).toEqual([
      { lineId: 'line-1', draft: { kind: 'nudged', body: { ...flush3, nurse: 'nina' } } },
      { lineId: 'line-2', draft: { kind: 'nudged', body: { ...flush3, nurse: 'nina' } } },
    ]);
  });

  it('begins a visit for each nurse', () => {
    expect(posts(ward(), [dog(), dog('line-2', { nurse: 'teo' })], '03:00')).toEqual([
      'ward nudge line-1 flush',
      'ward nudge line-2 flush',
    ]);
  });

  it('begins none within the ward’s gap of the one before', () => {
    const visited = dog('line-2').add('nudged', '02:58', { duties: [['site', wall('05:00')]] });
    const done = visited.add('siteChecked', '02:59', { finding: {} });
    expect(posts(ward(), [dog(), done], '03:02')).toEqual([]);
    expect(posts(ward(), [dog(), done], '03:03')).toEqual(['ward nudge line-1 flush line-2 flush']);
  });

  it('says a cat’s limit by itself, or with the visit to that very line', () => {
    expect(posts(ward(), [cat()], '03:30')).toEqual([
      'ward nudge line-1 dwellLimit',
      'clinician escalation vet line-1 dwellLimit',
    ]);
    expect(planned(ward(), [cat()], '03:30').posts[0]).toMatchObject({ nurse: null });
    const moved = () => cat().add('disturbed', '03:20', { how: 'moved' });
    expect(posts(ward(), [moved()], '03:30')[0]).toBe('ward nudge line-1 zero line-1 dwellLimit');
    const other = dog('line-2').add('disturbed', '03:20', { how: 'moved' }).add('flushed', '03:25', {});
    expect(posts(ward(), [cat(), other], '03:30').slice(0, 2)).toEqual([
      'ward nudge line-2 zero',
      'ward nudge line-1 dwellLimit',
    ]);
  });

  it('tells late care to nurse and clinician each in a message of their own', () => {
    const log = dog().add('nudged', '03:00', flush3);
    expect(posts(ward(), [log], '03:10')).toEqual(['nurse escalation nina line-1 flush']);
    const plan = planned(
      ward(),
      [log.add('escalated', '03:10', { ...flush3, to: 'nurse', user: 'nina' })],
      '03:20',
    );
    expect(plan.drafts).toEqual([
      { lineId: 'line-1', draft: { kind: 'escalated', body: { ...flush3, to: 'clinician', user: 'vet' } } },
    ]);
  });

  it('adds what is late since to the message that stands, and rings nobody', () => {
    const told = (log: LineLog) =>
      log
        .add('nudged', '03:00', flush3)
        .add('escalated', '03:10', { ...flush3, to: 'nurse', user: 'nina' })
        .add('escalated', '03:20', { ...flush3, to: 'clinician', user: 'vet' });
    const other = dog('line-2')
      .add('flushed', '02:05', {})
      .add('nudged', '03:05', { duties: [['flush', wall('03:05')]] });
    other.add('escalated', '03:15', { duties: [['flush', wall('03:05')]], to: 'nurse', user: 'nina' });
    const plan = planned(ward(), [told(dog()), other], '03:25');
    expect(plan.posts).toEqual([]);
    expect(plan.adds).toBe(true);
    expect(plan.drafts).toEqual([
      {
        lineId: 'line-2',
        draft: {
          kind: 'escalated',
          body: { duties: [['flush', wall('03:05')]], to: 'clinician', user: 'vet', joins: wall('03:20') },
        },
      },
    ]);
  });

  it('cries out to ward and backup where nobody is on call', () => {
    const late = dog()
      .add('nudged', '03:00', flush3)
      .add('escalated', '03:10', { ...flush3, to: 'nurse', user: 'nina' });
    expect(posts(ward({ rota: {} }), [late], '03:20')).toEqual(['ward nobody on call line-1 flush']);
    expect(posts(ward({ rota: {}, backup: 'bea' }), [late], '03:20')).toEqual([
      'ward nobody on call line-1 flush',
      'backup escalation bea line-1 flush',
    ]);
    expect(planned(ward({ rota: {} }), [late], '03:20').drafts[0]?.draft.body).toEqual({
      ...flush3,
      to: 'clinician',
    });
  });

  it('tells backup and ward who did not answer three calls', () => {
    const late = ['03:20', '03:50', '04:20', '04:50'].reduce(
      (log, time) => log.add('escalated', time, { ...flush3, to: 'clinician', user: 'vet' }),
      dog()
        .add('nudged', '04:40', flush3)
        .add('escalated', '03:10', { ...flush3, to: 'nurse', user: 'nina' }),
    );
    expect(
      posts(ward({ backup: 'bea' }), [late], '05:20').filter(
        (post) => !post.startsWith('ward nudge') && !post.startsWith('nurse'),
      ),
    ).toEqual([
      'clinician escalation vet line-1 flush',
      'backup escalation bea line-1 flush',
      'ward nobody answered vet line-1 flush',
    ]);
    expect(posts(ward(), [late], '05:20')).toContain('ward nobody answered vet line-1 flush');
    const { drafts } = planned(ward({ backup: 'bea' }), [late], '05:20');
    expect(drafts.map(({ draft }) => draft.body)).toContainEqual({ ...flush3, to: 'backup', user: 'bea' });
  });

  it('asks a clinician the day’s questions in one list; where nobody is on call it waits for the next day’s', () => {
    const placed = (id: string) =>
      new LineLog('2026-11-24 10:00', { flushMode: 'continuous' }, id).add('capped', '2026-11-24 10:01', {
        flushed: true,
      });
    const now = '2026-11-25 09:00';
    const asked = (at: WardState) =>
      posts(at, [placed('a'), placed('b')], now).filter((post) => post.includes('stillNeeded'));
    expect(asked(ward())).toEqual(['clinician questions vet a stillNeeded b stillNeeded']);
    expect(asked(ward({ rota: {} }))).toEqual([]);
    const bodies = planned(ward({ rota: {} }), [placed('a')], now).drafts.map(({ draft }) => draft.body);
    expect(bodies).toContainEqual({ duties: [['stillNeeded', wall('2026-11-25 10:00')]], to: 'clinician' });
  });
});

describe('what the ward as a whole is owed', () => {
  const shift = wall('2026-11-25 07:00');
  const calm = () =>
    new LineLog('20:00', { flushMode: 'continuous' })
      .inOrder('06:31')
      .add('siteChecked', '06:31', { finding: {} });
  const calendar = (at: WardState, now: string, logs = [calm()]) => {
    const { posts: told, wardDrafts } = planned(at, logs, now);
    return { told: told.filter(({ what }) => what !== 'nudge' && what !== 'escalation'), wardDrafts };
  };

  it('is a handover before the shift, with how many lines, once', () => {
    expect(calendar(ward(), '06:44').told).toEqual([]);
    expect(calendar(ward(), '06:45')).toEqual({
      told: [{ to: 'ward', what: 'handover', for: shift }],
      wardDrafts: [{ kind: 'handedOver', body: { for: shift, auto: true, lines: 1 } }],
    });
    const posted = entry('06:45', { kind: 'handedOver', body: { for: shift, auto: true, lines: 1 } });
    expect(calendar(ward({}, posted), '06:46').told).toEqual([]);
    expect(calendar(ward({}, posted), '07:30')).toMatchObject({
      told: [{ to: 'ward', what: 'handover not accepted', for: shift }],
      wardDrafts: [{ kind: 'handoverNudged', body: { for: shift } }],
    });
  });

  it('is word of a cover that begins or is over', () => {
    const set = entry('01:00', {
      kind: 'coverSet',
      body: { away: 'nina', by: 'teo', from: wall('02:00'), until: wall('04:00') },
    });
    expect(calendar(ward({}, set), '01:59').told).toEqual([]);
    expect(calendar(ward({}, set), '02:00')).toMatchObject({
      told: [{ to: 'ward', what: 'cover', step: { what: 'begun', at: wall('02:00') } }],
      wardDrafts: [{ kind: 'coverTold', body: { target: 1, what: 'begun' } }],
    });
  });

  it('is word to each that nothing can be posted in the channel', () => {
    const shut = entry('02:30', { kind: 'channelShut', body: { why: 'archived' } });
    const at = ward({ lead: 'lea' }, shut);
    expect(calendar(at, '02:30')).toEqual({
      told: [{ to: 'person', what: 'channel shut', user: 'lea' }],
      wardDrafts: [{ kind: 'channelTold', body: { user: 'lea' } }],
    });
  });
});

describe('who is told that the channel is shut', () => {
  const shut = entry('02:30', { kind: 'channelShut', body: { why: 'archived' } });
  const notified = (at: WardState, logs: LineLog[], now = '02:30') =>
    shutNotificationsAt(
      at,
      logs.map((log) => log.state()),
      wall(now),
    ).map(({ user, at: when }) => `${user} ${clock(when)}`);
  const unreached = (...users: string[]) =>
    users.map((user) => entry('02:00', { kind: 'unreached', body: { user } }));

  it('is lead, or each nurse once; the clinician in waking hours, or at once where there is nobody else', () => {
    expect(notified(ward({ lead: 'lea' }, shut), [dog()])).toEqual(['lea 02:30', 'vet 07:00']);
    expect(notified(ward({}, shut), [dog(), dog('b'), dog('c', { nurse: 'teo' })])).toEqual([
      'nina 02:30',
      'teo 02:30',
      'vet 07:00',
    ]);
    expect(notified(ward({}, shut, ...unreached('nina')), [dog()])).toEqual(['vet 02:30']);
    expect(notified(ward({ rota: {} }, shut), [dog()])).toEqual(['nina 02:30']);
    expect(notified(ward({ lead: 'vet' }, shut), [dog()])).toEqual(['vet 02:30']);
    expect(notified(ward({}), [dog()])).toEqual([]);
    expect(notified(ward({}, shut), [])).toEqual([]);
  });

  it('what the channel can’t be is told to the lead alone, where one is reached', () => {
    const instead = (at: WardState) => insteadOfChannel(at, [dog().state()], wall('02:30'));
    expect(instead(ward({ lead: 'lea' }))).toEqual(['lea']);
    expect(instead(ward())).toEqual(['nina']);
    expect(instead(ward({ lead: 'lea' }, ...unreached('lea', 'nina')))).toEqual([]);
  });

  it('behind whoever is called stands the backup, else the lead, where that is another', () => {
    const now = wall('02:30');
    expect(backupAt(ward({ backup: 'bea', lead: 'lea' }), now)).toBe('bea');
    expect(backupAt(ward({ lead: 'lea' }), now)).toBe('lea');
    expect(backupAt(ward({ backup: 'vet', lead: 'lea' }), now)).toBe('lea');
    expect(backupAt(ward({ backup: 'vet' }), now)).toBeNull();
    expect(calledAt(ward({ rota: {}, backup: 'bea' }), now)).toBeNull();
    expect(leadAt(ward({ lead: 'lea', inCharge: { night: 'noa' } }), now)).toBe('noa');
  });
});

describe('a line is looked at again', () => {
  const wake = (log: LineLog, now: string, heldFor = 0) =>
    lineWakeAt(log.state(), testWard(), wall(now), heldFor);

  it('when a visit begins, or later where that is held back', () => {
    expect(wake(dog(), '02:30')).toBe(wall('03:00'));
    expect(wake(dog(), '02:30', wall('03:05'))).toBe(wall('03:05'));
  });

  it('when the next is told', () => {
    expect(wake(dog().add('nudged', '03:00', flush3), '03:01')).toBe(wall('03:10'));
  });

  it('when what is owed is over', () => {
    const out = dog()
      .add('removed', '02:30', { reason: 'transfer' })
      .add('nudged', '02:37', { duties: [['hold', wall('02:35')]] });
    expect(wake(out, '02:40')).toBe(wall('03:35'));
  });

  it('when it may be closed, a day after its removal was recorded, and then no more', () => {
    const out = dog().add('removed', '02:30', { reason: 'death' });
    expect(wake(out, '02:40')).toBe(wall('02:30') + 24 * hour);
    expect(lineWakeAt(out.state(), testWard(), wall('02:30') + 24 * hour, 0)).toBeNull();
  });

  it('when another is to have it, and never of one registered in error', () => {
    const given = dog()
      .add('assigned', '02:20', { nurse: 'teo', from: wall('2026-11-25 07:00') })
      .add('removed', '02:30', { reason: 'death' });
    expect(wake(given, '02:40')).toBe(wall('2026-11-25 07:00'));
    expect(wake(given, '2026-11-25 07:00')).toBe(wall('02:30') + 24 * hour);
    expect(wake(dog().add('amended', '02:30', { target: 1, strike: 'twice' }), '02:40')).toBeNull();
  });
});

describe('a ward is looked at again', () => {
  const wake = (at: WardState, now: string, logs: LineLog[] = []) =>
    wardWakeAt(
      at,
      logs.map((log) => log.state()),
      wall(now),
    );
  const called = entry('01:00', { kind: 'onCallSet', body: { user: 'vet' } });
  const month = wall('2026-12-01 08:00');

  it('never where nothing was ever recorded of it, else for the month’s audit at the latest', () => {
    expect(wake(ward(), '02:00')).toBeNull();
    const audit = wake(ward({}, called), '02:00');
    expect(audit && Math.abs(audit - month) / hour).toBeLessThan(12);
  });

  it('for the handover of its lines', () => {
    expect(wake(ward(), '02:00', [dog()])).toBe(wall('06:45'));
  });

  it('when a cover begins and when it ends, whatever was told', () => {
    const set = (from: string, until: string) =>
      entry('01:00', {
        kind: 'coverSet',
        body: { away: 'nina', by: 'teo', from: wall(from), until: wall(until) },
      });
    expect(wake(ward({}, set('03:00', '05:00')), '02:00')).toBe(wall('03:00'));
    expect(wake(ward({}, set('01:00', '05:00')), '03:00')).toBe(wall('05:00'));
    const told = entry('03:00', { kind: 'coverTold', body: { target: 1, what: 'begun' } });
    expect(wake(ward({}, set('03:00', '05:00'), told), '03:00')).toBe(wall('05:00'));
  });

  it('as the shift begins from which another is on call, or leads while the channel is shut', () => {
    const byRota = ward(
      { rota: { night: 'vet', day: 'mika' } },
      entry('01:00', { kind: 'wasDown', body: { from: 1, to: 2, missed: 0 } }),
    );
    expect(wake(byRota, '02:00')).toBe(wall('2026-11-25 07:00'));
    const shut = [
      entry('02:00', { kind: 'channelShut', body: { why: 'archived' } }),
      entry('02:01', { kind: 'channelTold', body: { user: 'nina' } }),
      entry('02:02', { kind: 'channelTold', body: { user: 'vet' } }),
    ];
    const posted = entry('02:03', {
      kind: 'handedOver',
      body: { for: wall('2026-11-25 07:00'), auto: true, lines: 1 },
    });
    expect(wake(ward({}, ...shut, posted), '02:10', [dog()])).toBe(wall('2026-11-25 07:00'));
    expect(wake(ward({}, ...shut), '02:10')).not.toBe(wall('2026-11-25 07:00'));
  });
});

// An hour: our own; it only brings messages up to date.
describe('time alone changes who is told, and a look within the hour says so', () => {
  const at = (changes: (now: number) => boolean, when: string) =>
    [-1, 0, hour - minute, hour].map((ms) => changes(wall(when) + ms));

  it('where a shift begins for which a line was given to somebody', () => {
    const given = dog()
      .add('assigned', '02:20', { nurse: 'teo', from: wall('2026-11-25 07:00') })
      .state();
    expect(at((now) => changesHands(given, now), '2026-11-25 07:00')).toEqual([false, true, true, false]);
    expect(changesHands(dog().state(), wall('2026-11-25 07:00'))).toBe(false);
  });

  it.each(['03:00', '05:00'])('where a cover begins or ends (%s)', (when) => {
    const set = entry('01:00', {
      kind: 'coverSet',
      body: { away: 'ina', by: 'teo', from: wall('03:00'), until: wall('05:00') },
    });
    const other = entry('01:00', {
      kind: 'coverSet',
      body: { away: 'zoe', by: 'olga', until: wall('23:00') + hour },
    });
    expect(at((now) => changesCover(ward({}, other, set), now), when)).toEqual([false, true, true, false]);
  });

  it('where a shift begins from which another is on call, or for another', () => {
    const rota = ward({ rota: { night: 'vet', day: 'mika' } });
    expect(at((now) => changesCall(rota, now), '2026-11-25 07:00')).toEqual([false, true, true, false]);
    expect(at((now) => changesCall(ward(), now), '2026-11-25 07:00')).toEqual([false, false, false, false]);
    const covered = entry('01:00', {
      kind: 'coverSet',
      body: { away: 'mika', by: 'vet', until: wall('2026-11-25 12:00') },
    });
    expect(
      at(
        (now) => changesCall(ward({ rota: { night: 'vet', day: 'mika' } }, covered), now),
        '2026-11-25 07:00',
      ),
    ).toEqual([false, true, true, false]);
  });
});
