import { parse } from 'csv-parse/sync';
import { expect, test } from 'vitest';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { recordText } from '../../src/export/record-text.ts';
import { derived, roundTrip } from '../../src/export/round-trip.ts';
import { yearOfLines } from '../../src/invented/year-of-lines.ts';
import { wall, wardZone } from '../support/line-builder.ts';
import { ruleFaults, unitFaults } from './fhir-rules.ts';
import { libraryFaults, schemaFaults } from './fhir-validators.ts';

/** Tens of thousands of entries, written and read by several programs. */
const patienceMs = 300_000;

const now = wall('2026-11-25 12:00');
const policy = defaultPolicy(wardZone);
const year = yearOfLines({ seed: 'an exported year', lines: 600, endMs: now, zone: wardZone });
const entries = year.lines.reduce((sum, line) => sum + line.entries.length, year.wardEntries.length);
const written = (format: 'ndjson' | 'csv') =>
  [...recordText(year, format, { policyIfNone: policy, now })].join('');

test(
  'a year of 600 lines comes back from its export to the byte, with the same states and duties',
  () => {
    const proof = roundTrip(written('ndjson'), policy);
    expect(proof).toMatchObject({ is: 'same', copy: year });
    expect(proof.is === 'same' && derived(proof.copy, policy, now)).toEqual(derived(year, policy, now));
    expect(proof.is === 'same' && proof.duties).toBeGreaterThan(0);
  },
  patienceMs,
);

// csv-parse 7.0.3, by its RFC 4180 defaults: as strict as a spreadsheet, with nothing forgiven.
test(
  'a year of 600 lines is a table with a row for each entry, to another program as well',
  () => {
    const rows: Record<string, string>[] = parse(written('csv'), { columns: true, record_delimiter: '\r\n' });
    expect(rows.length).toBeGreaterThanOrEqual(entries);
    expect(new Set(rows.map((row) => Object.keys(row).join())).size).toBe(1);
    const cells = rows.flatMap((row) => Object.values(row));
    expect(cells.filter((cell) => /^[=+@]|^-(?![\d.])/.test(cell))).toEqual([]);
  },
  patienceMs,
);

// The published R4 schema and the profiles of the library fhir (fhir-validators.ts); HL7's invariants by the library
// fhirpath and the codes of UCUM (fhir-rules.ts). That each fullUrl is another (bdl-7) is counted here, since the library
// compares each with each; that nothing is empty (ele-1) is seen without it.
test(
  'a year of 200 lines is a valid FHIR R4 bundle to every validator',
  () => {
    // The validators take a fifth of a second a line, so of the year a third is shown to them.
    const third = yearOfLines({ seed: 'an exported year', lines: 200, endMs: now, zone: wardZone });
    const text = [...recordText(third, 'fhir', { policyIfNone: policy, now })].join('');
    const bundle = JSON.parse(text) as fhir4.Bundle;
    expect(bundle.entry?.filter(({ resource }) => resource?.resourceType === 'Device')).toHaveLength(200);
    expect(schemaFaults(bundle)).toEqual([]);
    expect(libraryFaults(bundle)).toEqual([]);
    expect(ruleFaults(bundle, ['bdl-7', 'ele-1'])).toEqual([]);
    expect(unitFaults(bundle)).toEqual([]);
    expect(new Set(bundle.entry?.map(({ fullUrl }) => fullUrl)).size).toBe(bundle.entry?.length);
  },
  patienceMs,
);
