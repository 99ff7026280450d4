import { type ByKind, byKind } from '../by-kind.ts';
import { recentNow } from '../duties/recent.ts';
import { isCapped } from '../level/transducer.ts';
import { type CauseOf, causesOf } from '../record/causes.ts';
import { type EffectiveEntry, effectiveEntries, placingStruck } from '../record/effective-entries.ts';
import type { Entry, EntryKind } from '../record/entry.ts';
import type { Done, LineState } from '../record/line-state.ts';
import { begin } from './fold-begin.ts';
import { disturbedNow, sampledNow } from './fold-blood.ts';
import { faultClosedNow, faultOpenedNow, faultStepNow } from './fold-faults.ts';
import { holdNow, pulseNow, redressedNow, removedNow, siteCheckedNow } from './fold-findings.ts';
import { flushedByHand, flushedNow, flushModeNow, sourceNow, sourceSeen } from './fold-flush.ts';
import { assignedNow, heldOffNow, notedNow, remindedNow, waivedNow } from './fold-marks.ts';
import { cappedNow, joinedNow, movedNow } from './fold-moves.ts';
import { levelledNow, readingNow, testedNow, zeroedNow } from './fold-pressure.ts';

/** Raised when the fold or the state's shape changes: a snapshot made by another number is folded again. */
export const foldNumber = 19;

/**
 * The state of a line from its whole log, whatever order things were recorded in.
 * A log begins with `placed`; anything else is a bug and throws.
 */
export function foldLine(id: string, log: readonly Entry[]): LineState {
  const { first, rest } = fromPlacing(id, log);
  return { ...rest.reduce(apply, first), version: log.length };
}

/** One entry that counts, with the line as it was before it and after. */
export interface FoldStep {
  before: LineState;
  entry: Entry;
  after: LineState;
}

/**
 * The states that a line went through, in the order things happened, every amendment known from the start. Its placing is
 * the first state and no step. The states' `version` is not that of the log. `passedOver`: kinds of entry whose traces in the
 * state nobody will look at; they leave the line as it was. Throws as `foldLine` does.
 */
export function foldSteps(
  id: string,
  log: readonly Entry[],
  passedOver: readonly EntryKind[] = [],
): { first: LineState; steps: FoldStep[] } {
  const { first, rest } = fromPlacing(id, log);
  let before = first;
  const steps = rest.map((effective) => {
    const { entry } = effective;
    const step = {
      before,
      entry,
      after: passedOver.includes(entry.kind) ? before : apply(before, effective),
    };
    before = step.after;
    return step;
  });
  return { first, steps };
}

function fromPlacing(id: string, log: readonly Entry[]): { first: LineState; rest: EffectiveEntry[] } {
  const all = effectiveEntries(log);
  const [first] = all;
  if (first?.entry.kind !== 'placed') throw new Error(`line ${id}: the log does not begin with its placing`);
  const told = first.amended?.valueRecordedAt['patient'] ?? first.entry.told;
  const struck = placingStruck(log);
  const inError = struck && {
    at: struck.entry.told,
    by: struck.entry.by,
    entry: struck.number,
    reason: struck.entry.body.strike ?? '',
  };
  const amendedAt = log.findLast(({ kind }) => kind === 'amended')?.told ?? null;
  return { first: { ...begin(id, first.entry, first.number, told), inError, amendedAt }, rest: all.slice(1) };
}

/**
 * The state after one more entry. `log` is asked for only when the entry happened before something already folded,
 * or amends it; then everything after is derived anew.
 */
export function foldNext(state: LineState, entry: Entry, log: () => readonly Entry[]): LineState {
  if (entry.kind === 'amended' || entry.at < state.latestAt) return foldLine(state.id, [...log(), entry]);
  return { ...apply(state, { number: state.version + 1, entry }), version: state.version + 1 };
}

/** Of a line without a transducer nothing asks for a zero, a level or a test. */
function apply(before: LineState, effective: EffectiveEntry): LineState {
  const { entry, number } = effective;
  const done: Done = { at: entry.at, by: entry.by, entry: number };
  const state: LineState = {
    ...before,
    latestAt: Math.max(before.latestAt, entry.at),
    last: { ...before.last, [entry.kind]: done },
    recent: recentNow(before.recent, entry, number),
    ...byKind(changes, entry, { before, effective, number, done, causeOf: causesOf(entry, number) }),
  };
  return isCapped(state) ? { ...state, zeroCause: null, testCause: null, levelCause: null } : state;
}

/** The line as it was before an entry, with the entry's number and what follows from when it happened. */
interface Folding {
  before: LineState;
  effective: EffectiveEntry;
  number: number;
  done: Done;
  causeOf: CauseOf;
}

const unchanged = () => ({});

/** What one entry changes of a line. */
const changes: ByKind<Entry, [Folding], Partial<LineState>> = {
  placed: unchanged,
  zeroed: (entry, { before }) => zeroedNow(before, entry),
  levelled: (entry, { before }) => levelledNow(before, entry),
  fastFlushTested: (entry, { before }) => testedNow(before, entry),
  reading: (entry, { before, effective }) => readingNow(before, entry, effective),
  flushed: (entry, { before, done }) => flushedNow(before, entry, done),
  flushModeChanged: flushModeNow,
  sourceChanged: (entry, { before, causeOf }) => sourceNow(before, entry, causeOf),
  sourceChecked: (entry, { before }) => sourceSeen(before, entry),
  redressed: (entry, { before, effective, done, causeOf }) =>
    redressedNow(before, entry, effective, done, causeOf),
  siteChecked: (entry, { before, effective, done, causeOf }) =>
    siteCheckedNow(before, entry, effective, done, causeOf),
  sampled: (entry, { before, done, causeOf }) => sampledNow(before, entry, done, causeOf),
  disturbed: (entry, { before, causeOf }) => disturbedNow(before, entry, causeOf),
  capped: (entry, { before, done, causeOf }) => ({
    ...cappedNow(before, entry, causeOf('capped')),
    ...(entry.body.flushed ? flushedByHand(before, done, entry.body.flushMl) : {}),
  }),
  transducerJoined: (entry, { before, causeOf }) => joinedNow(before, entry, causeOf('joined')),
  leftWard: (entry, { before, done, causeOf }) => movedNow(before, entry, done, causeOf),
  arrived: (entry, { before, done, causeOf }) => movedNow(before, entry, done, causeOf),
  returned: (entry, { before, done, causeOf }) => movedNow(before, entry, done, causeOf),
  faultOpened: (entry, { before, done }) => faultOpenedNow(before, entry, done),
  faultStep: (entry, { before, number }) => faultStepNow(before, entry, number),
  faultClosed: (entry, { before, done, causeOf }) => faultClosedNow(before, entry, done, causeOf),
  removed: (entry, { before, effective, done }) => removedNow(before, entry, effective, done),
  pulseChecked: (entry, { before, effective, done }) => pulseNow(before, entry, effective, done),
  holdEnded: (entry, { before, effective, done }) => holdNow(before, entry, effective, done),
  assigned: (entry, { before }) => assignedNow(before, entry),
  noted: (entry, { before, number }) => notedNow(before, entry, number),
  nudged: (entry, { before, number }) => remindedNow(before, entry, number),
  escalated: (entry, { before, number }) => remindedNow(before, entry, number),
  claimed: (entry, { before, number }) => heldOffNow(before, entry, number),
  snoozed: (entry, { before, number }) => heldOffNow(before, entry, number),
  waived: (entry, { before, number }) => waivedNow(before, entry, number),
  targetsSet: ({ body, at, by }, { number }) => ({
    targets: { ...body, at, by, endedAt: null, entry: number },
  }),
  targetsEnded: ({ at }, { before }) =>
    before.targets ? { targets: { ...before.targets, endedAt: at } } : {},
  amended: unchanged,
};
