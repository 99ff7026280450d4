import { describe, expect, test } from 'vitest';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { recordFile } from '../../src/export/record-lines.ts';
import { derived, roundTrip } from '../../src/export/round-trip.ts';
import { testWard } from '../support/line-builder.ts';
import * as fc from '../support/properties.ts';
import { nightWard, toldLine, wardCopy } from './ward-copies.ts';

const policy = defaultPolicy('UTC');
const { copy, now } = nightWard();

describe('the proof of a file', () => {
  test('holds for whatever was told, with the states and duties the record had before', () => {
    fc.assert(
      fc.property(fc.array(toldLine('told'), { minLength: 1, maxLength: 1 }), fc.nat(48), (lines, hours) => {
        const record = { ...copy, lines };
        const at = now + hours * 3_600_000;
        const proof = roundTrip(recordFile(record, at), policy);
        expect(proof).toMatchObject({ is: 'same', exportedAt: at });
        const kept = proof.is === 'same' ? derived(proof.copy, policy, at) : null;
        expect(kept).toEqual(derived(record, policy, at));
      }),
      { numRuns: 40 },
    );
  });

  test('holds for any values the record allows', () => {
    fc.assert(
      fc.property(wardCopy, (any) => {
        expect(roundTrip(recordFile(any, now), policy)).toMatchObject({ is: 'same' });
      }),
      { numRuns: 40 },
    );
  });

  test('derives the policy, the person on call and what is due from the file alone', () => {
    const { ward, lines } = derived(copy, policy, now);
    expect([ward.policy, ward.onCallSet?.user]).toEqual([testWard().policy, 'vet']);
    // Biscuit: flushed at 21:00 and by hand, so due at 22:00; Miso: out at 01:30, the first pulse check an hour later.
    const due = lines.map(({ duties }) =>
      duties.map(({ kind, dueAt }) => [kind, new Date(dueAt).toISOString()]),
    );
    expect(due[1]).toContainEqual(['flush', '2026-11-24T21:00:00.000Z']);
    expect(due[0]).toContainEqual(['pulse', '2026-11-25T01:30:00.000Z']);
  });

  test('fails for a file that is spaced otherwise, and says at which line', () => {
    const file = recordFile(copy, now).replace('"ward":2', '"ward": 2');
    expect(roundTrip(file, policy)).toEqual({
      is: 'different',
      what: 'written again, line 3 is not the same',
    });
  });

  test('fails for a file without its last line end', () => {
    const file = recordFile(copy, now).trimEnd();
    expect(roundTrip(file, policy)).toMatchObject({ is: 'different' });
  });

  test('passes on what a broken file is refused for', () => {
    expect(roundTrip('{', policy)).toMatchObject({ is: 'refused', line: 1 });
  });
});
