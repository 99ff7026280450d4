import type { Patient } from './patient.ts';

/**
 * What tells one animal of a ward from another in its log: the name, blind to case, width and spaces, and the species.
 *
 * Example: `Biscuit `, dog and `BISCUIT`, dog → the same; `Biscuit`, cat → another.
 */
export function patientKey({ name, species }: Pick<Patient, 'name' | 'species'>): string {
  return `${species} ${foldedName(name)}`;
}

/** An animal's name for comparing it: blind to case, width and spaces. */
export function foldedName(name: string): string {
  return name.normalize('NFKC').replace(/\s+/gu, ' ').trim().toLocaleLowerCase('en');
}
