import { recentNow } from '../duties/recent.ts';
import { isCapped } from '../level/transducer.ts';
import { causesOf } from '../record/causes.ts';
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
export const foldNumber = 17;

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
  return { first: { ...begin(id, first.entry, first.number, told), inError }, rest: all.slice(1) };
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
  const state: LineState = {
    ...before,
    latestAt: Math.max(before.latestAt, entry.at),
    last: { ...before.last, [entry.kind]: doneBy(entry, number) },
    recent: recentNow(before.recent, entry, number),
    ...changes(before, effective),
  };
  return isCapped(state) ? { ...state, zeroCause: null, testCause: null, levelCause: null } : state;
}

function doneBy({ at, by }: Entry, number: number): Done {
  return { at, by, entry: number };
}

/** What one entry changes of a line as it was before. */
function changes(before: LineState, effective: EffectiveEntry): Partial<LineState> {
  const { entry, number } = effective;
  const done = doneBy(entry, number);
  const causeOf = causesOf(entry, number);
  switch (entry.kind) {
    case 'zeroed':
      return zeroedNow(before, entry);
    case 'levelled':
      return levelledNow(before, entry);
    case 'fastFlushTested':
      return testedNow(before, entry);
    case 'reading':
      return readingNow(before, entry, effective);
    case 'flushed':
      return flushedNow(before, entry, done);
    case 'flushModeChanged':
      return flushModeNow(entry);
    case 'sourceChanged':
      return sourceNow(before, entry, causeOf);
    case 'sourceChecked':
      return sourceSeen(before, entry);
    case 'redressed':
      return redressedNow(before, entry, effective, done, causeOf);
    case 'siteChecked':
      return siteCheckedNow(before, entry, effective, done, causeOf);
    case 'sampled':
      return sampledNow(before, entry, done, causeOf);
    case 'disturbed':
      return disturbedNow(before, entry, causeOf);
    case 'capped':
      return {
        ...cappedNow(before, entry, causeOf('capped')),
        ...(entry.body.flushed ? flushedByHand(before, done, entry.body.flushMl) : {}),
      };
    case 'transducerJoined':
      return joinedNow(before, entry, causeOf('joined'));
    case 'leftWard':
    case 'arrived':
    case 'returned':
      return movedNow(before, entry, done, causeOf);
    case 'faultOpened':
      return faultOpenedNow(before, entry, done);
    case 'faultStep':
      return faultStepNow(before, entry, number);
    case 'faultClosed':
      return faultClosedNow(before, entry, done, causeOf);
    case 'removed':
      return removedNow(before, entry, effective, done);
    case 'pulseChecked':
      return pulseNow(before, entry, effective, done);
    case 'holdEnded':
      return holdNow(before, entry, effective, done);
    case 'assigned':
      return assignedNow(before, entry);
    case 'noted':
      return notedNow(before, entry, number);
    case 'nudged':
    case 'escalated':
      return remindedNow(before, entry, number);
    case 'claimed':
    case 'snoozed':
      return heldOffNow(before, entry, number);
    case 'waived':
      return waivedNow(before, entry, number);
    case 'targetsSet':
      return { targets: { ...entry.body, at: entry.at, by: entry.by, endedAt: null, entry: number } };
    case 'targetsEnded':
      return before.targets ? { targets: { ...before.targets, endedAt: entry.at } } : {};
    case 'placed':
    case 'amended':
      return {};
  }
}
