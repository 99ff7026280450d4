import { DateTime } from 'luxon';
import type { WardCopy } from '../app/ward-copy.ts';
import { foldLine } from '../domain/fold/fold-line.ts';
import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import type { Entry } from '../domain/record/entry.ts';
import type { WardEntry } from '../domain/ward/ward-entry.ts';
import { foldWard } from '../domain/ward/ward-state.ts';
import { animalName } from '../wording/care/animal-names.ts';
import { type Cell, csvRow } from './csv-row.ts';

/** Columns every table has, before the values. */
const fixedColumns = [
  'ward',
  'line',
  'number',
  'patient',
  'species',
  'weight_kg',
  'site',
  'side',
  'gauge',
  'kind',
  'happened_at',
  'told_at',
  'by',
  'via',
] as const;

/** Values that are instants, ms in the record. */
const instantNames = new Set(['until', 'dueAt', 'for', 'from', 'to', 'at', 'joins']);
/** Values with a free inner shape: written as JSON in one cell. */
const wholeNames = new Set(['policy', 'body']);

/**
 * The record of a ward as a table for a spreadsheet (RFC 4180: comma, CRLF, header first): a row an entry as it was
 * recorded, the ward's own first. Times are ISO 8601 with the offset of the ward's clocks. Patient, site and gauge stand as
 * they are known now, amendments included. After the fixed columns comes one for each value that occurs, such as `reading.sapMmHg`, by name.
 * The row of a placing that was registered in error says so, with when and by whom it was recorded (`placed.inErrorSince`,
 * `placed.inErrorBy`). No text is taken for a formula by a spreadsheet (see `csvRow`). `bom`: a UTF-8 byte order mark first, which some
 * spreadsheets need to read names right. Row by row. `policyIfNone`: of a ward that never set one; its zone is used.
 */
export function* recordCsv(
  copy: WardCopy,
  policyIfNone: WardPolicy,
  { bom = false }: { bom?: boolean } = {},
): Generator<string> {
  const { wardId, wardEntries, lines } = copy;
  const { zone } = foldWard(wardId, policyIfNone, wardEntries).policy.shifts;
  const rows: { first: Cell[]; values: Map<string, Cell> }[] = [];
  const add = (about: Cell[], number: number, entry: Entry | WardEntry, line: string, patient: Cell[]) =>
    rows.push({
      first: [
        ...about,
        line,
        number,
        ...patient,
        entry.kind,
        wallIso(entry.at, zone),
        wallIso(entry.told, zone),
        entry.by,
        entry.via,
      ],
      values: flattened(entry.body, zone, entry.kind),
    });
  for (const [index, entry] of wardEntries.entries())
    add([wardId], index + 1, entry, '', [null, null, null, null, null, null]);
  for (const { id, entries } of lines) {
    const { patient, site, side, gauge, inError } = foldLine(id, entries);
    const about = [patient.name, animalName(patient), patient.weightKg, site, side, gauge];
    for (const [index, entry] of entries.entries()) add([wardId], index + 1, entry, id, about);
    const placed = inError ? rows.at(-entries.length) : undefined;
    if (inError) placed?.values.set('placed.inErrorSince', wallIso(inError.at, zone));
    if (inError) placed?.values.set('placed.inErrorBy', inError.by);
  }
  const names = [...new Set(rows.flatMap(({ values }) => [...values.keys()]))].toSorted();
  yield (bom ? '\uFEFF' : '') + csvRow([...fixedColumns, ...names]);
  for (const { first, values } of rows)
    yield csvRow([...first, ...names.map((name) => values.get(name) ?? null)]);
}

/** An instant (ms) as ISO 8601 with the zone's offset then. */
export function wallIso(atMs: number, zone: string): string {
  const text = DateTime.fromMillis(atMs, { zone }).toISO();
  if (text === null) throw new Error(`${atMs} is no instant in ${zone}: ms since the epoch are needed`);
  return text;
}

/** Values by their path: `placed.source.volumeMl`. Lists, and pairs of duty and due time, become words. */
function flattened(body: object, zone: string, path: string): Map<string, Cell> {
  const cells = new Map<string, Cell>();
  for (const [name, value] of Object.entries(body) as [string, unknown][]) {
    if (value === undefined) continue;
    const full = `${path}.${name}`;
    if (wholeNames.has(name)) cells.set(full, JSON.stringify(value));
    else if (Array.isArray(value)) cells.set(full, pairs(value, zone));
    else if (typeof value === 'object' && value !== null)
      for (const [inner, cell] of flattened(value, zone, full)) cells.set(inner, cell);
    else if (typeof value === 'number' && instantNames.has(name)) cells.set(full, wallIso(value, zone));
    else cells.set(full, value as Cell);
  }
  return cells;
}

function pairs(values: readonly unknown[], zone: string): string {
  // Looked at and none found is not the same as not looked at.
  if (values.length === 0) return 'none';
  if (values.every((value) => typeof value === 'string')) return values.join('; ');
  const one = (value: unknown) => (typeof value === 'number' ? wallIso(value, zone) : String(value));
  const list = values.every(Array.isArray) ? values : [values];
  return list.map((pair: readonly unknown[]) => pair.map(one).join(' ')).join('; ');
}
