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

/** Most shifts a ward has. */
export const mostShifts = 4;
/** Longest name of a shift, characters. */
export const longestShiftName = 24;

/** Why a shift plan is refused. */
export type ShiftRefusal =
  | 'no plan'
  | 'no zone'
  | 'not a zone'
  | 'no shifts'
  | 'number of shifts'
  | 'no shift name'
  | 'shift name too long'
  | 'shift name not plain'
  | 'same start'
  | 'same name';

const refused = (error: ShiftRefusal) => ({ error });

/** Parses an IANA zone name. A bare offset such as `+02:00` is refused: it would miss the ward's clock changes. */
export const wardZoneSchema = z
  .string(refused('no zone'))
  .refine((zone) => /^[A-Za-z]/.test(zone) && IANAZone.isValidZone(zone), refused('not a zone'));

const plannedShiftSchema = z.object({
  name: z
    .string(refused('no shift name'))
    .trim()
    .min(1, refused('no shift name'))
    .max(longestShiftName, refused('shift name too long'))
    .refine((name) => !/\p{Cc}/u.test(name), refused('shift name not plain')),
  startsAt: wallTimeSchema,
});

/**
 * Parses a ward's shift plan: 1 to 4 shifts with different names and different starts, in a zone that exists. What it's
 * refused with is a `ShiftRefusal`.
 */
export const shiftPlanSchema = z.object(
  {
    zone: wardZoneSchema,
    shifts: z.array(plannedShiftSchema, refused('no shifts')).superRefine((shifts, context) => {
      const wrong = (
        message: ShiftRefusal,
        path: (string | number)[],
        params: Record<string, string | number>,
      ) => context.addIssue({ code: 'custom', message, path, params });
      const count = shifts.length;
      if (count < 1 || count > mostShifts) return wrong('number of shifts', [], { count });
      for (const [index, { name, startsAt }] of shifts.entries()) {
        const earlier = shifts.slice(0, index);
        const sameStart = earlier.find((other) => other.startsAt === startsAt);
        if (sameStart)
          wrong('same start', [index, 'startsAt'], { one: sameStart.name, other: name, startsAt });
        if (earlier.some((other) => other.name.toLowerCase() === name.toLowerCase()))
          wrong('same name', [index, 'name'], { name });
      }
    }),
  },
  refused('no plan'),
) satisfies z.ZodType<ShiftPlan>;
