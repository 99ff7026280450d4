import { describe, expect, test } from 'vitest';
import { recordFile, recordLines } from '../../src/export/record-lines.ts';
import { type Restored, restoreRecord } from '../../src/export/restore-record.ts';
import { LineLog } from '../support/line-builder.ts';
import * as fc from '../support/properties.ts';
import { exportInstant, nightWard, wardCopy } from './ward-copies.ts';

const { copy, now } = nightWard();
const file = [...recordLines(copy, now)];

/** What a restored record is written as; null of one that was refused. */
function again(restored: Restored): string[] | null {
  return restored.is === 'record' ? [...recordLines(restored.copy, restored.exportedAt)] : null;
}

/** The file with line `number` (from 1) put otherwise. */
function changed(number: number, change: (row: Record<string, unknown>) => unknown): string[] {
  return file.map((text, index) =>
    index + 1 === number ? JSON.stringify(change(JSON.parse(text) as Record<string, unknown>)) : text,
  );
}

describe('the record as NDJSON', () => {
  test('comes back as it was, whatever was told', () => {
    fc.assert(
      fc.property(wardCopy, exportInstant, (any, exportedAt) => {
        const lines = [...recordLines(any, exportedAt)];
        const restored = restoreRecord(lines);
        expect(restored).toEqual({ is: 'record', copy: any, exportedAt });
        expect(again(restored)).toEqual(lines);
      }),
      { numRuns: 60 },
    );
  });

  // Unicode's line and paragraph separators are no line ends in JSON (RFC 8259), though editors show them as such.
  test.each([
    'two\nlines\r\nand a return\r',
    'separators \u2028 and \u2029 and \u0085',
    'nothing \u0000 and \u001F, \uFEFF and \u200B',
    'halves \uD83D of \uDE3A a pair, and a whole \u{1F63A}',
    'x'.repeat(500),
    '"\\" },{"line":"x"',
  ])('comes back through the bytes of a file: %j', (text) => {
    const line = new LineLog('20:00').add('noted', '21:00', { text }).add('amended', '21:01', {
      target: 2,
      body: { text: `${text.slice(0, 400)} put right`, [text.slice(0, 20)]: [0.1 + 0.2, 1e21, -0.5, null] },
    });
    const told = { ...copy, lines: [{ id: 'x', listed: true, entries: line.entries }] };
    const bytes = Buffer.from(recordFile(told, now), 'utf8');
    const restored = restoreRecord(new TextDecoder('utf-8', { fatal: true }).decode(bytes).split('\n'));
    expect(restored).toEqual({ is: 'record', copy: told, exportedAt: now });
    expect(Buffer.from(again(restored)?.join('\n') ?? '').equals(bytes.subarray(0, -1))).toBe(true);
  });

  // RFC 8259 and ndjson.org (from memory): each line is a JSON text, lines end with \n, none holds one inside.
  test('is one JSON text a line, each ended by a line feed', () => {
    const text = recordFile(copy, now);
    expect(text.endsWith('}\n')).toBe(true);
    expect(
      text
        .slice(0, -1)
        .split('\n')
        .map((line) => typeof JSON.parse(line)),
    ).toEqual(Array.from({ length: 1 + 3 + 5 + 7 }, () => 'object'));
  });

  test('begins with what the file is, of which ward, and how much follows', () => {
    expect(JSON.parse(file[0] ?? '')).toEqual({
      format: 'dicrotic-record',
      version: 1,
      ward: 'T0TEST.C0WARD',
      exportedAt: '2026-11-25T02:00:00.000Z',
      wardEntries: 3,
      lines: [
        { id: 'line-2', listed: true, entries: 5 },
        { id: 'line-1', listed: true, entries: 7 },
      ],
    });
  });

  test('passes over blank lines at its end', () => {
    expect(restoreRecord([...file, '', ' '])).toMatchObject({ is: 'record' });
  });

  test('is refused to be written where an entry could not be read back', () => {
    const entries = [{ ...copy.lines[0]?.entries[0], by: '' } as never];
    expect(() => [...recordLines({ ...copy, lines: [{ id: 'x', listed: true, entries }] }, now)]).toThrow(
      /by/,
    );
  });
});

describe('a file that is not whole', () => {
  test.each<[what: string, lines: string[], line: number, why: RegExp]>([
    ['empty', [], 1, /header line is expected first, but the file ends/],
    ['cut off', file.slice(0, -1), file.length, /entry 7 of 7 of line line-1 is expected, but the file ends/],
    ['cut within a line', [...file.slice(0, -1), (file.at(-1) ?? '').slice(0, 40)], file.length, /not JSON/],
    ['without its second line', file.toSpliced(1, 1), 2, /entry 1 of 3 of the ward is expected, not entry 2/],
    ['blank in the middle', file.toSpliced(5, 0, ''), 6, /not JSON/],
    ['longer than it says', [...file, file.at(-1) ?? ''], file.length + 1, /promised no more lines/],
    ['no export', ['{"format":"other"}'], 1, /format: .*dicrotic-record/],
    ['of a later version', changed(1, (row) => ({ ...row, version: 2 })), 1, /version: .*1/],
    [
      'with two lines of one id',
      changed(1, (row) => ({
        ...row,
        lines: [
          { id: 'a', listed: true, entries: 1 },
          { id: 'a', listed: true, entries: 1 },
        ],
      })),
      1,
      /named twice/,
    ],
    [
      'for a ward that breaks keys',
      changed(1, (row) => ({ ...row, ward: 'T{1}' })),
      1,
      /ward: an id has no blanks and no braces/,
    ],
    [
      'with no instant',
      changed(1, (row) => ({ ...row, exportedAt: 'yesterday' })),
      1,
      /exportedAt: it is no instant/,
    ],
    [
      'in another order',
      file.toSpliced(4, 2, file[5] ?? '', file[4] ?? ''),
      5,
      /entry 1 of 5 of line line-2 is expected, not entry 2/,
    ],
    [
      'with a value beyond its bounds',
      changed(14, (row) => ({
        ...row,
        entry: { ...(row['entry'] as object), body: { sapMmHg: 4000, dapMmHg: 1 } },
      })),
      14,
      /entry\.body\.sapMmHg: .*400/,
    ],
    [
      'with an unknown kind',
      changed(5, (row) => ({ ...row, entry: { ...(row['entry'] as object), kind: 'painted' } })),
      5,
      /entry\.kind/,
    ],
    [
      'with a value this version does not keep',
      changed(6, (row) => ({ ...row, entry: { ...(row['entry'] as object), body: { colour: 'red' } } })),
      6,
      /entry\.body\.colour is nothing this version keeps/,
    ],
    [
      'with a value by a name that no object keeps',
      file.map((text, index) =>
        index === 13 ? text.replace('"sapMmHg"', '"__proto__":{"by":"x"},"sapMmHg"') : text,
      ),
      14,
      /entry\.body\.__proto__ is nothing this version keeps/,
    ],
    [
      'with a line that was never placed',
      changed(5, (row) => ({
        ...row,
        entry: { at: 1, told: 1, by: 'n', via: 'form', kind: 'zeroed', body: {} },
      })),
      5,
      /line line-2: the log does not begin with its placing/,
    ],
  ])('is refused with the number of the line: %s', (_, lines, line, why) => {
    expect(restoreRecord(lines)).toEqual({ is: 'refused', line, why: expect.stringMatching(why) });
  });

  test('is refused or restored, never half of it, whatever one character is changed to', () => {
    const text = file.join('\n');
    fc.assert(
      fc.property(
        fc.nat({ max: text.length - 1 }),
        fc.constantFrom('"', '7', '{', ',', 'x', '\n'),
        (at, by) => {
          const lines = `${text.slice(0, at)}${by}${text.slice(at + 1)}`.split('\n');
          const restored = restoreRecord(lines);
          const line = restored.is === 'refused' ? restored.line : 1;
          expect(line).toBeGreaterThan(0);
          expect(line).toBeLessThanOrEqual(lines.length + 1);
          // What was taken is what now stands in the file, not less.
          expect(again(restored) ?? lines).toEqual(lines);
        },
      ),
      { numRuns: 300 },
    );
  });
});
