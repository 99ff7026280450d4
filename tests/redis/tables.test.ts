import { expect, it } from 'vitest';
import { tabled, untabled } from '../../src/redis/tables.ts';
import * as fc from '../support/properties.ts';

const instant = fc.integer({ min: 0, max: 4_102_444_800_000 });
const person = fc.constantFrom('U0NURSE01', 'U0NURSETEO', '', '0');
const done = fc.record(
  {
    at: instant,
    by: person,
    entry: fc.nat(),
    volumeMl: fc.oneof(fc.constant(null), fc.nat(9), fc.constantFrom(0.5, 0.7)),
    whole: fc.boolean(),
    within: fc.constant([{ deep: 1 }]),
  },
  { requiredKeys: ['at', 'by', 'entry'], noNullPrototype: true },
);
const read = (stored: unknown): unknown => untabled(JSON.parse(JSON.stringify(stored)));

it('gives back what it was given, whatever that was', () => {
  fc.assert(
    fc.property(fc.oneof(fc.array(done), fc.array(fc.oneof(done, fc.constant(null), fc.nat()))), (list) => {
      expect(read(tabled(list))).toEqual(list);
    }),
  );
});

it('writes a day of flushes in a third of the room', () => {
  const flushes = Array.from({ length: 24 }, (_, hour) => ({
    at: 1_795_510_980_000 + hour * 3_600_000,
    by: 'U0NURSE01',
    entry: 7 + 3 * hour,
    volumeMl: hour % 2 === 0 ? 1 : null,
  }));
  const stored = JSON.stringify(tabled(flushes));
  expect(stored.length).toBeLessThan(JSON.stringify(flushes).length / 3);
  expect(read(tabled(flushes))).toEqual(flushes);
});

it('leaves a list as it stands that an older program wrote', () => {
  expect(untabled([{ at: 1 }])).toEqual([{ at: 1 }]);
});
