import { z } from 'zod';
import { weightKgRange } from './body-weight.ts';
import { longestSpeciesName, speciesList } from './species.ts';

/**
 * The animal a line belongs to. `speciesName`: what it is called where that is more than the species says (a pony, a
 * wallaby). `weightKg` is kilograms. `bleeding` doubles the hold after removal.
 */
export const patientSchema = z.object({
  name: z.string().min(1).max(40),
  species: z.enum(speciesList),
  speciesName: z.string().min(1).max(longestSpeciesName).optional(),
  weightKg: z.number().min(weightKgRange.min).max(weightKgRange.max),
  bleeding: z.boolean().optional(),
});
/** What is known of an animal; its weight in kg. */
export type Patient = z.infer<typeof patientSchema>;
