import { z } from 'zod';

/** Findings for which a ward may say in its own words what to do when they come back, gravest first. */
export const recurringFindings = ['noPulse', 'cold', 'swelling', 'ooze', 'pain'] as const;
/** A finding that a ward may have its own words for. */
export type RecurringFinding = (typeof recurringFindings)[number];

/** Longest words of a ward for one finding, characters: they stand behind the arrow of a row that a phone shows. */
export const mostAgainChars = 80;

/** What a ward has agreed to do when a finding comes back, by finding; the usual words stand for the rest. */
export const againForSchema = z.partialRecord(
  z.enum(recurringFindings),
  z.string().trim().min(1).max(mostAgainChars),
);
/** A ward’s own words for findings that come back. */
export type AgainFor = z.infer<typeof againForSchema>;
