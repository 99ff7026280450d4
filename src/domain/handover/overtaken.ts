import type { WardState } from '../ward/ward-state.ts';

/**
 * Whether nobody is asked to accept the handover for `forMs` (ms) any more: it is forgotten, or was overtaken by the next shift's or
 * by a later one that was accepted. `postedAt`: when it was posted, ms.
 */
export function isOvertaken(
  { handovers }: Pick<WardState, 'handovers'>,
  forMs: number,
  postedAt = handovers.find((one) => one.for === forMs)?.postedAt ?? 0,
): boolean {
  return (
    handovers.every((one) => one.for !== forMs) ||
    handovers.some((one) => one.postedAt > postedAt && (one.auto || one.accepted !== null))
  );
}
