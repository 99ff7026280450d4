import { z } from 'zod';
import { gauges, sides, sites } from '../line/anatomy.ts';
import { patientSchema } from '../patient/patient.ts';

/** Why a try at placing came to nothing, as far as whoever tried could tell. */
export const failures = [
  'artery not found',
  'flash, not threaded',
  'haematoma',
  'pulse lost in spasm',
  'patient moved',
  'other',
] as const;

/** Most tries that one report can have been. */
export const mostTries = 9;

/** Tries at placing a line, all by one person at one artery, of which none succeeded. */
export const failedTriesSchema = z.object({
  patient: patientSchema.pick({ name: true, species: true, speciesName: true }),
  /** Which animal it is, the same as of its lines in that stay; absent in older records. */
  animal: z.string().min(1).max(200).optional(),
  site: z.enum(sites),
  side: z.enum(sides).optional(),
  gauge: z.union(gauges.map((gauge) => z.literal(gauge))).optional(),
  operator: z.string().min(1).max(40),
  tries: z.number().int().min(1).max(mostTries),
  why: z.enum(failures).optional(),
});
/** Tries at placing that came to no line. */
export type FailedTries = z.infer<typeof failedTriesSchema>;
