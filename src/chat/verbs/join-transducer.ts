import type { DraftOf } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';

/** Joined to the transducer it was taken off, flushed as it was then; null where it was taken off none. */
export function joinedAgain({ setAside }: Pick<LineState, 'setAside'>): DraftOf<'transducerJoined'> | null {
  if (!setAside) return null;
  const { flushMode, source } = setAside;
  return {
    kind: 'transducerJoined',
    body: { newSet: false, flushMode, ...(source && flushMode === 'continuous' ? { source } : {}) },
  };
}
