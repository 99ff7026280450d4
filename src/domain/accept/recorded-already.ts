import { effectiveEntries } from '../record/effective-entries.ts';
import type { Entry, EntryDraft, EntryHead, EntryKind, SiteFinding } from '../record/entry.ts';
import type { Done } from '../record/line-state.ts';
import { minuteMs } from '../time.ts';

/** Two people recording the same thing within this make one entry. */
export const sameEntryMs = minuteMs;

/** Acts that one person may record after another has: what each kind of body means when two are compared. */
const acts: readonly EntryKind[] = [
  'zeroed',
  'levelled',
  'fastFlushTested',
  'flushed',
  'flushModeChanged',
  'sourceChanged',
  'sourceChecked',
  'redressed',
  'siteChecked',
  'sampled',
  'reading',
  'disturbed',
  'capped',
  'transducerJoined',
  'leftWard',
  'arrived',
  'returned',
  'pulseChecked',
  'holdEnded',
];

const moves: readonly EntryKind[] = ['transducerJoined', 'leftWard', 'arrived', 'returned'];

/** What lies between an act and its like and makes the second one new, however soon: it undid, used or asked for it. */
const between: Partial<Record<EntryKind, readonly EntryKind[]>> = {
  flushed: ['sampled', 'flushModeChanged', 'capped'],
  zeroed: ['disturbed', 'redressed', 'sampled', 'sourceChanged', 'faultClosed', ...moves],
  levelled: ['disturbed', ...moves],
  disturbed: ['zeroed', 'levelled'],
  sampled: ['flushed'],
  reading: ['zeroed', 'levelled', 'disturbed', ...moves],
  fastFlushTested: ['sourceChanged', 'faultClosed', 'transducerJoined'],
  capped: ['transducerJoined'],
  transducerJoined: ['capped'],
  leftWard: ['arrived', 'returned'],
  arrived: ['leftWard', 'returned'],
  returned: ['leftWard'],
  siteChecked: ['redressed'],
  redressed: ['siteChecked'],
};

/**
 * Whether a draft entry repeats what stands in the log: the act of its kind nearest to the time recorded, within a minute of it,
 * with nothing between that makes it new, and values that agree wherever both give them. Only the nearest: where somebody
 * said otherwise meanwhile, the first words said again are news. `adds` are values that only the later one
 * gives; they must not be lost. Null when the draft is a new one.
 *
 * Example: `flushed` by one nurse and `flushed 2 mL` by another 40 s later are one flush, to which 2 mL is added.
 */
export function recordedAlready(
  log: readonly Entry[],
  draft: EntryDraft,
  head: EntryHead,
): { done: Done; adds: Record<string, unknown> | null } | null {
  if (head.via === 'bot' || !acts.includes(draft.kind)) return null;
  const stands = effectiveEntries(log);
  const alike = stands.filter(({ entry }) => entry.kind === draft.kind);
  const nearest = alike.findLast(({ entry }) => entry.at <= head.at) ?? alike[0];
  if (!nearest || Math.abs(nearest.entry.at - head.at) > sameEntryMs) return null;
  const { number, entry } = nearest;
  const makeNew = between[draft.kind] ?? [];
  const isNew = stands.some(
    (one) =>
      makeNew.includes(one.entry.kind) &&
      one.number > number &&
      one.entry.at >= entry.at &&
      one.entry.at <= Math.max(head.at, entry.at),
  );
  const body = isNew || isFlushedAgain(entry, draft) ? null : merged(entry.body, draft.body);
  if (!body) return null;
  const adds = Object.fromEntries(
    Object.entries(body).filter(([key, value]) => !isSame(value, (entry.body as Values)[key])),
  );
  if ('volumeMl' in adds && (entry.body as Values).usual === true) adds.usual = false;
  return {
    done: { at: entry.at, by: entry.by, entry: number },
    adds: Object.keys(adds).length > 0 ? adds : null,
  };
}

/** Recorded in spite of a flush just before: a second one, unless this very question was answered within the minute already. */
function isFlushedAgain(stands: Entry, draft: EntryDraft): boolean {
  if (draft.kind !== 'flushed' || draft.body.again === undefined) return false;
  return stands.kind !== 'flushed' || stands.body.again !== draft.body.again;
}

type Values = Record<string, unknown>;

/** Both bodies as one, or null where they disagree. */
function merged(first: object, second: object): Values | null {
  const one = plain(first);
  const other = plain(second);
  const both: Values = { ...one };
  for (const [key, value] of Object.entries(other)) {
    const known = one[key];
    if (known === undefined || isSame(known, value)) both[key] = known ?? value;
    else if (key === 'source') {
      const source = merged(known as object, value as object);
      if (!source) return null;
      both[key] = source;
    } else if (key === 'flushed') both[key] = known || value;
    // Two who looked at one label or one syringe: the first is named.
    else if (key === 'heparinSeenBy' || key === 'volumeSeenBy') both[key] = known;
    else return null;
  }
  return both;
}

/**
 * A body whose silent meanings are said: levelled without a number is level with the heart. A usual volume was recorded by
 * nobody, so that one that is recorded later takes its place.
 */
function plain(body: object): Values {
  const values: Values = Object.fromEntries(
    Object.entries(body)
      .filter(([, value]) => value !== undefined)
      .map(([key, value]) => [key, key === 'finding' ? named(value as SiteFinding) : value]),
  );
  if (values.usual === true) {
    delete values.volumeMl;
    delete values.usual;
  }
  // Not cold and not said are the same; so a limb found cold is added to what was recorded before.
  if (values.cold === false) delete values.cold;
  return values;
}

/** A finding by what it names: an absent one was looked at and unremarkable. */
function named(finding: SiteFinding): SiteFinding {
  return Object.fromEntries(Object.entries(finding).filter(([, seen]) => seen)) as SiteFinding;
}

function isSame(a: unknown, b: unknown): boolean {
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) return a === b;
  const one = plain(a);
  const other = plain(b);
  const keys = new Set([...Object.keys(one), ...Object.keys(other)]);
  const said = (value: unknown) => (value === false ? undefined : value);
  return [...keys].every((key) => isSame(said(one[key]), said(other[key])));
}
