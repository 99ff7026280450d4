import { z } from 'zod';
import type { Patient } from '../patient/patient.ts';

/** What speaks against placing an arterial line, or for another site, before it is placed. */
export const cautions = [
  'bleeding disorder',
  'clotting unknown',
  'walking patient',
  'cat',
  'broken skin',
  'no pulse or collateral flow',
] as const;
/** Something that speaks against an arterial line. */
export type Caution = (typeof cautions)[number];

/**
 * What was looked at before a line was placed. `cautions` empty: looked at, none found; a line that nobody screened has no
 * screening at all. `override`: the clinician who let it be placed, or left in, in spite of them, when (ms since the epoch),
 * and why. `undecided`: found once it was in, the ward wants a clinician's decision on them, and none was recorded yet.
 */
export const screeningSchema = z.object({
  cautions: z.array(z.enum(cautions)).max(cautions.length),
  override: z
    .object({
      clinician: z.string().min(1).max(40),
      at: z.number().int().nonnegative(),
      reason: z.string().min(3).max(500),
    })
    .optional(),
  undecided: z.array(z.enum(cautions)).min(1).max(cautions.length).optional(),
});
/** What was looked at before a line was placed, as `screeningSchema` has it. */
export type Screening = z.infer<typeof screeningSchema>;

/**
 * What was found without the cautions that an animal's own particulars, put right, rule out.
 *
 * Example: `['cat', 'broken skin']`, a dog after all → `['broken skin']`.
 */
export function withoutRuledOut(
  found: readonly Caution[],
  { species, bleeding }: Pick<Patient, 'species' | 'bleeding'>,
): Caution[] {
  return found.filter(
    (caution) => !(caution === 'cat' && species !== 'cat') && !(caution === 'bleeding disorder' && !bleeding),
  );
}

/**
 * What was found, with the cautions that an animal's own particulars imply though nobody ticked them.
 *
 * Example: none found, a cat → `['cat']`.
 */
export function withImplied(
  found: readonly Caution[],
  { species, bleeding }: Partial<Pick<Patient, 'species' | 'bleeding'>>,
): Caution[] {
  return cautions.filter(
    (caution) =>
      found.includes(caution) ||
      (caution === 'cat' && species === 'cat') ||
      (caution === 'bleeding disorder' && bleeding === true),
  );
}
