import { describe, expect, it } from 'vitest';
import { shiftPlanSchema } from '../../../src/domain/shifts/shift-plan.ts';
import { policyRefusal } from '../../../src/wording/refusals/policy-refusals.ts';

const day = { name: 'Day', startsAt: '07:00' };
const night = { name: 'Night', startsAt: '19:00' };

function refusals(plan: unknown): string[] {
  const issues = shiftPlanSchema.safeParse(plan, { reportInput: true }).error?.issues ?? [];
  return issues.map((issue) => `${issue.path.join('.')}: ${policyRefusal(issue)}`);
}

describe('shiftPlanSchema', () => {
  it.each([
    'Europe/Berlin',
    'Australia/Lord_Howe',
    'Asia/Calcutta',
    'America/Argentina/Ushuaia',
    'UTC',
    'Etc/GMT-14',
  ])('takes the zone %s with two shifts', (zone) => {
    expect(shiftPlanSchema.parse({ zone, shifts: [day, night] })).toEqual({ zone, shifts: [day, night] });
  });

  it('takes one shift and four shifts, in any order, and trims their names', () => {
    expect(shiftPlanSchema.parse({ zone: 'UTC', shifts: [day] }).shifts).toEqual([day]);
    const four = ['20:00', '02:00', '14:00', '08:00'].map((startsAt) => ({
      name: ` Shift ${startsAt} `,
      startsAt,
    }));
    expect(shiftPlanSchema.parse({ zone: 'UTC', shifts: four }).shifts.map((shift) => shift.name)).toEqual([
      'Shift 20:00',
      'Shift 02:00',
      'Shift 14:00',
      'Shift 08:00',
    ]);
  });

  it.each(['Berlin', 'Europe/Berlim', '+02:00', '-0500', '', 'UTC+2', '<!channel>'])(
    'refuses %j as a zone and says what to type',
    (zone) => {
      expect(refusals({ zone, shifts: [day] })).toEqual([
        `zone: “${zone}” isn’t a time zone. Type a place as Area/City, for example Europe/Berlin or America/New_York.`,
      ]);
    },
  );

  it('refuses no shift and five shifts', () => {
    const five = [0, 1, 2, 3, 4].map((hour) => ({ name: `S${hour}`, startsAt: `0${hour}:00` }));
    const remedy = 'a ward has 1 to 4. Type for example Day 07:00 and Night 19:00.';
    expect(refusals({ zone: 'UTC', shifts: [] })).toEqual([`shifts: 0 shifts were given; ${remedy}`]);
    expect(refusals({ zone: 'UTC', shifts: five })).toEqual([`shifts: 5 shifts were given; ${remedy}`]);
  });

  it('refuses two shifts that start at the same time', () => {
    expect(refusals({ zone: 'UTC', shifts: [day, { name: 'Early', startsAt: '07:00' }] })).toEqual([
      'shifts.1.startsAt: Day and Early both start at 07:00. Give each shift its own start, for example Day 07:00 and Night 19:00.',
    ]);
  });

  it('refuses two shifts with one name, whatever the capitals', () => {
    expect(refusals({ zone: 'UTC', shifts: [day, { name: 'DAY', startsAt: '19:00' }] })).toEqual([
      'shifts.1.name: Two shifts are called DAY. Give each shift its own name, for example Day 07:00 and Night 19:00.',
    ]);
  });

  it.each([
    ['a blank name', '   ', /^shifts\.0\.name: A shift has no name\./],
    [
      'a name of 25 characters',
      'x'.repeat(25),
      /^shifts\.0\.name: A shift name is too long; type at most 24 characters,/,
    ],
    ['a name over two lines', 'Day\nNight', /^shifts\.0\.name: A shift name holds a line break/],
    ['a name that is a number', 7, /^shifts\.0\.name: A shift has no name\./],
  ])('refuses %s', (_what, name, refusal) => {
    const said = refusals({ zone: 'UTC', shifts: [{ name, startsAt: '07:00' }] });
    expect(said).toHaveLength(1);
    expect(said[0]).toMatch(refusal);
  });

  it('says what is missing when the plan, its zone or its shifts are missing', () => {
    expect(refusals(undefined)[0]).toMatch(/^: No shift plan was given\./);
    expect(refusals({})).toEqual([
      'zone: No time zone was given. Type a place, for example Europe/Berlin or America/New_York.',
      'shifts: No shifts were given. Type 1 to 4, for example Day 07:00 and Night 19:00.',
    ]);
  });
});
