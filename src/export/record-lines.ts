import { DateTime } from 'luxon';
import type { WardCopy } from '../app/ward-copy.ts';
import { entrySchema } from '../domain/record/entry.ts';
import { wardEntrySchema } from '../domain/ward/ward-entry.ts';

/** Name and version of the file that `restoreRecord` reads. A version that was ever written is read for good. */
export const recordFormat = { format: 'dicrotic-record', version: 1 } as const;

/**
 * The record of a ward as NDJSON lines without line ends: a header that says what follows and how much of it, the ward's
 * own entries, then each line's, in order. Instants in entries are ms since the epoch; `exportedAt` (ms) is written as
 * UTC in the header. The same copy and instant always give the same bytes.
 * Throws on an entry that could not be read back.
 */
export function* recordLines(
  { wardId, wardEntries, lines }: WardCopy,
  exportedAt: number,
): Generator<string> {
  yield JSON.stringify({
    ...recordFormat,
    ward: wardId,
    exportedAt: DateTime.fromMillis(exportedAt, { zone: 'UTC' }).toISO(),
    wardEntries: wardEntries.length,
    lines: lines.map(({ id, listed, entries }) => ({ id, listed, entries: entries.length })),
  });
  for (const [index, entry] of wardEntries.entries()) {
    yield JSON.stringify({ ward: index + 1, entry: wardEntrySchema.parse(entry) });
  }
  for (const { id, entries } of lines) {
    for (const [index, entry] of entries.entries()) {
      yield JSON.stringify({ line: id, number: index + 1, entry: entrySchema.parse(entry) });
    }
  }
}

/** The whole file: every line ended by a line feed. */
export function recordFile(copy: WardCopy, exportedAt: number): string {
  return `${[...recordLines(copy, exportedAt)].join('\n')}\n`;
}
