import { describe, expect, test } from 'vitest';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { recordFile } from '../../src/export/record-lines.ts';
import { derived, roundTrip } from '../../src/export/round-trip.ts';
import { testWard } from '../support/line-builder.ts';
import * as fc from '../support/properties.ts';
import { nightWard, recordedLine, wardCopy } from './ward-copies.ts';

const policy = defaultPolicy('UTC');
const { copy, now } = nightWard();

describe('the proof of a file', () => {
  test('holds for whatever was told, with the states and duties the record had before', () => {
    fc.assert(
      fc.property(
        fc.array(recordedLine('told'), { minLength: 1, maxLength: 1 }),
        fc.nat(48),
        (lines, hours) => {
          const record = { ...copy, lines };
          const at = now + hours * 3_600_000;
          const proof = roundTrip(recordFile(record, at), policy);
          expect(proof).toMatchObject({ is: 'same', exportedAt: at });
          const kept = proof.is === 'same' ? derived(proof.copy, policy, at) : null;
          expect(kept).toEqual(derived(record, policy, at));
        },
      ),
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

  // What an export made before these came is made of: decision 008, a version that was ever written is read for good.
  test('holds for a file of an earlier version, which lacks values that came later', () => {
    const lines = recordFile(copy, now).split('\n');
    const row = JSON.parse(lines[1] ?? '') as { entry: { body: { policy: Record<string, unknown> } } };
    for (const later of ['lead', 'lapsedAfterDays', 'overrideFor']) delete row.entry.body.policy[later];
    lines[1] = JSON.stringify(row);
    const proof = roundTrip(lines.join('\n'), policy);
    expect(proof).toMatchObject({ is: 'same', earlier: 1 });
    expect(proof.is === 'same' && derived(proof.copy, policy, now).ward.policy).toEqual(testWard().policy);
    expect(roundTrip(recordFile(copy, now), policy)).toMatchObject({ is: 'same', earlier: 0 });
  });

  test('holds for a file of an earlier version, whose values stood in another order', () => {
    const file = recordFile(copy, now);
    const turned = file.replace('"sapMmHg":118,"dapMmHg":64', '"dapMmHg":64,"sapMmHg":118');
    expect(turned).not.toBe(file);
    expect(roundTrip(turned, policy)).toMatchObject({ is: 'same', earlier: 1 });
  });

  test('fails for a file that is spaced otherwise, and says at which line', () => {
    const file = recordFile(copy, now).replace('"ward":2', '"ward": 2');
    expect(roundTrip(file, policy)).toEqual({
      is: 'different',
      what: 'written again, line 3 is not the same',
    });
  });

  test.each<[what: string, change: (file: string) => string, why: RegExp]>([
    [
      'without its last line end',
      (file) => file.trimEnd(),
      /its last line end is missing: .*use a whole copy$/,
    ],
    [
      'with more line ends than it had',
      (file) => `${file}\n`,
      /it has blank lines at its end: take them out$/,
    ],
    [
      'that went through another system’s line ends',
      (file) => file.replaceAll('\n', '\r\n'),
      /its line ends are CRLF.*sed -i/,
    ],
    ['with a byte order mark', (file) => `\uFEFF${file}`, /begins with a byte order mark.*sed -i/],
  ])('fails for a file %s, and says what was done to it', (_, change, why) => {
    const proof = roundTrip(change(recordFile(copy, now)), policy);
    expect(proof.is === 'different' && proof.what).toMatch(why);
  });

  test('passes on what a broken file is refused for', () => {
    expect(roundTrip('{', policy)).toMatchObject({ is: 'refused', line: 1 });
  });
});
