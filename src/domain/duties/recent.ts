import { type DutyKind, dutyKinds } from '../duty-kind.ts';
import type { Entry, EntryKind } from '../record/entry.ts';
import type { Done, LineState } from '../record/line-state.ts';
import { clearedBy } from './usual-draft.ts';

/** So many doings of a kind of duty are kept: a day of hourly flushes. */
const kept = 24;

const doing = new Map<EntryKind, DutyKind[]>();
for (const kind of dutyKinds)
  for (const entryKind of clearedBy[kind]) doing.set(entryKind, [...(doing.get(entryKind) ?? []), kind]);

/** Whether an entry of a kind that does a duty did it: a sample that was not flushed does no flush. */
function does(entry: Entry, kind: DutyKind): boolean {
  if (kind === 'flush' && (entry.kind === 'sampled' || entry.kind === 'capped'))
    return entry.body.flushed === true;
  if (kind === 'set' && entry.kind === 'sourceChanged') return entry.body.newSet === true;
  if (kind === 'hold' && entry.kind === 'holdEnded') return !entry.body.oozing;
  return true;
}

/** What was done lately, with one entry more. */
export function recentNow(before: LineState['recent'], entry: Entry, number: number): LineState['recent'] {
  const kinds = (doing.get(entry.kind) ?? []).filter((kind) => does(entry, kind));
  if (kinds.length === 0) return before;
  const done = { at: entry.at, by: entry.by, entry: number, told: Math.max(entry.at, entry.told) };
  const after = { ...before };
  for (const kind of kinds) after[kind] = [...(before[kind] ?? []), done].slice(-kept);
  return after;
}

/**
 * What did a duty that was asked for at `askedAt` (ms): of the entries that do it the first that was recorded since. A later one did
 * the next duty of its kind, and leaves this one as it was done. Null where none was recorded.
 */
export function doneSince(
  { recent }: Pick<LineState, 'recent'>,
  kind: DutyKind,
  askedAt: number,
): Done | null {
  const [first] = (recent[kind] ?? [])
    .filter(({ told }) => told >= askedAt)
    .toSorted((a, b) => a.told - b.told || a.entry - b.entry);
  return first ? { at: first.at, by: first.by, entry: first.entry } : null;
}
