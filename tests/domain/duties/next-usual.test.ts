import { expect, it } from 'vitest';
import { nextUsual } from '../../../src/domain/duties/next-usual.ts';
import type { DutyKind } from '../../../src/domain/duty-kind.ts';
import { LineLog, type PlacedChanges, testWard, wall } from '../../support/line-builder.ts';

// The ward policy's usual intervals: common practice, no source.
const cat: PlacedChanges = { patient: { species: 'cat', weightKg: 4 } };

it.each<[DutyKind, string, PlacedChanges?]>([
  ['flush', '23:00'],
  ['zero', '2026-11-25 07:00'],
  ['test', '2026-11-25 07:00'],
  ['source', '2026-11-25 07:00'],
  ['finding', '00:00'],
  ['fault', '00:00'],
  ['faultOpen', '22:05'],
  ['site', '02:00'],
  ['redress', '2026-11-25 10:00'],
  ['stillNeeded', '2026-11-25 22:00'],
  ['runOut', '23:00'],
  ['set', '2026-11-25 22:00'],
  ['hold', '22:05'],
  ['pulse', '23:00'],
  ['pulseNextDay', '2026-11-25 22:00'],
  // Two hours past the limit of a cat placed at 19:30.
  ['dwellLimit', '05:30', cat],
  ['dwellWarning', '05:30', cat],
])('a clinician who lets %s go at 22:00 is first offered %s', (kind, until, changes = {}) => {
  const line = new LineLog('19:30', changes).state();
  expect(nextUsual(line, testWard().policy, kind, wall('22:00'))).toBe(wall(until));
});

it('past a cat’s limit they are offered two hours from now', () => {
  const line = new LineLog('19:30', cat).state();
  expect(nextUsual(line, testWard().policy, 'dwellLimit', wall('04:00'))).toBe(wall('06:00'));
});
