import type { RecordFormat } from '../app/record-file.ts';
import type { WardCopy } from '../app/ward-copy.ts';
import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import { fhirBundlePieces } from './fhir-bundle.ts';
import { recordCsv } from './record-csv.ts';
import { recordLines } from './record-lines.ts';

/** What the text of an export hangs on besides the record. `now`: ms; `bom`: see `recordCsv`. */
export interface RecordTextGiven {
  policyIfNone: WardPolicy;
  now: number;
  bom?: boolean;
}

/**
 * A ward's record as the text of one file, piece by piece: of many years it is longer than one text may be, so whoever
 * writes it writes the pieces.
 */
export function* recordText(
  copy: WardCopy,
  format: RecordFormat,
  { policyIfNone, now, bom = false }: RecordTextGiven,
): Generator<string> {
  // A ward whose clock is ahead of this machine's (practice) is not exported before its own last word.
  const at = [...copy.wardEntries, ...copy.lines.flatMap(({ entries }) => entries)].reduce(
    (latest, { told }) => Math.max(latest, told),
    now,
  );
  switch (format) {
    case 'ndjson':
      for (const line of recordLines(copy, at)) yield `${line}\n`;
      return;
    case 'csv':
      yield* recordCsv(copy, policyIfNone, { bom });
      return;
    case 'fhir':
      yield* fhirBundlePieces(copy, policyIfNone, at);
  }
}

/** The pieces in fewer and larger ones, as UTF-8: a file of a million rows is not written in a million writes. */
export function* inLargerBytes(pieces: Iterable<string>): Generator<Uint8Array> {
  const encoder = new TextEncoder();
  let held: string[] = [];
  let length = 0;
  for (const piece of pieces) {
    held.push(piece);
    length += piece.length;
    if (length < largePiece) continue;
    yield encoder.encode(held.join(''));
    held = [];
    length = 0;
  }
  if (held.length > 0) yield encoder.encode(held.join(''));
}

/** Characters in a larger piece. */
const largePiece = 1_000_000;
