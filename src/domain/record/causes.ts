import type { Entry } from './entry.ts';
import type { Cause } from './line-state.ts';

/** An event of an entry that makes a duty due at once. */
export type CauseOf = (why: Cause['why']) => Cause;

/** What was recorded late could be asked for only then: it is not late from before it was recorded. */
export function causesOf({ at, told }: Entry, number: number): CauseOf {
  return (why) => ({ at: Math.max(at, told), entry: number, why });
}

/** The cause that makes a duty due first; of two at one time the one that stood already. */
export function sooner(standing: Cause | null, next: Cause): Cause {
  return standing && standing.at <= next.at ? standing : next;
}
