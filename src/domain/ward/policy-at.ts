import type { WardPolicy } from '../policy/ward-policy.ts';
import type { WardEntry } from './ward-entry.ts';

/**
 * The ward's policy at an instant (ms), from the ward's own log: that of the latest `policySet` up to and including it;
 * before the first one `defaultPolicy`. Of two of one instant the one recorded later counts.
 */
export function policyAtOf(
  wardEntries: readonly WardEntry[],
  defaultPolicy: WardPolicy,
): (at: number) => WardPolicy {
  const set = wardEntries
    .flatMap((entry) => (entry.kind === 'policySet' ? [{ at: entry.at, policy: entry.body.policy }] : []))
    .toSorted((a, b) => a.at - b.at);
  return (at) => {
    let low = 0;
    let high = set.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((set[middle]?.at ?? 0) <= at) low = middle + 1;
      else high = middle;
    }
    return set[low - 1]?.policy ?? defaultPolicy;
  };
}
