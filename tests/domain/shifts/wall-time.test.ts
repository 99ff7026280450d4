import { describe, expect, it } from 'vitest';
import { minutesAfterMidnight, type WallTime, wallTimeSchema } from '../../../src/domain/shifts/wall-time.ts';
import { policyRefusal } from '../../../src/wording/refusals/policy-refusals.ts';

const refusals = (typed: unknown) =>
  (wallTimeSchema.safeParse(typed, { reportInput: true }).error?.issues ?? []).map(policyRefusal);

describe('wallTimeSchema', () => {
  it.each(['00:00', '07:00', '19:59', '20:00', '23:59'])('takes %s as it is', (typed) => {
    expect(wallTimeSchema.parse(typed)).toBe(typed);
  });

  it.each(['24:00', '23:60', '7:00', '07.00', '7', '', ' 07:00', '07:00\n', '07:00 Uhr', '٠٧:٠٠'])(
    'refuses %j and says what to type',
    (typed) => {
      const refusal = refusals(typed);
      expect(refusal).toEqual([
        `“${typed}” isn’t a time of day. Type it as HH:mm, from 00:00 to 23:59, for example 07:00.`,
      ]);
    },
  );

  it('quotes no more than 20 characters of what was typed', () => {
    expect(refusals('9'.repeat(4000))[0]).toContain(`“${'9'.repeat(20)}” isn’t`);
  });

  it('tells nothing typed from something that is not text', () => {
    expect(refusals(undefined)[0]).toMatch(/^No time of day was given\./);
    expect(refusals(700)[0]).toMatch(/^A time of day is text\./);
  });
});

describe('minutesAfterMidnight', () => {
  const cases: [WallTime, number][] = [
    ['00:00', 0],
    ['07:30', 450],
    ['23:59', 1439],
  ];
  it.each(cases)('puts %s at minute %i of the day', (time, minutes) => {
    expect(minutesAfterMidnight(time)).toBe(minutes);
  });
});
