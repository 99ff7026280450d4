import { hourMs } from '../time.ts';
import type { WardState } from './ward-state.ts';

/** Somebody whom a direct message could not reach at `at`, ms. */
export interface Unreached {
  user: string;
  at: number;
}

/**
 * How long nobody tries again to reach them, ms: meanwhile the next person is told in their place. Naming them anew ends it.
 * Common practice, no source.
 */
export const unreachedMs = 4 * hourMs;

/** Whether direct messages are known not to reach this person at `now`. */
export function isUnreached({ unreached }: WardState, user: string, now: number): boolean {
  return unreached.some((one) => one.user === user && now < one.at + unreachedMs);
}

/** So long nobody who was not reached is taken for reached again, unless the platform says that they are, ms (own rule). */
const doubtedMs = 24 * hourMs;

/** Whether direct messages did not reach this person lately, so that a message sent into the dark may count as told to nobody. */
export function wasUnreached({ unreached }: WardState, user: string, now: number): boolean {
  return unreached.some((one) => one.user === user && now < one.at + doubtedMs);
}

/** Everybody who is not reached now, after one more was found not to be at `at`. */
export function unreachedAfter(before: readonly Unreached[], user: string, at: number): Unreached[] {
  return [...before.filter((one) => one.user !== user && at < one.at + unreachedMs), { user, at }];
}
