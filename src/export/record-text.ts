import type { RecordFormat } from '../app/record-file.ts';
import type { WardCopy } from '../app/ward-copy.ts';
import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import { fhirBundle } from './fhir-bundle.ts';
import { recordCsv } from './record-csv.ts';
import { recordFile } from './record-lines.ts';

/** What the text of an export hangs on besides the record. `now`: ms; `bom`: see `recordCsv`. */
export interface RecordTextGiven {
  policyIfNone: WardPolicy;
  now: number;
  bom?: boolean;
}

/** A ward's record as the text of one file. */
export function recordText(
  copy: WardCopy,
  format: RecordFormat,
  { policyIfNone, now, bom = false }: RecordTextGiven,
): string {
  // A ward whose clock is ahead of this machine's (practice) is not exported before its own last word.
  const at = [...copy.wardEntries, ...copy.lines.flatMap(({ entries }) => entries)].reduce(
    (latest, { told }) => Math.max(latest, told),
    now,
  );
  switch (format) {
    case 'ndjson':
      return recordFile(copy, at);
    case 'csv':
      return recordCsv(copy, policyIfNone, { bom });
    case 'fhir':
      return `${JSON.stringify(fhirBundle(copy, policyIfNone, at), null, 2)}\n`;
  }
}
