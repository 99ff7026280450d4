import { describe, expect, it } from 'vitest';
import type { WardEntry } from '../../../src/domain/ward/ward-entry.ts';
import { foldWard } from '../../../src/domain/ward/ward-state.ts';
import { hour, testWard, wall } from '../../support/line-builder.ts';

const { id, policy } = testWard();
const told = (at: number, tellTime = at): WardEntry => ({
  at,
  told: tellTime,
  by: 'nina',
  via: 'form',
  kind: 'triesFailed',
  body: { patient: { name: 'Mochi', species: 'cat' }, site: 'median caudal', operator: 'noor', tries: 2 },
});
const remembered = (...log: WardEntry[]) => foldWard(id, policy, log).failedTries.map(({ at }) => at);
const now = wall('21:00');

describe('tries without a line that a ward remembers', () => {
  it('are those of the day before the latest was told, with who and where', () => {
    expect(foldWard(id, policy, [told(now)]).failedTries).toEqual([
      { ...told(now).body, number: 1, at: now, told: now, by: 'nina' },
    ]);
    expect(remembered(told(now - 24 * hour), told(now - 23 * hour), told(now))).toEqual([
      now - 23 * hour,
      now,
    ]);
    expect(remembered(told(now), told(now - 20 * hour, now + hour))).toEqual([now, now - 20 * hour]);
  });

  it('are no more those that were struck, by their number in the ward’s log', () => {
    const strike: WardEntry = {
      at: now,
      told: now,
      by: 'nina',
      via: 'button',
      kind: 'triesStruck',
      body: { target: 2 },
    };
    expect(remembered(told(now - 2 * hour), told(now - hour), strike)).toEqual([now - 2 * hour]);
  });

  it('are twenty at most, the latest told', () => {
    const many = Array.from({ length: 25 }, (_, index) => told(now + index));
    expect(remembered(...many)).toEqual(many.slice(5).map(({ at }) => at));
  });
});
