import { describe, expect, it } from 'vitest';
import { runWard } from './run-ward.ts';
import { manners } from './staff.ts';
import { Tally } from './tally.ts';

/** What a ward's readers are promised (docs/attention.md), on a few simulated days; the long run is `npm run quiet`. */
function run(lines: number, manner: (typeof manners)[keyof typeof manners], days = 5): Tally {
  const tally = new Tally();
  runWard(tally, { lines, days, manner, seed: 'goals' });
  return tally;
}
const nothing = (of: readonly number[]) => of.reduce((sum, one) => sum + one, 0) / Math.max(1, of.length);

describe('a ward of 12 lines with punctual staff', () => {
  const tally = run(12, manners.punctual);

  it('is reminded at most 4 times a line and day, the channel at most twice an hour, a nurse at most 1.2 times', () => {
    expect(tally.count('reminders') / (tally.lineHours / 24)).toBeLessThanOrEqual(4);
    expect(tally.count('to ward') / tally.wardHours).toBeLessThanOrEqual(2);
    expect(tally.count('rings of nurses') / tally.nurseHours).toBeLessThanOrEqual(1.2);
  });

  it('rings its clinician at most once in a night without danger', () => {
    expect(tally.calmNights.length).toBeGreaterThan(0);
    expect(nothing(tally.calmNights)).toBeLessThanOrEqual(1);
  });
});

describe('perfect staff that follows the plan', () => {
  it('gets one message a visit and nothing else', () => {
    const tally = run(12, manners.perfect);
    expect(tally.count('to nurse')).toBe(0);
    expect(tally.count('own messages')).toBe(0);
  });
});

describe('lines that nobody sees to', () => {
  // A cat's limits, a clinician's repeats and a nurse's visits all fall into the first day.
  it.each([4, 12, 40])('ring no phone more than 4 times in an hour, where there are %i', (lines) => {
    const tally = run(lines, manners.absent, lines === 40 ? 1 : 3);
    expect(tally.mostInAnHour).toBeGreaterThan(1);
    expect(tally.mostInAnHour).toBeLessThanOrEqual(4);
  });

  it('ring the clinician within 21 min for whatever comes to be a danger', () => {
    const { dangerRungMin } = run(40, manners.absent, 1);
    expect(dangerRungMin.length).toBeGreaterThan(5);
    expect(Math.max(...dangerRungMin)).toBeLessThanOrEqual(21);
  });
});

describe('danger', () => {
  it.each(Object.values(manners))('is told within a minute, where staff is $name', (manner) => {
    const { dangerToldMin } = run(6, manner, 3);
    expect(Math.max(0, ...dangerToldMin)).toBeLessThanOrEqual(1);
  });
});
