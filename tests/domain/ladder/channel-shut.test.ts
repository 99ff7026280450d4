import { describe, expect, it } from 'vitest';
import type { WardPolicy } from '../../../src/domain/policy/ward-policy.ts';
import type { WardDraft, WardEntry } from '../../../src/domain/ward/ward-entry.ts';
import { foldWardNext, type WardState } from '../../../src/domain/ward/ward-state.ts';
import { clock, LineLog, testWard, wall } from '../../support/line-builder.ts';
import { WardNight } from './ward-night.ts';

const entry = (at: string, draft: WardDraft): WardEntry =>
  ({ at: wall(at), told: wall(at), by: 'bot', via: 'bot', ...draft }) as WardEntry;

function shutAt(at: string, changes: Partial<WardPolicy> = {}): WardState {
  return foldWardNext(testWard(changes), entry(at, { kind: 'channelShut', body: { why: 'archived' } }));
}

/** Who is told that the channel is shut, and when, on a ward with a dog in order since 20:05. */
function told(ward: WardState, from: string, until: string, lines = [new LineLog('20:00').inOrder('20:05')]) {
  const night = new WardNight(ward, lines);
  night.runOnTime(wall(from), wall(until));
  return night.posts.flatMap(({ at, post }) =>
    post.what === 'channel shut' ? [`${clock(at)} ${post.user}`] : [],
  );
}

/** Whom it wakes follows what care does: our rule, common practice, no source. */
describe('a channel that is shut', () => {
  it('is told to lead and clinician at once in waking hours, each once', () => {
    expect(told(shutAt('20:30', { lead: 'lea' }), '20:30', '21:55')).toEqual(['20:30 lea', '20:30 vet']);
  });

  it('wakes no clinician at night: the lead hears at once, the clinician in the morning', () => {
    expect(told(shutAt('02:30', { lead: 'lea' }), '02:30', '07:30')).toEqual(['02:30 lea', '07:00 vet']);
  });

  it('is told to the nurses who have lines where nobody leads them', () => {
    expect(told(shutAt('02:30'), '02:30', '06:30')).toEqual(['02:30 nina']);
  });

  it('is told to whoever leads the next shift as that begins', () => {
    const ward = shutAt('02:30', {
      inCharge: { night: 'noa', day: 'dan' },
      rota: { day: 'vet', night: 'vet' },
    });
    expect(told(ward, '02:30', '07:30')).toEqual(['02:30 noa', '07:00 dan', '07:00 vet']);
  });

  it('is told to nobody while no line is in', () => {
    expect(told(shutAt('20:30', { lead: 'lea' }), '20:30', '21:30', [])).toEqual([]);
  });

  it('is told anew when it is shut a second time', () => {
    const told1 = foldWardNext(
      shutAt('20:30', { lead: 'lea' }),
      entry('20:30', { kind: 'channelTold', body: { user: 'lea' } }),
    );
    const back = foldWardNext(told1, entry('20:40', { kind: 'channelOpened', body: {} }));
    const again = foldWardNext(back, entry('20:50', { kind: 'channelShut', body: { why: 'removed' } }));
    expect(told(again, '20:50', '20:51')).toContain('20:50 lea');
  });
});
