import { effectiveEntries, struckBy } from '../domain/record/effective-entries.ts';
import type { Entry, EntryOf } from '../domain/record/entry.ts';
import { minuteMs } from '../domain/time.ts';
import { takenBackAtOnce, takenBackReason } from '../wording/notices/taken-back.ts';
import type { AppDeps } from './app-deps.ts';
import type { Intent } from './decide-drafts.ts';
import { type Outcome, recordOnLines } from './record-on-lines.ts';

/** How long after it was recorded a thing can be taken back with one tap, ms; common practice, no source. Later it is put right. */
export const takeBackMs = 2 * minuteMs;

/** Of a line the reason stands on its card: nobody but whoever registered it takes it back so. */
function reasonFor({ kind }: Entry): string {
  return kind === 'placed' ? takenBackAtOnce : takenBackReason;
}

/** Entries of one line, by their numbers in its log: `count` of them from `from` on. */
export interface EntriesOfLine {
  lineId: string;
  from: number;
  count: number;
}

/** One entry as it was recorded, with its line and its number. */
export interface EntryAt {
  lineId: string;
  number: number;
  entry: Entry;
  /** What the entry had struck or put right, as it stands again without it; absent where it's no amendment. */
  standsAgain?: Entry;
}

/** What became of taking back what one act recorded. `at`: when it was struck, ms. */
export type TakenBack =
  | { is: 'taken back'; entries: EntryAt[]; outcome: Outcome }
  /** Struck already, by a first tap or by whoever put it right. */
  | { is: 'struck before'; at: number; by: string }
  | { is: 'too late'; first: EntryAt }
  | { is: 'not theirs' };

/** What the amendment `number` speaks of, as it was before. */
function standsWithout(
  { body: { target } }: EntryOf<'amended'>,
  number: number,
  log: readonly Entry[],
): Entry | undefined {
  const before = effectiveEntries(log.slice(0, number - 1));
  return before.find((one) => one.number === target)?.entry;
}

/**
 * Strikes everything that one act recorded, for whoever recorded it: one change, all or nothing of it that still stands. What was recorded
 * later and builds on it stays; the line is derived anew.
 */
export async function takeBack(
  deps: AppDeps,
  intent: Intent,
  wanted: readonly EntriesOfLine[],
): Promise<TakenBack> {
  const { record, clock } = deps;
  const now = clock.now();
  const logs = await Promise.all(wanted.map(({ lineId }) => record.readLog(intent.wardId, lineId)));
  const all = wanted.flatMap(({ lineId, from, count }, index): (EntryAt & { strike?: Entry })[] => {
    const log = logs[index] ?? [];
    const strikes = struckBy(log);
    return Array.from({ length: count }, (_, step) => from + step).flatMap((number) => {
      const entry = log[number - 1];
      const strike = strikes.get(number);
      if (!entry) return [];
      const again = entry.kind === 'amended' ? standsWithout(entry, number, log) : undefined;
      const of = again ? { standsAgain: again } : {};
      return [{ lineId, number, entry, ...of, ...(strike ? { strike } : {}) }];
    });
  });
  if (all.length === 0 || all.some(({ entry }) => entry.by !== intent.by)) return { is: 'not theirs' };
  const entries = all.filter(({ strike }) => strike === undefined);
  const [first] = entries;
  if (!first) {
    const { told = now, by = intent.by } = all[0]?.strike ?? {};
    return { is: 'struck before', at: told, by };
  }
  if (now - first.entry.told > takeBackMs) return { is: 'too late', first };
  const outcome = await recordOnLines(
    deps,
    intent,
    entries.map(({ lineId, number, entry }) => ({
      lineId,
      draft: { kind: 'amended', body: { target: number, strike: reasonFor(entry) } },
    })),
  );
  if (outcome.repeat) return { is: 'struck before', at: now, by: intent.by };
  return { is: 'taken back', entries, outcome };
}
