import { parse } from 'csv-parse/sync';
import { describe, expect, test } from 'vitest';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { csvRow } from '../../src/export/csv-row.ts';
import { recordCsv } from '../../src/export/record-csv.ts';
import { LineLog } from '../support/line-builder.ts';
import * as fc from '../support/properties.ts';
import { nightWard, wardCopy } from './ward-copies.ts';

const policy = defaultPolicy('UTC');
const { copy } = nightWard();

/** The whole table in one text. */
function table(...given: Parameters<typeof recordCsv>): string {
  return [...recordCsv(...given)].join('');
}

/** What another program's parser (csv-parse 7.0.3, by its RFC 4180 defaults) reads, with nothing forgiven. */
function read(text: string): Record<string, string>[] {
  return parse(text, { columns: true, record_delimiter: '\r\n', bom: true });
}

const text = fc.oneof(
  fc.string({ unit: 'grapheme' }),
  fc
    .array(
      fc.constantFrom(
        '"',
        ',',
        '\r',
        '\n',
        '=',
        '+',
        '-',
        '@',
        '\t',
        '＝',
        '＋',
        '－',
        '＠',
        "'",
        ' ',
        'a',
        '1',
        ';',
        'é',
      ),
    )
    .map((parts) => parts.join('')),
);

describe('a row of CSV', () => {
  test('is read back by another parser, cell for cell, whatever it holds', () => {
    fc.assert(
      fc.property(fc.array(text, { minLength: 2, maxLength: 5 }), (cells) => {
        const [row, ...more] = parse(csvRow(cells), { record_delimiter: '\r\n' });
        expect(more).toEqual([]);
        // Nothing but apostrophes is ever added, and only where there is something to keep from being worked out.
        const bare = (all: readonly string[] | undefined) => all?.map((cell) => cell.replaceAll("'", ''));
        expect(bare(row)).toEqual(bare(cells));
        const safe = (all: readonly string[] | undefined) =>
          all?.filter((_, index) => !/[=+\-@＝＋－＠﹦﹢﹣﹫\t\r\n]/.test(cells[index] ?? ''));
        expect(safe(row)).toEqual(safe(cells));
      }),
      { numRuns: 400 },
    );
  });

  // The characters that OWASP's page "CSV Injection" names, and its warning that a separator in the text can begin a cell
  // (from memory). A spreadsheet set to another language parts cells at semicolons and knows nothing of quotes within one.
  test('holds no text that a spreadsheet would work out', () => {
    fc.assert(
      fc.property(text, (cell) => {
        const [row] = parse(csvRow([cell, 'end']), { record_delimiter: '\r\n' });
        expect(row?.[0]).not.toMatch(/^[=+\-@\t\r\n＝＋－＠]/);
        for (const part of (row?.[0] ?? '').split(/[;\t\r\n]/))
          expect(part.trim()).not.toMatch(/^[=+\-@＝＋－＠]/);
      }),
      { numRuns: 400 },
    );
  });

  test.each([
    [['=1+1'], "'=1+1\r\n"],
    [['-3', -3, 0.5, true, null], "'-3,-3,0.5,true,\r\n"],
    [['@x', '+1', '\t1', '\r1'], "'@x,'+1,'\t1,\"'\r1\"\r\n"],
    [[' =1+1', '\u00A0=1', '\u200B=1', '\u0000=1'], `" '=1+1","\u00A0'=1",\u200B'=1,\u0000'=1\r\n`],
    [['﹦1', '﹫x', 'a=1', 'x - y', 'mean 64-3'], "'﹦1,'﹫x,a=1,x - y,mean 64-3\r\n"],
    [['x;=1+1;y', 'ok; -3', 'a\n=1'], `x;'=1+1;y,ok; '-3,"a\n'=1"\r\n`],
    [[1e21, 0.1 + 0.2, -0.5], '1e+21,0.30000000000000004,-0.5\r\n'],
    [['a "b", c'], '"a ""b"", c"\r\n'],
  ])('is written so: %j', (cells, row) => {
    expect(csvRow(cells)).toBe(row);
  });
});

describe('the record as a table', () => {
  const rows = read(table(copy, policy));

  test('has a row for every entry, with who, when by the ward’s clock, and the values', () => {
    expect(rows).toHaveLength(3 + 5 + 7);
    expect(rows.find(({ kind }) => kind === 'reading')).toMatchObject({
      ward: 'T0TEST.C0WARD',
      line: 'line-1',
      number: '5',
      patient: 'Biscuit',
      species: 'dog',
      weight_kg: '28',
      site: 'dorsal pedal',
      side: 'left',
      gauge: '20',
      happened_at: '2026-11-25T02:00:00.000+01:00',
      told_at: '2026-11-25T02:00:00.000+01:00',
      by: 'nina',
      via: 'button',
      'reading.sapMmHg': '118',
      'reading.cuff.sapMmHg': '110',
      'zeroed.openToAirMmHg': '',
    });
  });

  test('says in the row of a placing that it was registered in error, when and by whom', () => {
    const { entries } = new LineLog('20:00').add(
      'amended',
      '20:30',
      { target: 1, strike: 'registered twice' },
      { by: 'teo' },
    );
    const lines = [
      { id: 'right', listed: true, entries: entries.slice(0, 1) },
      { id: 'wrong', listed: false, entries },
    ];
    const rows = read(table({ wardId: 'T0TEST.C0WARD', wardEntries: [], lines }, policy));
    expect(rows.filter(({ kind }) => kind === 'placed')).toMatchObject([
      { 'placed.inErrorSince': '', 'placed.inErrorBy': '' },
      { 'placed.inErrorSince': '2026-11-24T19:30:00.000Z', 'placed.inErrorBy': 'teo' },
    ]);
  });

  test('writes as a time when the message was made that something was added to', () => {
    const { entries } = new LineLog('20:00').add('escalated', '21:20', {
      duties: [['zero', 1_795_550_400_000]],
      to: 'nurse',
      user: 'nina',
      joins: 1_795_550_400_000,
    });
    const told = { wardId: 'T0TEST.C0WARD', wardEntries: [], lines: [{ id: 'x', listed: true, entries }] };
    expect(read(table(told, policy))[1]).toMatchObject({
      'escalated.joins': '2026-11-24T20:00:00.000Z',
      'escalated.duties': 'zero 2026-11-24T20:00:00.000Z',
    });
  });

  test('names the cautions screened one by one, and tells none found from nobody having looked', () => {
    const placedWith = (screening?: { cautions: ('cat' | 'bleeding disorder')[] }) => ({
      id: 'x',
      listed: true,
      entries: new LineLog('20:00', screening ? { screening } : {}).entries,
    });
    const cells = [
      placedWith({ cautions: ['bleeding disorder', 'cat'] }),
      placedWith({ cautions: [] }),
      placedWith(),
    ].map(
      (one) =>
        read(table({ ...copy, wardEntries: [], lines: [one] }, policy))[0]?.['placed.screening.cautions'],
    );
    expect(cells).toEqual(['bleeding disorder; cat', 'none', undefined]);
  });

  test('keeps a negative number a number and a formula a text', () => {
    expect(
      rows.filter((row) => row['zeroed.openToAirMmHg'] !== '').map((row) => row['zeroed.openToAirMmHg']),
    ).toEqual(['-3']);
    expect(rows.find(({ kind }) => kind === 'noted')?.['noted.text']).toBe(`'=HYPERLINK("x"), said "nell"`);
  });

  test('writes the ward’s own entries without a line, their instants as times', () => {
    expect(rows[2]).toMatchObject({
      line: '',
      patient: '',
      kind: 'handedOver',
      'handedOver.for': '2026-11-24T19:00:00.000+01:00',
    });
    expect(JSON.parse(rows[0]?.['policySet.policy'] ?? '')).toMatchObject({ flushEveryMin: 60 });
  });

  test('names the duties and times a reminder spoke of', () => {
    const placed = copy.lines[1]?.entries[0];
    if (!placed) throw new Error('no placing');
    const head = { at: placed.at, told: placed.told, by: 'bot', via: 'bot' } as const;
    const nudged = {
      ...head,
      kind: 'nudged' as const,
      body: {
        duties: [
          ['flush', placed.at],
          ['zero', placed.at],
        ] as ['flush' | 'zero', number][],
      },
    };
    const cannot = {
      ...head,
      kind: 'noted' as const,
      body: { text: 'no', cannot: ['flush', placed.at] as ['flush', number] },
    };
    const some = { ...copy, lines: [{ id: 'x', listed: true, entries: [placed, nudged, cannot] }] };
    const [, second, third] = read(table(some, policy)).filter(({ line }) => line === 'x');
    expect([second?.['nudged.duties'], third?.['noted.cannot']]).toEqual([
      'flush 2026-11-24T20:00:00.000+01:00; zero 2026-11-24T20:00:00.000+01:00',
      'flush 2026-11-24T20:00:00.000+01:00',
    ]);
  });

  test('begins with a byte order mark only where one is asked for', () => {
    expect(table(copy, policy).charCodeAt(0)).toBe('w'.charCodeAt(0));
    expect([...new TextEncoder().encode(table(copy, policy, { bom: true })).subarray(0, 3)]).toEqual([
      0xef, 0xbb, 0xbf,
    ]);
  });

  test('is read by another parser whatever was told: a row an entry, the kinds in order', () => {
    fc.assert(
      fc.property(wardCopy, (any) => {
        const rows = read(table(any, policy));
        expect(rows.map(({ kind }) => kind)).toEqual(
          [...any.wardEntries, ...any.lines.flatMap(({ entries }) => entries)].map(({ kind }) => kind),
        );
      }),
      { numRuns: 40 },
    );
  });
});
