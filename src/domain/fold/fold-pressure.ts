import type { EffectiveEntry } from '../record/effective-entries.ts';
import type { EntryOf } from '../record/entry.ts';
import type { LineState, Reading } from '../record/line-state.ts';

/** What a zero changes: the reading before it is seen in its light. */
export function zeroedNow({ reading }: LineState, { at, body }: EntryOf<'zeroed'>): Partial<LineState> {
  const { openToAirMmHg } = body;
  return {
    zeroCause: null,
    ...(openToAirMmHg === undefined ? {} : { openToAir: { mmHg: openToAirMmHg, at } }),
    ...(reading && !reading.zeroAfter
      ? { reading: { ...reading, zeroAfter: { at, openToAirMmHg: openToAirMmHg ?? null } } }
      : {}),
  };
}

/** What a levelling changes. */
export function levelledNow({ reading }: LineState, { at, body }: EntryOf<'levelled'>): Partial<LineState> {
  const level = { belowHeartCm: body.belowHeartCm ?? 0, at };
  return {
    levelCause: null,
    level,
    ...(reading && !reading.levelAfter ? { reading: { ...reading, levelAfter: level } } : {}),
  };
}

/** What a fast-flush test changes. */
export function testedNow(before: LineState, { at, body }: EntryOf<'fastFlushTested'>): Partial<LineState> {
  const { reading } = before;
  const test = { ...body, at };
  return {
    testCause: null,
    test,
    ...(reading && speaksOf(reading, before) ? { reading: { ...reading, testAfter: test } } : {}),
  };
}

/** A reading with what stood behind it. */
export function readingNow(
  before: LineState,
  { at, told, by, body }: EntryOf<'reading'>,
  { number, amended }: EffectiveEntry,
): Partial<LineState> {
  return {
    reading: {
      ...body,
      at,
      // Put right it is news again: a worse number must reach whoever had decided on the first.
      told: Math.max(at, told, amended?.told ?? 0),
      by,
      entry: number,
      zeroedAt: before.last.zeroed?.at ?? null,
      unzeroed: before.zeroCause,
      unlevelled: before.levelCause,
      test: before.test,
    },
  };
}

/** Whether a test made now speaks of a reading before it: none that could be judged has, and nothing was renewed between. */
function speaksOf({ at, testAfter }: Reading, { testCause }: LineState): boolean {
  const isOpen = testAfter === undefined || testAfter.verdict === 'cannot tell';
  return isOpen && (testCause === null || testCause.at <= at);
}
