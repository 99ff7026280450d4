import { bloodLostMl } from '../blood/blood-loss.ts';
import { type CauseOf, sooner } from '../record/causes.ts';
import type { EntryOf } from '../record/entry.ts';
import type { Done, LineState, Sampling } from '../record/line-state.ts';
import { dayMs } from '../time.ts';
import { flushedByHand } from './fold-flush.ts';

/** What a sample changes: the blood it took, a zero, and a flush unless the line was flushed after it. */
export function sampledNow(
  before: LineState,
  { at, by, body }: EntryOf<'sampled'>,
  done: Done,
  causeOf: CauseOf,
): Partial<LineState> {
  const { volumeMl, discardMl = 0, discardReturned = false, flushed, flushMl } = body;
  const cause = causeOf('sampled');
  return {
    zeroCause: sooner(before.zeroCause, cause),
    ...(flushed ? flushedByHand(before, done, flushMl) : { flushCause: sooner(before.flushCause, cause) }),
    ...lost(before, { at, by, volumeMl, discardMl, discardReturned }),
  };
}

/** What changes when a line was moved or came apart: a zero, a level, and what it bled. */
export function disturbedNow(
  before: LineState,
  { at, by, body }: EntryOf<'disturbed'>,
  causeOf: CauseOf,
): Partial<LineState> {
  const { bloodLostMl: volumeMl = 0 } = body;
  const cause = causeOf('disturbed');
  return {
    zeroCause: sooner(before.zeroCause, cause),
    levelCause: sooner(before.levelCause, cause),
    ...(volumeMl > 0
      ? lost(before, { at, by, volumeMl, discardMl: 0, discardReturned: false, isSpilt: true })
      : {}),
  };
}

function lost(before: LineState, sample: Sampling): Pick<LineState, 'lostMl' | 'samples'> {
  return {
    lostMl: before.lostMl + bloodLostMl([sample]),
    samples: [...before.samples, sample].filter(({ at }) => at > sample.at - dayMs),
  };
}
