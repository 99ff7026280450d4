import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';

/** What is known of each state, all in one table: a table for each work would cost the collector of garbage more than it saves. */
const known = new WeakMap<LineState, { policy: WardPolicy; made: unknown[] }>();
let works = 0;

/**
 * Remembers what `work` made of a state of a line under a policy: one look at a ward asks for it several times. A state and a policy
 * are replaced, never changed, so callers cannot tell. What it made belongs to all who ask: it is not to be changed.
 */
export function perState<T extends {} | null>(
  work: (line: LineState, policy: WardPolicy) => T,
): (line: LineState, policy: WardPolicy) => T {
  const mine = works++;
  return (line, policy) => {
    let ofState = known.get(line);
    if (ofState?.policy !== policy) {
      ofState = { policy, made: [] };
      known.set(line, ofState);
    }
    const before = ofState.made[mine];
    if (before !== undefined) return before as T;
    const made = work(line, policy);
    ofState.made[mine] = made;
    return made;
  };
}
