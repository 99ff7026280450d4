import { parse } from 'csv-parse/sync';
import { expect, test } from 'vitest';
import type { WardCopy } from '../../src/app/ward-copy.ts';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import type { Entry } from '../../src/domain/record/entry.ts';
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
const year = yearOfLines({ seed: 'an exported year', lines: 200, endMs: now, zone: wardZone });
const entries = year.lines.reduce((sum, line) => sum + line.entries.length, year.wardEntries.length);
const written = (format: 'ndjson' | 'csv') =>
  [...recordText(year, format, { policyIfNone: policy, now })].join('');

test(
  'a year of 200 lines comes back from its export to the byte, with the same states and duties',
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
  'a year of 200 lines is a table with a row for each entry, to another program as well',
  () => {
    const rows: Record<string, string>[] = parse(written('csv'), { columns: true, record_delimiter: '\r\n' });
    expect(rows.length).toBeGreaterThanOrEqual(entries);
    expect(new Set(rows.map((row) => Object.keys(row).join())).size).toBe(1);
    const cells = rows.flatMap((row) => Object.values(row));
    expect(cells.filter((cell) => /^[=+@]|^-(?![\d.])/.test(cell))).toEqual([]);
  },
  patienceMs,
);

/** What an entry holds, and which of the words that are chosen from a list: its names with those values. */
function shapesOf({ kind, via, body }: Entry): string[] {
  const shapes: string[] = [`${kind} by ${via}`];
  const look = (value: unknown, name: string): void => {
    if (Array.isArray(value)) for (const one of value) look(one, name);
    else if (typeof value === 'object' && value !== null)
      for (const [key, one] of Object.entries(value)) look(one, `${name}.${key}`);
    else shapes.push(typeof value === 'string' && /^[a-z ,-]+$/i.test(value) ? `${name}: ${value}` : name);
  };
  look(body, kind);
  return shapes;
}

/** Of the year's lines those that hold something no line before them held, and those that are in still. */
function coveringLines() {
  const covered = new Set<string>();
  return year.lines.filter(({ entries, listed }) => {
    const before = covered.size;
    for (const shape of entries.flatMap(shapesOf)) covered.add(shape);
    return listed || covered.size > before;
  });
}

/** Where something stands in a resource, without the places in lists. */
function pathsOf(value: unknown, path: string, found: Set<string>): Set<string> {
  if (Array.isArray(value)) for (const one of value) pathsOf(one, path, found);
  else if (typeof value === 'object' && value !== null)
    for (const [key, one] of Object.entries(value)) pathsOf(one, `${path}.${key}`, found);
  else found.add(path);
  return found;
}

const bundleOf = (copy: WardCopy) =>
  JSON.parse([...recordText(copy, 'fhir', { policyIfNone: policy, now })].join('')) as fhir4.Bundle;
const pathsIn = ({ entry = [] }: fhir4.Bundle) => {
  const found = new Set<string>();
  for (const { resource } of entry) pathsOf(resource, resource?.resourceType ?? '', found);
  return found;
};

// The published R4 schema and the profiles of the library fhir (fhir-validators.ts); HL7's invariants by the library
// fhirpath and the codes of UCUM (fhir-rules.ts). That each fullUrl is another (bdl-7) is counted here, since the library
// compares each with each; that nothing is empty (ele-1) is seen without it.
test(
  'a year of 200 lines is a FHIR R4 bundle, and those lines of it that hold everything are valid to every validator',
  () => {
    // The validators take a tenth of a second a line, and find the same faults in a line that holds what another did.
    const lines = coveringLines();
    const bundle = bundleOf({ ...year, lines });
    const whole = bundleOf(year);
    expect(whole.entry?.filter(({ resource }) => resource?.resourceType === 'Device')).toHaveLength(200);
    expect(bundle.entry?.filter(({ resource }) => resource?.resourceType === 'Device')).toHaveLength(
      lines.length,
    );
    const shown = pathsIn(bundle);
    expect([...pathsIn(whole)].filter((path) => !shown.has(path))).toEqual([]);
    expect(schemaFaults(bundle)).toEqual([]);
    expect(libraryFaults(bundle)).toEqual([]);
    expect(ruleFaults(bundle, ['bdl-7', 'ele-1'])).toEqual([]);
    expect(unitFaults(whole)).toEqual([]);
    expect(new Set(whole.entry?.map(({ fullUrl }) => fullUrl)).size).toBe(whole.entry?.length);
  },
  patienceMs,
);
