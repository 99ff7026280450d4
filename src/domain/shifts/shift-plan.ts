import { IANAZone } from 'luxon';
import { z } from 'zod';
import { type WallTime, wallTimeSchema } from './wall-time.ts';

/** When a ward changes shift: the zone its clocks show, and what starts when, on every day of the year. */
export interface ShiftPlan {
  /** IANA zone name, for example `Europe/Berlin`. */
  zone: string;
  /** 1 to 4 shifts in any order; each lasts until the next one starts. */
  shifts: readonly { name: string; startsAt: WallTime }[];
}

const MOST_SHIFTS = 4;
const LONGEST_NAME = 24;
const EXAMPLE = 'for example Day 07:00 and Night 19:00';

/** Parses an IANA zone name. A bare offset such as `+02:00` is refused: it would miss the ward's clock changes. */
export const wardZoneSchema = z
  .string({ error: 'No time zone was given. Type a place, for example Europe/Berlin or America/New_York.' })
  .refine((zone) => /^[A-Za-z]/.test(zone) && IANAZone.isValidZone(zone), {
    error: (issue) =>
      `"${String(issue.input).slice(0, 40)}" is not a time zone. Type a place as Area/City, for example Europe/Berlin or America/New_York.`,
  });

const plannedShiftSchema = z.object({
  name: z
    .string({ error: `A shift has no name. Type a name and a start, ${EXAMPLE}.` })
    .trim()
    .min(1, { error: `A shift has no name. Type a name and a start, ${EXAMPLE}.` })
    .max(LONGEST_NAME, {
      error: `A shift name is too long; type at most ${LONGEST_NAME} characters, ${EXAMPLE}.`,
    })
    .refine((name) => !/\p{Cc}/u.test(name), {
      error: `A shift name holds a line break or a control character. Type plain words, ${EXAMPLE}.`,
    }),
  startsAt: wallTimeSchema,
});

/** Parses a ward's shift plan: 1 to 4 shifts with different names and different starts, in a zone that exists. */
export const shiftPlanSchema = z.object(
  {
    zone: wardZoneSchema,
    shifts: z
      .array(plannedShiftSchema, { error: `No shifts were given. Type 1 to ${MOST_SHIFTS}, ${EXAMPLE}.` })
      .superRefine((shifts, context) => {
        if (shifts.length < 1 || shifts.length > MOST_SHIFTS) {
          context.addIssue({
            code: 'custom',
            message: `${shifts.length} shifts were given; a ward has 1 to ${MOST_SHIFTS}. Type ${EXAMPLE}.`,
          });
          return;
        }
        for (const [index, shift] of shifts.entries()) {
          const earlier = shifts.slice(0, index);
          const sameStart = earlier.find((other) => other.startsAt === shift.startsAt);
          if (sameStart) {
            context.addIssue({
              code: 'custom',
              path: [index, 'startsAt'],
              message: `${sameStart.name} and ${shift.name} both start at ${shift.startsAt}. Give each shift its own start, ${EXAMPLE}.`,
            });
          }
          if (earlier.some((other) => other.name.toLowerCase() === shift.name.toLowerCase())) {
            context.addIssue({
              code: 'custom',
              path: [index, 'name'],
              message: `Two shifts are called ${shift.name}. Give each shift its own name, ${EXAMPLE}.`,
            });
          }
        }
      }),
  },
  { error: `No shift plan was given. Give a zone such as Europe/Berlin and shifts, ${EXAMPLE}.` },
) satisfies z.ZodType<ShiftPlan>;
