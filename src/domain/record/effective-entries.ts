import type { Entry, EntryOf } from './entry.ts';

/** An entry as it counts after all amendments, with its number in the log (from 1). */
export interface EffectiveEntry {
  number: number;
  entry: Entry;
  /**
   * When its values were last put right, ms, how it was recorded at first, and when each value named was recorded; absent where
   * none ever was.
   */
  amended?: { told: number; first: Entry; valueRecordedAt: Readonly<Record<string, number>> };
}

/**
 * The entries that were struck out, by their numbers, each with the latest entry that struck it. A strike that was struck
 * itself strikes nothing.
 */
export function struckBy(log: readonly Entry[]): Map<number, Entry> {
  const struck = new Map<number, Entry>();
  // From the last to the first: one that is struck later is known to be void before it is reached.
  for (let number = log.length; number >= 1; number--) {
    const entry = log[number - 1];
    if (entry?.kind !== 'amended' || struck.has(number)) continue;
    const { target, strike } = entry.body;
    if (strike !== undefined && target < number && !struck.has(target)) struck.set(target, entry);
  }
  return struck;
}

/** What struck a line's placing, with its number; null of a line that was not registered in error. */
export function placingStruck(log: readonly Entry[]): { number: number; entry: EntryOf<'amended'> } | null {
  // Most lines are never amended, and thousands of logs need not be looked through twice.
  if (!log.some(({ kind, body }) => kind === 'amended' && 'strike' in body && body.target === 1)) return null;
  const entry = struckBy(log).get(1);
  return entry?.kind === 'amended' ? { number: log.lastIndexOf(entry) + 1, entry } : null;
}

/**
 * The entries of a log that count, each with its latest amended time and values, in the order they happened
 * (ties in the order they were recorded). Amendments themselves drop out; one that was struck changes nothing. A placing always
 * stays: of one that was struck `placingStruck` says.
 *
 * Example: `[placed 01:00, flushed 02:00, amended(target 2, at 01:45)]` → `[placed 01:00, flushed 01:45]`.
 */
export function effectiveEntries(log: readonly Entry[]): EffectiveEntry[] {
  const struck = struckBy(log);
  const patches = new Map<
    number,
    { at?: number; body: object; told: number; valueRecordedAt: Record<string, number> }
  >();
  // From the last to the first: of two that speak of the same value the later one is met first and wins.
  for (let number = log.length; number >= 1; number--) {
    const entry = log[number - 1];
    if (entry?.kind !== 'amended' || struck.has(number) || entry.body.target >= number) continue;
    const { target, at, strike, body } = entry.body;
    if (strike !== undefined) continue;
    const patch = patches.get(target) ?? { body: {}, told: entry.told, valueRecordedAt: {} };
    if (at !== undefined) patch.at ??= at;
    patch.body = { ...body, ...patch.body };
    for (const key of Object.keys(body ?? {})) patch.valueRecordedAt[key] ??= entry.told;
    patches.set(target, patch);
  }
  return (
    log
      .map((first, index) => {
        const patch = patches.get(index + 1);
        return {
          number: index + 1,
          entry: patched(first, patch),
          ...(patch ? { amended: { told: patch.told, first, valueRecordedAt: patch.valueRecordedAt } } : {}),
        };
      })
      .filter(({ number, entry }) => entry.kind !== 'amended' && (number === 1 || !struck.has(number)))
      // Of one time they stay in the order they were recorded in.
      .sort((a, b) => a.entry.at - b.entry.at)
  );
}

/** The entry that an amendment speaks of, as it counted before it was struck, or counts since it was put right. `log`: without it. */
export function amendedBy(amendment: EntryOf<'amended'>, log: readonly Entry[]): Entry | undefined {
  const { target, strike } = amendment.body;
  const counts = effectiveEntries(strike === undefined ? [...log, amendment] : log);
  return counts.find(({ number }) => number === target)?.entry;
}

function patched(entry: Entry, patch: { at?: number; body: object } | undefined): Entry {
  if (patch === undefined) return entry;
  return { ...entry, at: patch.at ?? entry.at, body: withValues(entry.body, patch.body) } as Entry;
}

/** The values of an entry with those that an amendment gives; null clears one. */
export function withValues(body: object, given: object): object {
  return Object.fromEntries(Object.entries({ ...body, ...given }).filter(([, value]) => value !== null));
}
