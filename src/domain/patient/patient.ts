import { z } from 'zod';
import { speciesList } from './species.ts';

/** Heaviest and lightest animal a weight is believed for, in kilograms; outside it a slipped digit is likelier than the animal. */
export const weightKgRange = { min: 0.3, max: 120 } as const;

/** The animal a line belongs to. `weightKg` is kilograms. `bleeding` doubles the hold after removal. */
export const patientSchema = z.object({
  name: z.string().min(1).max(40),
  species: z.enum(speciesList),
  weightKg: z.number().min(weightKgRange.min).max(weightKgRange.max),
  bleeding: z.boolean().optional(),
});
export type Patient = z.infer<typeof patientSchema>;
