import type { Site } from '../line/anatomy.ts';
import type { Species } from '../patient/species.ts';

/** One try at placing a line, by one person. */
export interface Attempt {
  /** Which placing it belongs to: all tries at one line, whoever made them, have the same. */
  placing: string;
  at: number;
  by: string;
  succeeded: boolean;
  species: Species;
  site: Site;
}

/** In the order they were made; of one time, in the order given. */
export function inOrder(attempts: readonly Attempt[]): Attempt[] {
  return attempts.toSorted((a, b) => a.at - b.at);
}
