import { longestTargetsMs } from '../reading/targets.ts';
import { type EffectiveEntry, effectiveEntries, withValues } from '../record/effective-entries.ts';
import { bodySchema, type DraftOf, type Entry, type EntryKind, type EntryOf } from '../record/entry.ts';
import type { LineState } from '../record/line-state.ts';
import { mayDecide } from '../ward/on-call.ts';
import type { WardState } from '../ward/ward-state.ts';
import {
  backDateMs,
  checkReading,
  checkTime,
  decisionMs,
  placingBackDateMs,
  type Refusal,
} from './refusal.ts';
import { isOnlyWhileIn, seenToSince } from './seen-to-since.ts';

/** Entries the bot wrote say what readers were told; they are not a person's to put right. */
const botKinds: readonly EntryKind[] = ['nudged', 'escalated'];

/** Why an amendment is not taken; null where it is. `log`: of the line, without it. */
export function checkAmendment(
  line: LineState,
  ward: WardState,
  entry: EntryOf<'amended'>,
  log: readonly Entry[],
): Refusal | null {
  const { target, at, strike, body } = entry.body;
  const original = log[target - 1];
  if (original === undefined) return { because: 'no such entry', target };
  if (botKinds.includes(original.kind)) return { because: 'written by the bot' };
  if (original.kind === 'placed' && strike !== undefined) return recordedSince(log, entry.body.seen ?? 1);
  // Undoing an amendment strikes it; it has no time or values of its own to put right.
  if (original.kind === 'amended' && strike === undefined) return { because: 'no such entry', target };
  if (speaksOfDecision(original, log) && !mayDecide(ward, entry.by, entry.told))
    return { because: 'clinician only' };
  if (at !== undefined) {
    const time = checkTime(at, entry.told, original.kind === 'placed' ? placingBackDateMs : backDateMs);
    if (time) return time;
  }
  if (body !== undefined) {
    const problems = problemsOf(original, body);
    if (problems.length > 0) return { because: 'values do not fit', problems };
  }
  const decided = (body as Partial<DraftOf<'placed'>['body']> | undefined)?.screening?.override;
  const isNew = decided !== undefined && decided.at !== line.screening?.override?.at;
  if (original.kind === 'placed' && isNew && !mayDecide(ward, decided.clinician, entry.told))
    return { because: 'clinician only' };
  const longest = { ...original.body, ...body } as { until?: unknown };
  if (original.kind === 'targetsSet' && Number(longest.until) > original.told + longestTargetsMs)
    return { because: 'decided for too long', latest: original.told + longestTargetsMs };
  if (original.kind === 'waived' && Number(longest.until) > original.told + decisionMs)
    return { because: 'decided for too long', latest: original.told + decisionMs };
  const after = effectiveEntries([...log, entry]);
  const placedAt = after.find(({ number }) => number === 1)?.entry.at ?? line.placed.at;
  const first = after.find(({ number }) => number !== 1)?.entry.at ?? placedAt;
  if (first < placedAt) return { because: 'before placing', at: first, placedAt };
  if (line.removed && after.filter(({ entry: { kind } }) => kind === 'removed').length > 1)
    return { because: 'out twice', removedAt: line.removed.at, by: line.removed.by };
  const changed = after.find(({ number }) => number === target)?.entry;
  if (at !== undefined && changed?.kind === 'removed') {
    const seen = seenToSince([...log, entry], changed.at);
    if (seen) return seen;
  }
  if (at !== undefined && line.removed && changed && isOnlyWhileIn(changed.kind) && at > line.removed.at)
    return { because: 'line out', removedAt: line.removed.at, by: line.removed.by };
  return changed?.kind === 'reading' ? checkReading(changed.body) : null;
}

/** What people recorded of a line after its first `seen` entries, which whoever strikes its placing has not seen. */
function recordedSince(log: readonly Entry[], seen: number): Refusal | null {
  const since = careOf(log).filter(({ number }) => number > seen);
  const latest = since.at(-1)?.entry;
  return latest
    ? { because: 'recorded since', count: since.length, at: latest.at, by: latest.by, kind: latest.kind }
    : null;
}

/** What people recorded of a line after its placing and counts still: all that is lost with it where it was registered in error. */
export function careOf(log: readonly Entry[]): EffectiveEntry[] {
  return effectiveEntries(log).filter(
    ({ number, entry }) => number !== 1 && !botKinds.includes(entry.kind) && !moving.includes(entry.kind),
  );
}

/** What only moves a reminder, or says whom it goes to. */
const moving: readonly EntryKind[] = ['claimed', 'snoozed', 'assigned'];

/** What a clinician alone may record. */
const decisions: readonly EntryKind[] = ['waived', 'targetsSet', 'targetsEnded'];

/** A decision, or an amendment of one: only a clinician may lengthen, shorten, take back or bring back what one gave. */
function speaksOfDecision(original: Entry, log: readonly Entry[]): boolean {
  if (original.kind !== 'amended') return decisions.includes(original.kind);
  const target = log[original.body.target - 1];
  return target !== undefined && speaksOfDecision(target, log);
}

/** A person's own "later" or claim may be taken back, not made longer. */
const onlyStruck: readonly EntryKind[] = ['claimed', 'snoozed'];

function problemsOf(original: Entry, body: Record<string, unknown>): string[] {
  if (onlyStruck.includes(original.kind)) return Object.keys(body);
  const parsed = bodySchema(original.kind).safeParse(withValues(original.body, body));
  return parsed.success ? [] : parsed.error.issues.map(({ path }) => path.join(' '));
}
