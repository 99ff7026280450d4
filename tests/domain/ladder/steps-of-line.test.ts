import { expect, it } from 'vitest';
import { dutiesOfLine } from '../../../src/domain/duties/duties-of-line.ts';
import { stepsOfLine } from '../../../src/domain/ladder/steps-of-line.ts';
import type { LineState } from '../../../src/domain/record/line-state.ts';
import { visitBy } from '../../../src/domain/rounds/visit.ts';
import type { WardState } from '../../../src/domain/ward/ward-state.ts';
import { hour, LineLog, testWard, wall } from '../../support/line-builder.ts';

/** A cat's line: its dwell warning is owed no more once the limit has come. */
const cat = new LineLog('20:00', { patient: { species: 'cat', weightKg: 4 } }).inOrder('20:05').state();
const ward = testWard({ lead: 'lea' });
/** Its nurse is reached by no direct message, in the morning. */
const unreached: WardState = { ...ward, unreached: [{ user: cat.nurse, at: wall('05:00') }] };
const otherPolicy: WardState = { ...ward, policy: { ...ward.policy, flushEveryMin: 30 } };
/** Every three hours of three days, and then back again. */
const hours = Array.from({ length: 25 }, (_, index) => wall('20:00') + index * 3 * hour);
const instants = [...hours, ...hours.toReversed()];

const looked = (line: LineState, of: WardState, now: number) => ({
  duties: dutiesOfLine(line, of.policy, now),
  steps: stepsOfLine(line, of, now),
  visit: visitBy(line, of.policy, now),
});

it('what is remembered of a line is what is worked out anew, at any time, whoever is told and by any policy', () => {
  const counts = new Set<string>();
  for (const now of instants)
    for (const seen of [ward, unreached, otherPolicy, ward]) {
      const { duties, steps, visit } = looked(cat, seen, now);
      expect({ duties, steps, visit }).toEqual(looked(structuredClone(cat), seen, now));
      expect(steps.filter(({ duty }) => !duties.includes(duty))).toEqual([]);
      counts.add(`${duties.length} ${steps.map(({ to }) => to).join()} ${visit}`);
    }
  // Time, people and policy each made a difference.
  expect(counts.size).toBeGreaterThan(4);
});
