import type { WardPolicy } from '../policy/ward-policy.ts';
import type { HandFlush, LineState } from '../record/line-state.ts';

/**
 * The flush by hand that stands so near to `at` (ms), before or after it, that another one there is asked about first;
 * null where none does. A flush that a sample or a change of mode asked for is none of these. The minutes are the ward's, and never more
 * than half of what lies between two flushes: common practice, no source.
 *
 * Example: flushed 14:00, recorded again for 14:03 → the flush of 14:00; recorded for 14:12 → null.
 */
export function flushedJustNow(
  line: Pick<LineState, 'handFlushes' | 'flushCause' | 'flushModeSince'>,
  policy: Pick<WardPolicy, 'flushAgainMin' | 'flushEveryMin'>,
  at: number,
): HandFlush | null {
  if (line.flushCause !== null) return null;
  const withinMs = Math.min(policy.flushAgainMin, policy.flushEveryMin / 2) * 60_000;
  const near = line.handFlushes
    .filter((flush) => Math.abs(flush.at - at) < withinMs)
    .toSorted((a, b) => Math.abs(a.at - at) - Math.abs(b.at - at))[0];
  if (!near) return null;
  const isOtherMode =
    line.flushModeSince > Math.min(near.at, at) && line.flushModeSince <= Math.max(near.at, at);
  return isOtherMode ? null : near;
}
