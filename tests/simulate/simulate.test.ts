import { describe, expect, inject, test } from 'vitest';
import { brokenParts } from './broken-parts.ts';
import { type Fault, simulate } from './simulate.ts';
import { Tally } from './tally.ts';
import { World } from './world.ts';

/** Like the properties it draws new days each time, and on CI the same ones. */
const seed = String(inject('propertySeed') ?? Date.now());
const days = 6 * inject('propertyTimes');

/** What to read where a promise was broken: the fault, how to see it again, and what led to it. */
function told(fault: Fault | null): string | null {
  if (fault === null) return null;
  const again = `npm run simulate -- --days ${fault.days} --seed "${fault.seed}"`;
  return [fault.what, again, ...fault.trace.slice(-80)].join('\n');
}

describe('the whole bot on a virtual clock and wires that fail', () => {
  test(
    'keeps every promise, whatever dies, is lost or comes twice',
    async () => {
      const { tally, fault } = await simulate({ days, seed });
      expect(told(fault)).toBeNull();
      // Days on which nothing happened would prove nothing.
      expect(tally.count('entries acknowledged')).toBeGreaterThan(days);
      expect(tally.count('deaths of a process')).toBeGreaterThan(0);
      for (const [promise, looks] of tally.allLooks()) expect(looks, promise).toBeGreaterThan(0);
    },
    120_000 * inject('propertyTimes'),
  );

  test('does the same from the same seed, call by call, and another thing from another', async () => {
    const traceOf = async (from: string) => {
      const world = new World(from, new Tally());
      await world.run(0.3);
      return world.wire.trace.last();
    };
    const first = await traceOf('a');
    expect(first.length).toBeGreaterThan(100);
    expect(await traceOf('a')).toEqual(first);
    expect(await traceOf('b')).not.toEqual(first);
  });
});

describe('the simulation finds that', () => {
  test.each(brokenParts)(
    '$what',
    async ({ seed, broken, says }) => {
      const { fault } = await simulate({ days: 60, seed, broken });
      expect(fault?.what).toMatch(says);
    },
    120_000,
  );
});
