import type { Species } from '../patient/species.ts';
import { type Attempt, inOrder } from './attempt.ts';
import { isWithin, type Period } from './line-course.ts';
import { type Share, shareOf } from './share.ts';

/** How often the first try at placing succeeded. */
export interface FirstAttemptSuccess {
  /** Placings whose first try succeeded, of all placings. */
  all: Share;
  bySpecies: Partial<Record<Species, Share>>;
  /** By who made the first try. */
  byOperator: Record<string, Share>;
}

/** Success at the first try, of the placings whose first try lies in the period. A placing with no try recorded is in none. */
export function firstAttemptSuccess(attempts: readonly Attempt[], period: Period): FirstAttemptSuccess {
  const firsts = [...Map.groupBy(inOrder(attempts), ({ placing }) => placing).values()].flatMap(([first]) =>
    first && isWithin(first.at, period) ? [first] : [],
  );
  const share = (of: readonly Attempt[]) =>
    shareOf(of.filter(({ succeeded }) => succeeded).length, of.length);
  const by = (key: (attempt: Attempt) => string) =>
    Object.fromEntries([...Map.groupBy(firsts, key)].map(([name, theirs]) => [name, share(theirs)]));
  return { all: share(firsts), bySpecies: by(({ species }) => species), byOperator: by((one) => one.by) };
}
