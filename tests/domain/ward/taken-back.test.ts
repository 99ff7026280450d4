import { describe, expect, it } from 'vitest';
import { standInFor } from '../../../src/domain/ward/cover.ts';
import { onCallAt } from '../../../src/domain/ward/on-call.ts';
import type { WardDraft, WardEntry, WardEntryKind } from '../../../src/domain/ward/ward-entry.ts';
import { foldWardNext } from '../../../src/domain/ward/ward-state.ts';
import { testWard, wall } from '../../support/line-builder.ts';

type Body<K extends WardEntryKind> = (WardDraft & { kind: K })['body'];

function told<K extends WardEntryKind>(kind: K, at: string, body: Body<K>, by = 'nina'): WardEntry {
  return { at: wall(at), told: wall(at), by, via: 'command', kind, body } as unknown as WardEntry;
}

const fold = (...entries: WardEntry[]) => entries.reduce(foldWardNext, testWard());

describe('what was set of a ward and is taken back', () => {
  it('of who is on call has whoever was before be called again: by the rota, and by hand', () => {
    const rota = fold(
      told('onCallSet', '20:00', { user: 'vera' }),
      told('takenBack', '20:01', { target: 1 }),
    );
    expect(onCallAt(rota, wall('20:02'))).toBe('vet');
    const byHand = fold(
      told('onCallSet', '20:00', { user: 'vera' }),
      told('onCallSet', '20:30', { user: 'vito' }),
      told('takenBack', '20:31', { target: 2 }),
    );
    expect(onCallAt(byHand, wall('20:32'))).toBe('vera');
    expect(byHand.onCallSet).toEqual({ user: 'vera', at: wall('20:00'), by: 'nina' });
    // By the next shift the rota counts, as it would have.
    expect(onCallAt(byHand, wall('2026-11-25 08:00'))).toBe('vet');
  });

  it('is the latest of its kind or nothing at all', () => {
    const entries = [
      told('onCallSet', '20:00', { user: 'vera' }),
      told('onCallSet', '20:01', { user: 'vito' }),
    ];
    const older = fold(...entries, told('takenBack', '20:02', { target: 1 }));
    expect(onCallAt(older, wall('20:03'))).toBe('vito');
    const twice = fold(
      ...entries,
      told('takenBack', '20:02', { target: 2 }),
      told('takenBack', '20:02', { target: 2 }),
    );
    expect(onCallAt(twice, wall('20:03'))).toBe('vera');
  });

  it('of a cover has the one that it cut short stand until its own end, and what people were told stay told', () => {
    const ward = fold(
      told('coverSet', '20:00', { away: 'ina', by: 'teo', until: wall('23:00') }),
      told('coverSet', '20:30', { away: 'zoe', by: 'olga', from: wall('20:31'), until: wall('22:00') }),
      told('coverSet', '20:30', { away: 'ina', by: 'olga', until: wall('22:00') }),
      told('coverTold', '20:31', { target: 2, what: 'begun' }),
      told('takenBack', '20:32', { target: 3 }),
    );
    expect(standInFor(ward.covers, 'ina', wall('20:33'))).toBe('teo');
    expect(standInFor(ward.covers, 'ina', wall('22:30'))).toBe('teo');
    expect(ward.covers.find(({ number }) => number === 2)).toMatchObject({ startNotified: true });
  });

  it('leaves a handover, tries and the policy’s version as they came meanwhile', () => {
    const ward = fold(
      told('onCallSet', '20:00', { user: 'vera' }),
      told('policySet', '20:01', { policy: { ...testWard().policy, flushEveryMin: 45 } }),
      told('takenBack', '20:02', { target: 1 }),
    );
    expect(ward).toMatchObject({
      policyVersion: 1,
      policy: { flushEveryMin: 45 },
      onCallSet: null,
      version: 3,
    });
    expect(ward.lastSet.policy?.before.flushEveryMin).toBe(testWard().policy.flushEveryMin);
  });
});
