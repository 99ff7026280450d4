import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import type { WardCopy } from './ward-copy.ts';

/** Formats in which a ward's record leaves: the whole record, a table, an HL7 FHIR R4 bundle. */
export const recordFormats = ['ndjson', 'csv', 'fhir'] as const;
/** A format that the record is exported in. */
export type RecordFormat = (typeof recordFormats)[number];

/** Makes the file of a copy at `now` (ms) without holding anybody up; `policyIfNone`: of a ward that never set one. */
export type MakeRecordFile = (
  copy: WardCopy,
  format: RecordFormat,
  given: { policyIfNone: WardPolicy; now: number },
) => Promise<Uint8Array>;
