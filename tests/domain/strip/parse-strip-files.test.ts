import { describe, expect, it } from 'vitest';
import { filesBeside, parseStripFiles } from '../../../src/domain/strip/parse-strip-files.ts';
import { bytesOf, refusalOf, stripOf } from './strip-of.ts';

const csv = {
  name: 'strip.csv',
  bytes: bytesOf(`# fs=100 Hz\nabp_mmHg\n${'90\n'.repeat(300)}`),
};
const header = bytesOf('r 1 100 300\nr.dat 80 1(0)/mmHg 8 0 90 27000 0 ABP\n');
const data = { name: 'r.dat', bytes: new Uint8Array(300).fill(90 + 128) };

describe('uploaded files', () => {
  it('reads a CSV file alone', () => {
    expect(stripOf(parseStripFiles([csv])).pressuresMmHg[299]).toBe(90);
  });

  it('reads a WFDB header with its data, in either order', () => {
    const hea = { name: 'R.HEA', bytes: header };
    for (const files of [
      [hea, data],
      [data, hea],
    ]) {
      expect(stripOf(parseStripFiles(files)).pressuresMmHg[299]).toBe(90);
    }
  });

  it.each([
    ['nothing', [], 'no file'],
    ['two CSV files', [csv, csv], 'several files'],
    ['data without a header', [data], 'data without a header'],
    ['a header without data', [{ name: 'r.hea', bytes: header }], 'data file missing'],
    ['a header of 1 MB', [{ name: 'r.hea', bytes: new Uint8Array(1_000_000).fill(65) }], 'header too large'],
  ])('refuses %s', (_, files, because) => {
    expect(refusalOf(parseStripFiles(files)).because).toBe(because);
  });

  it('names the files that a header needs, but none in another folder', () => {
    const elsewhere = bytesOf('r 2 100 300\n../r.dat 80 1(0)/mmHg\nr2.dat 80 1(0)/mmHg\n');
    expect(filesBeside({ name: 'r.hea', bytes: header })).toEqual(['r.dat']);
    expect(filesBeside({ name: 'r.hea', bytes: elsewhere })).toEqual(['r2.dat']);
    expect(filesBeside(csv)).toEqual([]);
  });
});
