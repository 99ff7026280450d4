import { sourceInUse } from '../fluid/flush-fluid.ts';
import { type CauseOf, sooner } from '../record/causes.ts';
import type { EntryOf } from '../record/entry.ts';
import type { Done, LineState } from '../record/line-state.ts';
import { dayMs } from '../time.ts';

/** What a flush by hand changes, with the syringe it came from where that was recorded. */
export function flushedNow(
  before: LineState,
  { at, body }: EntryOf<'flushed'>,
  done: Done,
): Partial<LineState> {
  const { volumeMl, heparinUPerMl } = body;
  return {
    // A syringe that was recorded stays in the hand until another is.
    ...(heparinUPerMl !== undefined && before.flushMode === 'manual'
      ? { source: { ...(sourceInUse(before) ?? { kind: 'syringe', asOf: at }), heparinUPerMl } }
      : {}),
    ...flushedByHand(before, done, volumeMl, heparinUPerMl),
  };
}

/** What changes with how the line is flushed. */
export function flushModeNow({ at, body }: EntryOf<'flushModeChanged'>): Partial<LineState> {
  return {
    flushMode: body.mode,
    flushModeSince: at,
    ...(body.source ? { source: { ...body.source, asOf: at } } : {}),
  };
}

/** What a new source changes; a new transducer set asks for a zero and a test. */
export function sourceNow(
  before: LineState,
  { at, body }: EntryOf<'sourceChanged'>,
  causeOf: CauseOf,
): Partial<LineState> {
  const cause = causeOf('source changed');
  return {
    source: { ...body.source, asOf: at },
    ...(body.newSet
      ? {
          setSince: at,
          zeroCause: sooner(before.zeroCause, cause),
          testCause: sooner(before.testCause, cause),
        }
      : {}),
  };
}

/** What a look at the source says of it. */
export function sourceSeen(
  { source }: LineState,
  { at, body }: EntryOf<'sourceChecked'>,
): Partial<LineState> {
  const { pressureMmHg, volumeLeftMl } = body;
  if (!source) return {};
  return {
    source: {
      ...source,
      ...(pressureMmHg === undefined ? {} : { pressureMmHg }),
      ...(volumeLeftMl === undefined ? {} : { volumeMl: volumeLeftMl, asOf: at }),
    },
  };
}

/** What a flush by hand leaves behind; its heparin (U/mL) is that of the source in use where none was recorded with it. */
export function flushedByHand(
  before: LineState,
  done: Done,
  volumeMl: number | undefined,
  heparinUPerMl = sourceInUse(before)?.heparinUPerMl,
): Partial<LineState> {
  const flush = { ...done, volumeMl: volumeMl ?? null, heparinUPerMl: heparinUPerMl ?? null };
  return {
    flushed: done,
    flushCause: null,
    flushCount: before.flushCount + 1,
    flushesWithoutVolume: before.flushesWithoutVolume + (volumeMl === undefined ? 1 : 0),
    flushedMl: before.flushedMl + (volumeMl ?? 0),
    handFlushes: [...before.handFlushes, flush].filter(({ at }) => at > done.at - dayMs),
  };
}
