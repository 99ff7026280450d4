import { DateTime } from 'luxon';
import { z } from 'zod';
import { type LineCopy, storableId, type WardCopy } from '../app/ward-copy.ts';
import { foldLine } from '../domain/fold/fold-line.ts';
import { entrySchema } from '../domain/record/entry.ts';
import { wardEntrySchema } from '../domain/ward/ward-entry.ts';
import { policyRefusal } from '../wording/refusals/policy-refusals.ts';
import { lostValue } from './lost-value.ts';
import { recordFormat } from './record-lines.ts';

/** A record read from a file, or the number of the line (from 1) that is wrong and what is wrong with it. */
export type Restored =
  | { is: 'record'; copy: WardCopy; exportedAt: number }
  | { is: 'refused'; line: number; why: string };

const storable = z.string().regex(storableId, { error: 'an id has no blanks and no braces' });
const count = z.number().int().nonnegative();
const headerSchema = z.strictObject({
  format: z.literal(recordFormat.format),
  version: z.literal(recordFormat.version),
  ward: storable,
  exportedAt: z.string().refine((text) => DateTime.fromISO(text, { zone: 'UTC' }).toISO() === text, {
    error: 'it is no instant as 2026-11-25T03:00:00.000Z is one',
  }),
  wardEntries: count,
  lines: z
    .array(z.strictObject({ id: storable, listed: z.boolean(), entries: count.min(1) }))
    .refine((lines) => new Set(lines.map(({ id }) => id)).size === lines.length, {
      error: 'a line is named twice',
    }),
});
const wardRowSchema = z.strictObject({ ward: count, entry: wardEntrySchema });
const lineRowSchema = z.strictObject({ line: z.string(), number: count, entry: entrySchema });

/** Thrown within this file only. */
class Wrong extends Error {
  readonly line: number;
  constructor(line: number, why: string) {
    super(why);
    this.line = line;
  }
}

/**
 * Reads a file that `recordLines` made, line by line. All of it or nothing: a line that is missing, too many, out of
 * order, not of this version or holding anything that would be lost refuses the whole, and so does a log that makes no
 * line. Blank lines at the end are passed over.
 */
export function restoreRecord(texts: Iterable<string>): Restored {
  try {
    return { is: 'record', ...read(texts) };
  } catch (error) {
    if (!(error instanceof Wrong)) throw error;
    return { is: 'refused', line: error.line, why: error.message };
  }
}

function read(texts: Iterable<string>): { copy: WardCopy; exportedAt: number } {
  const rows = reader(texts);
  const header = parsed(headerSchema, rows.next('a header line is expected first'));
  const exportedAt = DateTime.fromISO(header.exportedAt).toMillis();
  const copy: WardCopy = { wardId: header.ward, wardEntries: [], lines: [] };
  for (let number = 1; number <= header.wardEntries; number++) {
    const wanted = `entry ${number} of ${header.wardEntries} of the ward is expected`;
    const row = rows.next(wanted);
    const { ward: said, entry } = parsed(wardRowSchema, row);
    if (said !== number)
      throw new Wrong(row.line, `${wanted}, not entry ${said}: a line is missing or moved`);
    copy.wardEntries.push(entry);
  }
  for (const { id, listed, entries: expected } of header.lines) {
    const line: LineCopy = { id, listed, entries: [] };
    let begins = 0;
    for (let number = 1; number <= expected; number++) {
      const wanted = `entry ${number} of ${expected} of line ${id} is expected`;
      const row = rows.next(wanted);
      const { line: of, number: said, entry } = parsed(lineRowSchema, row);
      if (of !== id || said !== number)
        throw new Wrong(row.line, `${wanted}, not entry ${said} of line ${of}: a line is missing or moved`);
      line.entries.push(entry);
      begins ||= row.line;
    }
    checkFolds(line, begins);
    copy.lines.push(line);
  }
  rows.end();
  return { copy, exportedAt };
}

interface Row {
  line: number;
  text: string;
}

/** The file's lines one after the other, numbered from 1; blank ones at its end are none. */
function reader(texts: Iterable<string>) {
  const all = [...texts];
  while (all.at(-1)?.trim() === '') all.pop();
  let line = 0;
  return {
    next(wanted: string): Row {
      line += 1;
      const text = all[line - 1];
      if (text === undefined)
        throw new Wrong(line, `${wanted}, but the file ends: it is cut off; use a whole copy`);
      return { line, text };
    },
    end(): void {
      if (line < all.length)
        throw new Wrong(
          line + 1,
          'the header promised no more lines: take out what was added, or export again',
        );
    },
  };
}

function parsed<T>(schema: z.ZodType<T>, { line, text }: Row): T {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    throw new Wrong(line, 'it is not JSON: the file is damaged, or is no export made with --format ndjson');
  }
  const result = schema.safeParse(value, { reportInput: true });
  if (!result.success) throw new Wrong(line, result.error.issues.map(issueWords).join('; '));
  const lost = lostValue(value, result.data);
  if (lost !== null)
    throw new Wrong(line, `${lost} is nothing this version keeps: restore with the version that wrote it`);
  return result.data;
}

function issueWords(issue: z.core.$ZodIssue): string {
  const said = policyRefusal(issue);
  return issue.path.length === 0 ? said : `${issue.path.join('.')}: ${said}`;
}

function checkFolds({ id, entries }: LineCopy, line: number): void {
  try {
    foldLine(id, entries);
  } catch (cause) {
    throw new Wrong(line, cause instanceof Error ? cause.message : String(cause));
  }
}
