import { readFileSync, statSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, it } from 'vitest';
import { hazardLogFaults } from './hazard-log.ts';

const repository = path.resolve(import.meta.dirname, '..', '..');
const page = readFileSync(path.join(repository, 'docs', 'hazard-log.md'), 'utf8');

function read(file: string): string | null {
  const whole = path.join(repository, file);
  return statSync(whole, { throwIfNoEntry: false })?.isFile() ? readFileSync(whole, 'utf8') : null;
}

const proof = '`tests/docs/hazard-log.test.ts`';
const withRow = (...rows: string[]) => hazardLogFaults(rows.join('\n'), read);

describe('docs/hazard-log.md', () => {
  it('has a hazard, a harm, a control and a test that is there in every row', () => {
    expect(hazardLogFaults(page, read)).toEqual([]);
  });

  it('has the rows it had, and looks at each: without its tests every row is found', () => {
    const unproved = hazardLogFaults(page, () => null).map((fault) => fault.split(':')[0]);
    expect(new Set(unproved).size).toBe(page.split('\n').filter((line) => line.startsWith('| ')).length - 2);
    expect(new Set(unproved).size).toBeGreaterThanOrEqual(35);
  });
});

describe('the guard of the hazard log', () => {
  it.each([
    ['a file', `| 1 | a clot | a limb | a flush | ${proof} |`],
    ['a file and its tests', `| 1 | a clot | a limb | a flush | ${proof} "finds %s", "passes %s" |`],
    [
      'two files and words between them',
      `| 1 | a clot | a limb | a flush | ${proof} (by hand), \`tests/e2e/journey.ts\` "registering" |`,
    ],
  ])('passes %s', (_what, row) => {
    expect(withRow(row)).toEqual([]);
  });

  it.each([
    [
      'a file that is not there',
      '| 1 | a clot | a limb | a flush | `tests/docs/none.test.ts` |',
      'row 1: names tests/docs/none.test.ts, which is no file',
    ],
    [
      'a folder',
      '| 1 | a clot | a limb | a flush | `tests/docs` |',
      'row 1: names tests/docs, which is no file',
    ],
    [
      'the second of two files',
      `| 1 | a clot | a limb | a flush | ${proof}, \`tests/docs/none.test.ts\` |`,
      'row 1: names tests/docs/none.test.ts, which is no file',
    ],
    [
      'a title that no test has, though words of it stand in the file',
      `| 1 | a clot | a limb | a flush | ${proof} "finds" |`,
      'row 1: names “finds”, which is no test of tests/docs/hazard-log.test.ts',
    ],
    [
      'a file without a test',
      '| 1 | a clot | a limb | a flush | `tests/support/arbitraries.ts` |',
      'row 1: names tests/support/arbitraries.ts, which expects nothing',
    ],
    [
      'a row that names a page and no test',
      '| 1 | a clot | a limb | a flush | docs/defaults.md |',
      'row 1: names no file of tests',
    ],
    ['a row without a test', '| 1 | a clot | a limb | a flush | |', 'row 1: has no test'],
    ['a row without a harm', `| 1 | a clot | | a flush | ${proof} |`, 'row 1: has no harm'],
    ['a row without a control', `| 1 | a clot | a limb | | ${proof} |`, 'row 1: has no control'],
    [
      'a row with a cell too few',
      `| 1 | a clot | a flush | ${proof} |`,
      'row 1: has not just the five cells number, hazard, harm, control, test',
    ],
    [
      'a bar within a cell',
      `| 1 | a clot | a limb | a flush | a zero | ${proof} |`,
      'row 1: has not just the five cells number, hazard, harm, control, test',
    ],
  ])('finds %s', (_what, row, fault) => {
    expect(withRow(row)).toEqual([fault]);
  });

  it('finds a title whose test is not run', () => {
    const row = '| 1 | a clot | a limb | a flush | `tests/a.test.ts` "flushes" |';
    const source = (how: string) => `it${how}('flushes', () => expect(1).toBe(1));`;
    expect(hazardLogFaults(row, () => source('.each(lines)'))).toEqual([]);
    expect(hazardLogFaults(row, () => source('.skip'))).toEqual([
      'row 1: names “flushes”, which is no test of tests/a.test.ts',
    ]);
  });

  it('finds a number that two rows have', () => {
    const row = (number: number) => `| ${number} | a clot | a limb | a flush | ${proof} |`;
    expect(withRow(row(1), row(2), row(1))).toEqual(['row 1: has a number that another row has']);
  });
});
