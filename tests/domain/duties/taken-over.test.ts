import { describe, expect, it } from 'vitest';
import { dutiesOfLine } from '../../../src/domain/duties/duties-of-line.ts';
import { foldLine } from '../../../src/domain/fold/fold-line.ts';
import { wardStepsAt } from '../../../src/domain/handover/handover-schedule.ts';
import type { Entry } from '../../../src/domain/record/entry.ts';
import { clock, placedBody, testWard, wall } from '../../support/line-builder.ts';

// Common practice, no source: a ward that begins with the bot has lines in already.
const placedAt = (at: string, told: string, species: 'dog' | 'cat' = 'dog') => {
  const entry: Entry = {
    kind: 'placed',
    body: placedBody({ patient: { species, weightKg: species === 'cat' ? 4 : 28 } }),
    at: wall(at),
    told: wall(told),
    by: 'nina',
    via: 'form',
  };
  return foldLine('a1', [entry]);
};

describe('when a line placed at 10:40 is registered at 19:26', () => {
  const ward = testWard();
  const now = wall('19:26');

  it('is late with nothing: what it owes falls due at 19:26, not 8 h before', () => {
    const due = dutiesOfLine(placedAt('2026-11-24 10:40', '19:26'), ward.policy, now);
    expect(due.filter(({ dueAt }) => dueAt < now)).toEqual([]);
    expect(due.filter(({ dueAt }) => dueAt === now).map(({ kind }) => kind)).toEqual([
      'flush',
      'zero',
      'test',
      'site',
    ]);
  });

  it('keeps 12 h to the next dressing from placing, since that is still to come', () => {
    const due = dutiesOfLine(placedAt('2026-11-24 10:40', '19:26'), ward.policy, now);
    expect(clock(due.find(({ kind }) => kind === 'redress')?.dueAt ?? 0)).toBe('22:40');
  });

  it('counts a cat’s dwell from placing all the same: a limit of 18:40 is 46 min past', () => {
    const due = dutiesOfLine(placedAt('2026-11-24 10:40', '19:26', 'cat'), ward.policy, now);
    expect(clock(due.find(({ kind }) => kind === 'dwellLimit')?.dueAt ?? 0)).toBe('18:40');
  });

  it('asks for no handover of the running shift, which nobody owed for it', () => {
    const steps = wardStepsAt(ward, [placedAt('2026-11-24 10:40', '19:26')], now);
    expect(steps.map(({ at }) => clock(at))).toEqual(['06:45', '18:45']);
  });
});
