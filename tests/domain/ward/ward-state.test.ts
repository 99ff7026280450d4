import { describe, expect, it } from 'vitest';
import { longestCoverMs, mostCovers } from '../../../src/domain/ward/cover.ts';
import { handedOverShift, soonMs } from '../../../src/domain/ward/handed-over-shift.ts';
import {
  isUnreached,
  unreachedAfter,
  unreachedMs,
  wasUnreached,
} from '../../../src/domain/ward/unreached.ts';
import type { WardDraft, WardEntry } from '../../../src/domain/ward/ward-entry.ts';
import { foldWard, lastAccepted, newWard, type WardState } from '../../../src/domain/ward/ward-state.ts';
import { hour, minute, testWard, wall } from '../../support/line-builder.ts';

const { policy } = testWard();
const at = (time: string, draft: WardDraft, by = 'nina', told = time): WardEntry =>
  ({ at: wall(time), told: wall(told), by, via: 'form', ...draft }) as WardEntry;
const fold = (...log: WardEntry[]): WardState => foldWard('T0TEST.C0WARD', policy, log);
const shift = wall('2026-11-25 07:00');

describe('a ward of which nothing was recorded', () => {
  it('knows nothing', () => {
    expect(newWard('T.C', policy)).toEqual({
      id: 'T.C',
      version: 0,
      policy,
      policyVersion: 0,
      policySet: null,
      onCallSet: null,
      covers: [],
      handovers: [],
      failedTries: [],
      lastSet: { onCall: null, covers: null, policy: null },
      begunAt: null,
      auditedTo: null,
      channelShut: null,
      channelOpenedAt: null,
      unreached: [],
      commandsLost: null,
    });
  });

  it('began with the first thing that happened, in whatever order it was recorded', () => {
    const called = (time: string, told = time) =>
      at(time, { kind: 'onCallSet', body: { user: 'vet' } }, 'nina', told);
    expect(fold(called('21:00')).begunAt).toBe(wall('21:00'));
    expect(fold(called('21:00'), called('20:00', '21:10')).begunAt).toBe(wall('20:00'));
    expect(fold(called('21:00'), called('22:00')).begunAt).toBe(wall('21:00'));
  });
});

describe('who and what was set last', () => {
  it('is known, with what stood before', () => {
    const ward = fold(
      at('20:00', { kind: 'policySet', body: { policy: { ...policy, flushEveryMin: 45 } } }, 'lea'),
      at('20:10', { kind: 'onCallSet', body: { user: 'mika' } }),
    );
    expect(ward).toMatchObject({
      version: 2,
      policyVersion: 1,
      policySet: { at: wall('20:00'), by: 'lea' },
      onCallSet: { user: 'mika', at: wall('20:10'), by: 'nina' },
    });
    expect(ward.lastSet.onCall).toEqual({ number: 2, by: 'nina', told: wall('20:10'), before: null });
    expect(ward.lastSet.policy).toMatchObject({ number: 1, by: 'lea', told: wall('20:00') });
  });
});

describe('a cover', () => {
  const set = (time: string, away: string, by: string, until: string, from?: string) =>
    at(time, {
      kind: 'coverSet',
      body: { away, by, until: wall(until), ...(from === undefined ? {} : { from: wall(from) }) },
    });

  it('may end 31 days ahead, and a ward keeps 40', () => {
    expect(longestCoverMs / hour).toBe(31 * 24);
    expect(mostCovers).toBe(40);
    const many = Array.from({ length: 41 }, (_, n) => set('20:00', `n${n}`, 'olga', '23:00'));
    expect(fold(...many).covers.map(({ away }) => away)).toEqual(many.slice(1).map((_, n) => `n${n + 1}`));
  });

  it('begins when it is recorded, or later; people hear that one begins that was recorded ahead', () => {
    const [now, ahead] = fold(
      set('20:00', 'ina', 'teo', '23:00'),
      set('20:00', 'zoe', 'olga', '23:00', '21:00'),
    ).covers;
    expect(now).toMatchObject({
      number: 1,
      from: wall('20:00'),
      startNotified: true,
      endNotified: false,
      setBy: 'nina',
    });
    expect(ahead).toMatchObject({ number: 2, from: wall('21:00'), startNotified: false, endNotified: false });
    // Nobody covers for the time before it was said.
    expect(fold(set('20:00', 'ina', 'teo', '23:00', '19:00')).covers[0]).toMatchObject({
      from: wall('20:00'),
    });
  });

  it('is told to begin and to be over each by its number', () => {
    const ward = fold(
      set('20:00', 'ina', 'teo', '23:00', '21:00'),
      set('20:00', 'zoe', 'olga', '23:00', '21:00'),
      at('21:00', { kind: 'coverTold', body: { target: 1, what: 'begun' } }),
      at('23:00', { kind: 'coverTold', body: { target: 2, what: 'over' } }),
    );
    expect(ward.covers.map(({ startNotified, endNotified }) => [startNotified, endNotified])).toEqual([
      [true, false],
      [false, true],
    ]);
  });

  it('taken back, leaves of the others what they were: told or not told', () => {
    const ward = fold(
      set('20:00', 'ina', 'teo', '23:00', '21:00'),
      set('20:00', 'zoe', 'olga', '22:00'),
      set('21:30', 'bo', 'olga', '23:00'),
      at('22:00', { kind: 'coverTold', body: { target: 2, what: 'over' } }),
      at('22:01', { kind: 'takenBack', body: { target: 3 } }),
    );
    expect(
      ward.covers.map(({ number, startNotified, endNotified }) => [number, startNotified, endNotified]),
    ).toEqual([
      [1, false, false],
      [2, true, true],
    ]);
    expect(ward.lastSet.covers).toBeNull();
  });
});

describe('a handover', () => {
  const posted = (time: string, to: number, auto = true) =>
    at(time, { kind: 'handedOver', body: { for: to, auto, lines: 3 } }, 'bot');
  const accepted = (time: string, to: number, by = 'noa', readBack?: string[]) =>
    at(time, { kind: 'handoverAccepted', body: { for: to, ...(readBack ? { readBack } : {}) } }, by);

  it('is accepted once, with what was read back, and nudged, each for its shift', () => {
    const other = wall('2026-11-25 19:00');
    const ward = fold(
      posted('06:45', shift),
      posted('06:46', other),
      accepted('07:05', shift, 'noa', ['line-1']),
      accepted('07:06', shift, 'teo'),
      at('07:30', { kind: 'handoverNudged', body: { for: other } }, 'bot'),
    );
    expect(ward.handovers).toEqual([
      {
        for: shift,
        auto: true,
        postedAt: wall('06:45'),
        accepted: { at: wall('07:05'), by: 'noa', readBack: ['line-1'] },
        nudgedAt: null,
      },
      { for: other, auto: true, postedAt: wall('06:46'), accepted: null, nudgedAt: wall('07:30') },
    ]);
    expect(fold(posted('06:45', shift), accepted('07:05', shift)).handovers[0]?.accepted).toStrictEqual({
      at: wall('07:05'),
      by: 'noa',
    });
  });

  it('posted again stays as it was, and owed where either was posted by itself', () => {
    const auto = (...log: WardEntry[]) => fold(...log).handovers.map((one) => [one.auto, one.postedAt]);
    expect(auto(posted('06:45', shift, true), posted('06:50', shift, false))).toEqual([
      [true, wall('06:50')],
    ]);
    expect(auto(posted('06:45', shift, false), posted('06:50', shift, true))).toEqual([
      [true, wall('06:50')],
    ]);
    expect(auto(posted('06:45', shift, false), posted('06:50', shift, false))).toEqual([
      [false, wall('06:50')],
    ]);
  });

  it('is kept with two more of its sort, and the last one that was accepted', () => {
    const time = (n: number) => wall('20:00') + n * hour;
    const own = Array.from({ length: 4 }, (_, n) => posted('20:00', time(n), true));
    const asked = Array.from({ length: 4 }, (_, n) => posted('20:30', time(n) + minute, false));
    const kept = (...log: WardEntry[]) => fold(...log).handovers.map((one) => one.for);
    expect(kept(...own, ...asked)).toEqual(
      [time(1), time(2), time(3)].concat([1, 2, 3].map((n) => time(n) + minute)),
    );
    const [first, ...rest] = own;
    if (!first) throw new Error('none');
    expect(kept(first, accepted('20:10', time(0)), ...rest)).toEqual([time(0), time(1), time(2), time(3)]);
  });

  it('was accepted last by when it was, whichever was posted last; of one instant the later posted', () => {
    const two = [posted('18:45', wall('19:00')), posted('06:45', shift)];
    const last = (...log: WardEntry[]) => lastAccepted(fold(...two, ...log).handovers)?.for;
    expect(last()).toBeUndefined();
    expect(last(accepted('07:05', shift), accepted('07:10', wall('19:00')))).toBe(wall('19:00'));
    expect(last(accepted('07:05', shift), accepted('07:05', wall('19:00')))).toBe(shift);
  });

  it('hands over its own shift, or the one that begins within the hour; none in the middle of one', () => {
    const of = (auto: boolean, time: string) => handedOverShift(policy, { for: wall(time), auto });
    expect(of(true, '20:00')).toBe(wall('20:00'));
    expect(of(false, '06:00')).toBe(shift);
    expect(of(false, '05:59')).toBeNull();
    expect(of(false, '2026-11-25 07:00')).toBe(shift);
    expect(soonMs({ handoverBeforeMin: 15 })).toBe(60 * minute);
    expect(soonMs({ handoverBeforeMin: 90 })).toBe(90 * minute);
  });
});

describe('what the bot notes of itself', () => {
  it('an audit reaches as far as the furthest one', () => {
    const audited = (to: number) => at('08:00', { kind: 'audited', body: { from: 0, to } }, 'bot');
    expect(fold(audited(100)).auditedTo).toBe(100);
    expect(fold(audited(200), audited(100)).auditedTo).toBe(200);
  });

  it('when commands were lost and when they were back', () => {
    const lost = at('20:00', { kind: 'commandsLost', body: { from: wall('19:50') } }, 'bot');
    const back = at(
      '20:30',
      { kind: 'commandsBack', body: { from: wall('19:50'), to: wall('20:29') } },
      'bot',
    );
    expect(fold(lost).commandsLost).toEqual({ from: wall('19:50'), backAt: null });
    expect(fold(lost, back).commandsLost).toEqual({ from: wall('19:50'), backAt: wall('20:29') });
  });

  it('that it was down changes nothing but the version', () => {
    const down = at('20:00', { kind: 'wasDown', body: { from: 1, to: 2, missed: 0 } }, 'bot');
    expect(fold(down)).toMatchObject({ version: 1, covers: [], handovers: [], unreached: [] });
  });

  it('since when the channel is shut, why now, and who was told', () => {
    const shut = (time: string, why: 'archived' | 'removed') =>
      at(time, { kind: 'channelShut', body: { why } }, 'bot');
    const told = (user: string) => at('20:05', { kind: 'channelTold', body: { user } }, 'bot');
    const open = at('21:00', { kind: 'channelOpened', body: {} }, 'bot');
    expect(
      fold(shut('20:00', 'archived'), told('lea'), told('vet'), shut('20:10', 'removed')).channelShut,
    ).toEqual({
      at: wall('20:00'),
      why: 'removed',
      notified: ['lea', 'vet'],
    });
    expect(fold(told('lea')).channelShut).toBeNull();
    expect(fold(shut('20:00', 'archived'), open)).toMatchObject({
      channelShut: null,
      channelOpenedAt: wall('21:00'),
    });
  });
});

// 4 h: common practice, no source.
describe('somebody whom a direct message did not reach', () => {
  const user = 'nina';
  const missed = at('20:00', { kind: 'unreached', body: { user } }, 'bot');
  it('is passed over for 4 h, and only they', () => {
    expect(unreachedMs / hour).toBe(4);
    const ward = fold(missed);
    expect(isUnreached(ward, user, wall('23:59'))).toBe(true);
    expect(isUnreached(ward, user, wall('00:00'))).toBe(false);
    expect(isUnreached(ward, 'teo', wall('20:01'))).toBe(false);
  });

  it('is doubted for a day', () => {
    const ward = fold(missed);
    expect(wasUnreached(ward, user, wall('19:59') + 24 * hour)).toBe(true);
    expect(wasUnreached(ward, user, wall('20:00') + 24 * hour)).toBe(false);
    expect(wasUnreached(ward, 'teo', wall('20:01'))).toBe(false);
  });

  it('and was not reached again is listed from then on', () => {
    expect(unreachedAfter([{ user, at: 0 }], user, 5)).toEqual([{ user, at: 5 }]);
  });

  it('is listed once, and only those who are still passed over', () => {
    const before = [
      { user, at: 0 },
      { user: 'teo', at: 1 },
      { user: 'olga', at: 0 },
    ];
    expect(unreachedAfter(before, user, unreachedMs)).toEqual([
      { user: 'teo', at: 1 },
      { user, at: unreachedMs },
    ]);
  });

  it.each<[string, WardDraft, string[]]>([
    ['put on call', { kind: 'onCallSet', body: { user } }, ['teo']],
    ['named as cover', { kind: 'coverSet', body: { away: 'ina', by: user, until: wall('23:00') } }, ['teo']],
    ['perhaps named in a new policy', { kind: 'policySet', body: { policy } }, []],
    ['not named in what is set', { kind: 'onCallSet', body: { user: 'mika' } }, [user, 'teo']],
  ])('is tried again when %s', (_how, draft, left) => {
    const teo = at('20:01', { kind: 'unreached', body: { user: 'teo' } }, 'bot');
    expect(fold(missed, teo, at('20:10', draft)).unreached.map((one) => one.user)).toEqual(left);
  });
});
