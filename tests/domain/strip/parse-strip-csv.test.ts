import { describe, expect, it } from 'vitest';
import { parseStripCsv } from '../../../src/domain/strip/parse-strip-csv.ts';
import { largestFileBytes } from '../../../src/domain/strip/pressure-strip.ts';
import { whichChannelWords } from '../../../src/wording/refusals/upload-refusals.ts';
import { noteText } from '../../../src/wording/strips/strip-finding-words.ts';
import * as fc from '../../support/properties.ts';
import { bytesOf, refusalOf, saidOf, stripOf } from './strip-of.ts';

/** 3 s of a made pulse between 80 and 120 mmHg, two beats a second. */
const pulse = (i: number, samplesPerS: number) =>
  Number((100 + 20 * Math.sin((2 * Math.PI * 2 * i) / samplesPerS)).toFixed(2));

function csv({
  heading = 'time_s,abp_mmHg',
  samplesPerS = 100,
  samples = 300,
  row = (i: number) => `${i / samplesPerS},${pulse(i, samplesPerS)}`,
} = {}): Uint8Array {
  return bytesOf(`${heading}\n${Array.from({ length: samples }, (_, i) => row(i)).join('\n')}\n`);
}

describe('what is read', () => {
  it('reads time_s,abp_mmHg at 100 Hz with every value', () => {
    const strip = stripOf(parseStripCsv(csv()));
    expect([strip.samplesPerS, strip.channel, strip.fileS, strip.notes]).toEqual([100, 'abp', 3, []]);
    expect([...strip.pressuresMmHg]).toEqual(Array.from({ length: 300 }, (_, i) => pulse(i, 100)));
  });

  it.each([
    [
      'seconds;ART [mmHg]',
      (i: number) => `${String(i / 100).replace('.', ',')};${String(pulse(i, 100)).replace('.', ',')}`,
    ],
    ['Time (ms)\tP1 (mmHg)', (i: number) => `${i * 10}\t${pulse(i, 100)}`],
    ['time_ms,ECG_mV,ABP_mmHg', (i: number) => `${i * 10},0.1,${pulse(i, 100)}`],
    ['# fs=100 Hz\nabp_mmHg', (i: number) => String(pulse(i, 100))],
    ['# Sampling rate: 100\n\nabp (mmHg)', (i: number) => String(pulse(i, 100))],
    [
      'Ward;3\nSampling rate (Hz);100\nSample;abp_mmHg',
      (i: number) => `${i};${String(pulse(i, 100)).replace('.', ',')}`,
    ],
    ['fs_Hz,abp_mmHg', (i: number) => `100,${pulse(i, 100)}`],
    ["'Elapsed time','ABP'\n'seconds','mmHg'", (i: number) => `${i / 100},${pulse(i, 100)}`],
    ['"time_s","CVP_mmHg","abp_mmHg"', (i: number) => `"${i / 100}","5","${pulse(i, 100)}"`],
    [
      'clock,abp_mmHg',
      (i: number) =>
        `23:59:${(58 + i / 100).toFixed(3)},${pulse(i, 100)}`.replace(
          /23:59:(6\d)/,
          (_, s) => `00:00:0${s - 60}`,
        ),
    ],
  ])('reads the same from the heading %j', (heading, row) => {
    const strip = stripOf(parseStripCsv(csv({ heading, row })));
    expect(strip.samplesPerS).toBeCloseTo(100, 3);
    expect([...strip.pressuresMmHg]).toEqual(Array.from({ length: 300 }, (_, i) => pulse(i, 100)));
  });

  // 100 cmH₂O = 73.56 mmHg: conversion factors 98.0665 Pa and 133.3224 Pa, NIST SP 811 (2008), appendix B.8.
  it.each(['abp_cmH2O', 'ABP [cmH₂O]', 'abp (cm H2O)'])(
    'takes 100 of %s for 73.56 mmHg and says so',
    (heading) => {
      const strip = stripOf(
        parseStripCsv(csv({ heading: `time_s,${heading}`, row: (i) => `${i / 100},100` })),
      );
      expect(strip.pressuresMmHg[0]).toBeCloseTo(73.56, 2);
      expect(strip.notes.map(noteText)).toEqual(['Converted from cmH₂O to mmHg.']);
    },
  );

  // 16 kPa = 16000 / 133.322387415 = 120.01 mmHg, by the definition of the mmHg.
  it('takes 16 kPa for 120.01 mmHg and says so', () => {
    const strip = stripOf(parseStripCsv(csv({ heading: 'time_s,abp_kPa', row: (i) => `${i / 100},16` })));
    expect(strip.pressuresMmHg[7]).toBeCloseTo(120.01, 2);
    expect(strip.notes.map(noteText)).toEqual(['Converted from kPa to mmHg.']);
  });

  it('leaves a gap where values or lines are missing', () => {
    const row = (i: number) => (i === 5 ? '0.05,' : i === 6 ? '0.06,---' : `${i / 100},${pulse(i, 100)}`);
    const text = new TextDecoder().decode(csv({ row })).split('\n');
    text.splice(51, 3);
    const { pressuresMmHg, samplesPerS } = stripOf(parseStripCsv(bytesOf(text.join('\n'))));
    const missing = [...pressuresMmHg].flatMap((p, i) => (Number.isNaN(p) ? [i] : []));
    expect([samplesPerS, pressuresMmHg.length, missing]).toEqual([100, 300, [5, 6, 50, 51, 52]]);
  });

  it('asks which of two arterial channels is meant, and takes the one that is named', () => {
    const two = csv({ heading: 'time_s,ART1_mmHg,ART2_mmHg', row: (i) => `${i / 100},90,${pulse(i, 100)}` });
    expect(parseStripCsv(two)).toEqual({ result: 'which channel', channels: ['ART1', 'ART2'] });
    expect(whichChannelWords(['ART1', 'ART2'])).toBe(
      'The file has 2 pressure channels: ART1, ART2. Say which one is the arterial line.',
    );
    expect(stripOf(parseStripCsv(two, 'art2')).pressuresMmHg[3]).toBe(pulse(3, 100));
    expect(saidOf(parseStripCsv(two, 'abc'))).toBe('There is no column abc. There are: ART1, ART2.');
  });

  it('leaves out a last line that breaks off and says so', () => {
    const { pressuresMmHg, notes } = stripOf(parseStripCsv(bytesOf(`${new TextDecoder().decode(csv())}3.0`)));
    expect([pressuresMmHg.length, notes.map(noteText)]).toEqual([
      300,
      ['The last line breaks off; it was left out. The file may be incomplete.'],
    ]);
  });

  it('reads the last 10 minutes of 20 minutes at 250 Hz and says so', () => {
    const strip = stripOf(
      parseStripCsv(
        csv({ samplesPerS: 250, samples: 300_000, row: (i) => `${i / 250},${i < 150_000 ? 60 : 90}` }),
      ),
    );
    expect([strip.pressuresMmHg.length, strip.startsAtS, strip.fileS]).toEqual([150_000, 600, 1200]);
    expect(strip.pressuresMmHg.every((p) => p === 90)).toBe(true);
    expect(strip.notes.map(noteText)).toEqual(['The file holds 20 min; only the last 10 min were read.']);
  });

  it('counts the lines that it does not read: 1 h at 250 Hz', () => {
    const strip = stripOf(
      parseStripCsv(csv({ samplesPerS: 250, samples: 900_000, row: (i) => `${i / 250},${i % 50}` })),
    );
    expect([strip.fileS, strip.startsAtS, strip.pressuresMmHg.length]).toEqual([3600, 3000, 150_000]);
    expect(strip.notes.map(noteText)).toEqual(['The file holds 60 min; only the last 10 min were read.']);
  });
});

describe('what is refused', () => {
  const rows = (n: number, cell: string) => csv({ row: (i) => `${i / 100},${i === n ? cell : 90}` });
  it.each([
    ['nothing', new Uint8Array(), 'empty'],
    ['a spreadsheet', Uint8Array.from([0x50, 0x4b, 3, 4, 20, 0]), 'wrong type'],
    ['a picture', Uint8Array.from([0x89, 0x50, 0x4e, 0x47, 13, 10]), 'wrong type'],
    ['a PDF', bytesOf('%PDF-1.7\n'), 'wrong type'],
    ['bytes with NUL', bytesOf(`time_s,abp_mmHg\n0,9\u0000\n`), 'wrong type'],
    ['UTF-16', Uint8Array.from([0xff, 0xfe, 0x74, 0]), 'wrong type'],
    ['one endless line', bytesOf('1,'.repeat(20_000)), 'line too long'],
    ['values without a heading', csv({ heading: '' }), 'no header'],
    ['a heading without values', bytesOf('time_s,abp_mmHg\n'), 'no values'],
    ['a pressure without a unit', csv({ heading: 'time_s,abp' }), 'column without unit'],
    ['a pressure in psi', csv({ heading: 'time_s,abp (psi)' }), 'column in another unit'],
    ['a time without a unit', csv({ heading: 'time,abp_mmHg' }), 'time without unit'],
    ['no arterial column', csv({ heading: 'time_s,CVP_mmHg' }), 'no pressure column'],
    ['neither time nor rate', csv({ heading: 'abp_mmHg', row: () => '90' }), 'no sampling rate'],
    ['trend numbers, one a second', csv({ row: (i) => `${i},90` }), 'sampling rate out of range'],
    ['5000 samples a second', csv({ row: (i) => `${i / 5000},90` }), 'sampling rate out of range'],
    ['times that stand still', csv({ row: (i) => `${Math.floor(i / 100)},90` }), 'times too coarse'],
    ['times that go back', csv({ row: (i) => `${(i % 50) / 100},90` }), 'time goes back'],
    ['a break of a minute', csv({ row: (i) => `${i / 100 + (i > 150 ? 60 : 0)},90` }), 'gap too long'],
    [
      'half of it missing',
      csv({ samples: 1000, row: (i) => `${i / 100},${i % 2 ? 90 : ''}` }),
      'too much missing',
    ],
    ['1 s', csv({ samples: 100 }), 'too short'],
    ['words among the values', rows(40, 'high'), 'no number'],
    ['a formula', rows(41, '=1+1'), 'formula'],
    ['a formula by @', rows(41, '@SUM(A1)'), 'formula'],
    ['a formula by +', rows(41, '+A1'), 'formula'],
    [
      'a formula in another column',
      csv({ heading: 'time_s,abp_mmHg,x', row: (i) => `${i / 100},90,${i === 9 ? '=cmd()' : 1}` }),
      'formula',
    ],
    [
      'a formula in the heading',
      csv({ heading: 'time_s,abp_mmHg,=x()', row: (i) => `${i / 100},90,1` }),
      'formula',
    ],
  ])('refuses %s', (_, bytes, because) => {
    expect(refusalOf(parseStripCsv(bytes)).because).toBe(because);
  });

  it('refuses 65 MB and says what to export', () => {
    expect(saidOf(parseStripCsv(new Uint8Array(largestFileBytes + 1_000_000).fill(49)))).toBe(
      'The file has 65 MB; at most 64 MB are read. Export only the last 10 min.',
    );
  });

  it('says what to type where the unit is missing', () => {
    expect(saidOf(parseStripCsv(csv({ heading: 'time_s,abp' })))).toBe(
      'The pressure column abp has no unit: is it mmHg, kPa or cmH₂O? Write it in the heading line, such as abp_mmHg.',
    );
  });

  it('names the line of a value that is no number, also far into the file', () => {
    expect(saidOf(parseStripCsv(rows(40, 'high')))).toBe(
      'Line 42 has “high” for the pressure, which is no number. Write numbers only; leave a missing value empty.',
    );
    const long = csv({
      samplesPerS: 250,
      samples: 700_000,
      row: (i) => `${i / 250},${i === 699_000 ? 'x' : 90}`,
    });
    expect(saidOf(parseStripCsv(long))).toMatch(/^Line 699002 has “x”/);
  });

  it('shows a hostile cell shortened and without control characters', () => {
    const message = saidOf(parseStripCsv(rows(3, `=\u202Ehyperlink("${'x'.repeat(500)}")`)));
    expect(message).toMatch(/^Line 5 holds a formula \(=\?hyperlink/);
    expect(message.length).toBeLessThan(160);
  });
});

describe('whatever comes', () => {
  it('never throws at bytes, and every refusal has a sentence', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 400 }), (bytes) => {
        const parsed = parseStripCsv(bytes);
        expect(parsed.result === 'refused' ? saidOf(parsed).endsWith('.') : true).toBe(true);
      }),
    );
  });

  it('never throws at words and numbers in lines', () => {
    const cell = fc.oneof(
      fc.double(),
      fc.constantFrom('', '-', '=a', 'x', '12:00:01', '"', "'", 'NaN', '1,5'),
    );
    const line = fc.array(cell, { maxLength: 4 }).map((cells) => cells.join(','));
    const heading = fc.constantFrom(
      'time_s,abp_mmHg',
      't,abp',
      'fs_Hz;P1 [kPa]',
      '# fs=250 Hz\nabp_mmHg',
      '',
    );
    fc.assert(
      fc.property(heading, fc.array(line, { maxLength: 30 }), (head, lines) => {
        expect(['strip', 'which channel', 'refused']).toContain(
          parseStripCsv(bytesOf([head, ...lines].join('\n'))).result,
        );
      }),
    );
  });

  it('gives back any numbers that were written, at any rate from 60 to 1000 Hz', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 60, max: 1000 }),
        fc.array(fc.integer({ min: -500, max: 3500 }), { minLength: 10, maxLength: 60 }),
        (samplesPerS, tenths) => {
          const values = Array.from(
            { length: 3 * samplesPerS },
            (_, i) => (tenths[i % tenths.length] ?? 0) / 10,
          );
          const lines = values.map((p, i) => `${(i / samplesPerS).toFixed(4)},${p}`);
          const strip = stripOf(parseStripCsv(bytesOf(`time_s,abp_mmHg\n${lines.join('\n')}\n`)));
          expect([...strip.pressuresMmHg]).toEqual(values);
          expect(strip.samplesPerS / samplesPerS).toBeCloseTo(1, 3);
        },
      ),
      { numRuns: 40 },
    );
  });
});

describe('the sampling rate of a file', () => {
  const rows = Array.from(
    { length: 1_500 },
    (_, i) => `${(i / 250).toFixed(3)},${90 + 30 * Math.sin(i / 20)}`,
  );
  const read = (head: string) => parseStripCsv(new TextEncoder().encode([head, ...rows].join('\n')));

  it.each([
    '# Heart rate: 180\ntime_s,abp_mmHg',
    '# Low-pass filter frequency: 100 Hz\ntime_s,abp_mmHg',
    '# fs=0.25 kHz\ntime_s,abp_mmHg',
    '# fs=250 Hz\ntime_s,abp_mmHg',
  ])('is that of its times, whatever else is remarked: %j', (head) => {
    const parsed = read(head);
    expect(parsed.result === 'strip' && parsed.strip.samplesPerS).toBeCloseTo(250, 3);
  });

  it('is refused where a told rate contradicts the times', () => {
    expect(saidOf(read('# fs=125\ntime_s,abp_mmHg'))).toMatch(
      /says 125 samples per second, but its times give 250/,
    );
  });

  it.each(['rate (/min)', 'sample'])('is not a column called %s', (name) => {
    const extra = rows.map((row, i) => `${row},${name === 'sample' ? 100 + i : 120}`);
    const parsed = parseStripCsv(new TextEncoder().encode([`time_s,abp_mmHg,${name}`, ...extra].join('\n')));
    expect(parsed.result === 'strip' && parsed.strip.samplesPerS).toBeCloseTo(250, 3);
  });
});
