import { describe, expect, it } from 'vitest';
import { defaultPolicy } from '../../../src/domain/policy/ward-policy.ts';
import { policyAtOf } from '../../../src/domain/ward/policy-at.ts';
import type { WardEntry } from '../../../src/domain/ward/ward-entry.ts';
import { wall, wardZone } from '../../support/line-builder.ts';

const before = defaultPolicy(wardZone);
const set = (at: string, flushEveryMin: number): WardEntry => ({
  at: wall(at),
  told: wall(at),
  by: 'vet',
  via: 'form',
  kind: 'policySet',
  body: { policy: { ...before, flushEveryMin } },
});
const called: WardEntry = {
  at: wall('21:30'),
  told: wall('21:30'),
  by: 'vet',
  via: 'form',
  kind: 'onCallSet',
  body: { user: 'vet' },
};
const flushEvery = (log: readonly WardEntry[], at: string) => policyAtOf(log, before)(wall(at)).flushEveryMin;

describe('policyAtOf', () => {
  const log = [set('20:00', 90), called, set('22:00', 120)];

  it.each([
    ['19:59', 60],
    ['20:00', 90],
    ['21:59', 90],
    ['22:00', 120],
    ['04:00', 120],
  ])('says at %s that the ward flushes every %i min', (at, minutes) => {
    expect(flushEvery(log, at)).toBe(minutes);
  });

  it('takes the later told of two of one instant, and the default where none was set', () => {
    expect(flushEvery([set('20:00', 90), set('20:00', 30)], '20:00')).toBe(30);
    expect(flushEvery([called], '22:00')).toBe(60);
    // In whatever order they were recorded.
    expect(flushEvery([set('22:00', 120), set('20:00', 90)], '23:00')).toBe(120);
  });
});
