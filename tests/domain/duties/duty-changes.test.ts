import { describe, expect, test } from 'vitest';
import type { Duty } from '../../../src/domain/duties/duty.ts';
import { dutyChanges } from '../../../src/domain/duties/duty-changes.ts';
import { type DutyKind, dutyKinds } from '../../../src/domain/duty-kind.ts';
import { defaultPolicy } from '../../../src/domain/policy/ward-policy.ts';
import { LineLog, wall, wardZone } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';

const policy = defaultPolicy(wardZone);
const due = (kind: DutyKind, dueAt: number): Duty => ({
  lineId: 'line-1',
  kind,
  dueAt,
  earliestAt: dueAt,
  why: 'interval',
});

describe('dutyChanges', () => {
  // The duties' table of the product page: a flush is due 60 min after the last one; a sample asks for a zero at once.
  test('of a flush at 22:00 by the hour is the flush done, next at 23:00', () => {
    const log = new LineLog('20:00').inOrder('20:05').add('flushed', '21:00', {});
    const before = log.duties(policy, '22:00');
    log.add('flushed', '22:00', {});
    expect(dutyChanges(before, log.duties(policy, '22:00'))).toEqual({
      done: [{ kind: 'flush', nextAt: wall('23:00') }],
      gone: [],
      brought: [],
    });
  });

  test('of a sample that was flushed after is the flush done, and a zero due at once', () => {
    const log = new LineLog('20:00').inOrder('20:05').add('flushed', '21:00', {});
    const before = log.duties(policy, '22:00');
    log.add('sampled', '22:00', { volumeMl: 1, flushed: true });
    const { done, gone, brought } = dutyChanges(before, log.duties(policy, '22:00'));
    expect(done.map(({ kind }) => kind)).toEqual(['flush']);
    expect(gone).toEqual([]);
    expect(brought).toEqual([{ kind: 'zero', dueAt: wall('22:00') }]);
  });

  test('of a removal is all care gone, and a hold and two pulse checks brought', () => {
    const log = new LineLog('20:00').inOrder('20:05');
    const before = log.duties(policy, '22:00');
    log.add('removed', '22:00', { reason: 'planned' });
    const { done, gone, brought } = dutyChanges(before, log.duties(policy, '22:00'));
    expect(done).toEqual([]);
    expect(gone).toContain('flush');
    expect(gone).toHaveLength(before.length);
    expect(brought).toEqual([
      { kind: 'hold', dueAt: wall('22:05') },
      { kind: 'pulse', dueAt: wall('23:00') },
      { kind: 'pulseNextDay', dueAt: wall('2026-11-25 22:00') },
    ]);
  });

  const duties = fc
    .dictionary(fc.constantFrom(...dutyKinds), fc.integer({ min: 0, max: 20 }))
    .map((byKind) => Object.entries(byKind).map(([kind, dueAt]) => due(kind as DutyKind, dueAt)));

  test('names each kind once, and none where nothing changed', () => {
    fc.assert(
      fc.property(duties, duties, (before, after) => {
        const { done, gone, brought } = dutyChanges(before, after);
        const named = [...done.map(({ kind }) => kind), ...gone, ...brought.map(({ kind }) => kind)];
        const changed = dutyKinds.filter(
          (kind) =>
            before.find((one) => one.kind === kind)?.dueAt !== after.find((one) => one.kind === kind)?.dueAt,
        );
        expect(named.toSorted()).toEqual(changed.toSorted());
      }),
    );
  });
});
