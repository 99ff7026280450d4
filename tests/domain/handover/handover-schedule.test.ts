import { describe, expect, it } from 'vitest';
import { wardStepsAt } from '../../../src/domain/handover/handover-schedule.ts';
import { wardWakeAt } from '../../../src/domain/ladder/plan-wake.ts';
import type { WardEntry } from '../../../src/domain/ward/ward-entry.ts';
import { foldWardNext, type WardState } from '../../../src/domain/ward/ward-state.ts';
import { clock, hour, LineLog, minute, testWard, wall } from '../../support/line-builder.ts';
import { WardNight } from '../ladder/ward-night.ts';

const line = () => new LineLog('15:00').state();
const posted = (at: string, forAt: string, auto = true): WardEntry => ({
  at: wall(at),
  told: wall(at),
  by: 'bot',
  via: 'bot',
  kind: 'handedOver',
  body: { for: wall(forAt), auto, lines: 1 },
});
const accepted = (at: string, forAt: string): WardEntry => ({
  at: wall(at),
  told: wall(at),
  by: 'nell',
  via: 'button',
  kind: 'handoverAccepted',
  body: { for: wall(forAt) },
});
const wardAfter = (...entries: WardEntry[]): WardState => entries.reduce(foldWardNext, testWard());
const steps = (ward: WardState, now: string, lines = [line()]) =>
  wardStepsAt(ward, lines, wall(now)).map(
    ({ what, for: start, at }) => `${clock(at)} ${what} for ${clock(start)}`,
  );

describe('wardStepsAt', () => {
  it('asks for the handover 15 min before the coming shift', () => {
    expect(steps(wardAfter(posted('06:45', '2026-11-24 07:00')), '16:00')).toEqual([
      '18:45 handover for 19:00',
      '06:45 handover for 07:00',
    ]);
  });

  it('asks 30 min after the start whether nobody accepted', () => {
    expect(steps(wardAfter(posted('18:45', '19:00')), '18:46')).toEqual([
      '19:30 handover not accepted for 19:00',
      '06:45 handover for 07:00',
    ]);
  });

  it('is content once somebody accepted', () => {
    expect(steps(wardAfter(posted('18:45', '19:00'), accepted('18:59', '19:00')), '19:00')).toEqual([
      '06:45 handover for 07:00',
      '18:45 handover for 19:00',
    ]);
  });

  it('never asks that of a handover somebody asked for', () => {
    expect(
      steps(
        wardAfter(posted('18:45', '19:00'), accepted('18:59', '19:00'), posted('20:00', '20:00', false)),
        '21:00',
      ),
    ).not.toContainEqual(expect.stringContaining('not accepted'));
  });

  it('posts one missed while the bot was down until its shift is over', () => {
    expect(steps(testWard(), '23:00')[0]).toBe('18:45 handover for 19:00');
  });

  it('posts only the coming one when that is due as well', () => {
    expect(steps(testWard(), '06:50')).toEqual(['06:45 handover for 07:00', '18:45 handover for 19:00']);
  });

  it('gives one that was posted late its 30 min from then', () => {
    expect(steps(wardAfter(posted('23:00', '19:00')), '23:01')[0]).toBe(
      '23:30 handover not accepted for 19:00',
    );
  });

  it('does not post the shift’s own again after many were asked for', () => {
    const asked = ['20:00', '20:10', '20:20', '20:30'].map((at) => posted(at, at, false));
    expect(steps(wardAfter(posted('18:45', '19:00'), accepted('18:59', '19:00'), ...asked), '21:00')[0]).toBe(
      '06:45 handover for 07:00',
    );
  });

  it('hands nothing over in a ward without lines, and nobody needs to accept it', () => {
    expect(steps(testWard(), '18:50', [])).toEqual([]);
    expect(steps(wardAfter(posted('18:45', '19:00')), '19:30', [])).toEqual([]);
    expect(wardWakeAt(testWard(), [], wall('18:50'))).toBeNull();
  });

  it('does not hand over a shift that began before its first line', () => {
    expect(steps(testWard(), '20:05', [new LineLog('20:00').state()])[0]).toBe('06:45 handover for 07:00');
  });

  it('hands over a line that is out with follow-up owed', () => {
    const out = new LineLog('15:00').add('removed', '18:30', { reason: 'planned' }).state();
    expect(steps(wardAfter(), '18:40', [out])[0]).toBe('18:45 handover for 19:00');
  });
});

describe('a ward woken on time', () => {
  const handovers = (run: WardNight) =>
    run.posts.flatMap(({ at, post }) =>
      'for' in post ? [`${clock(at)} ${post.what} for ${clock(post.for)}`] : [],
    );

  it('posts each handover once and says once that nobody accepted', () => {
    const run = new WardNight(testWard(), [new LineLog('15:00')]);
    run.runOnTime(wall('16:00'), wall('08:00'));
    expect(handovers(run)).toEqual([
      '18:45 handover for 19:00',
      '19:30 handover not accepted for 19:00',
      '06:45 handover for 07:00',
      '07:30 handover not accepted for 07:00',
    ]);
  });

  it.each([
    ['go forward, 11 h', '2026-03-28 19:00', 11],
    ['go back, 13 h', '2026-10-24 19:00', 13],
  ])('posts at 06:45 on the morning after clocks %s', (_title, start, hours) => {
    const run = new WardNight(testWard(), [new LineLog(wall(start) - 4 * hour)]);
    run.runOnTime(wall(start) - hour, wall(start) + (hours + 1) * hour);
    const posts = run.posts.filter(({ post }) => post.what === 'handover');
    expect(posts.map(({ at }) => at)).toEqual([
      wall(start) - 15 * minute,
      wall(start) + hours * hour - 15 * minute,
    ]);
    expect(posts.map(({ at }) => clock(at))).toEqual(['18:45', '06:45']);
  });
});
