import { readFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, it } from 'vitest';
import { parseWfdb, signalFileNames } from '../../../src/domain/strip/parse-wfdb.ts';
import { noteText } from '../../../src/wording/strips/strip-finding-words.ts';
import * as fc from '../../support/properties.ts';
import { bytesOf, refusalOf, saidOf, stripOf } from './strip-of.ts';

const fixtures = path.resolve(import.meta.dirname, '..', '..', 'fixtures', 'strip');
const headerText = readFileSync(path.join(fixtures, 'made-212.hea'), 'utf8');
const data = readFileSync(path.join(fixtures, 'made-212.dat'));
const read = (header: string, bytes: Uint8Array, channel: string | null = null) =>
  parseWfdb(
    { headerText: header, signalBytes: new Map([[signalFileNames(header)[0] ?? '', bytes]]) },
    channel,
  );

const sixteenBitSum = (values: readonly number[]) =>
  new Int16Array([values.reduce((a, b) => a + b, 0)])[0] ?? 0;

/** A record of one pressure and another signal, packed by the platform's own typed arrays. */
function made(
  format: 16 | 61 | 80,
  samples: readonly number[],
  { gain = 10, baseline = 0, samplesPerS = 125 } = {},
) {
  const both = samples.flatMap((value, i) => [i % 100, value]);
  const little = new Uint8Array(Int16Array.from(both).buffer);
  const bytes =
    format === 80
      ? Uint8Array.from(both, (value) => value + 128)
      : format === 16
        ? little
        : little.map((_, i) => little[i ^ 1] ?? 0);
  const header = `m 2 ${samplesPerS} ${samples.length}\nm.dat ${format} 200/mV 12 0 0 ${sixteenBitSum(samples.map((_, i) => i % 100))} 0 II\nm.dat ${format} ${gain}(${baseline})/mmHg 12 0 ${samples[0]} ${sixteenBitSum(samples)} 0 ABP\n`;
  return { header, bytes };
}

describe('against other readers', () => {
  // BioSig 2.5.0, see the README beside the fixture: digital values 730, 702, 679, 656 … 504, sum 260,076.
  it('reads the digital values that BioSig 2.5.0 reads from a made record of format 212', () => {
    const { pressuresMmHg, samplesPerS, channel } = stripOf(read(headerText, data));
    const digital = Array.from(pressuresMmHg, (p) => Math.round(p * 10 - 400));
    expect([samplesPerS, channel, digital.length]).toEqual([125, 'ABP', 500]);
    expect([...digital.slice(0, 4), digital[100], digital[333], digital[499]]).toEqual([
      730, 702, 679, 656, 571, 534, 504,
    ]);
    expect(digital.reduce((a, b) => a + b, 0)).toBe(260_076);
  });

  // npm package wfdb 0.0.9 (ISC), its tests' bytes and values: the first 10 frames of MIMIC record 037/03700001 (human).
  // Repeated 60 times here for length; the checksum is that of its values.
  it('reads the pressures that wfdb 0.0.9 reads, with 4 samples of another signal in each frame', () => {
    const ten = Buffer.from(
      '43336f8533853fed6c9b339bdc33dc86ed46dc33dcdc33f2beed22f233f2f233f2e4ed00f233f20834f2fbdde1dc33dcb033b008dec78533855933430fdeb22d23ebd522a910dea07d22521012fa0fde91b811a260114a0cde84',
      'hex',
    );
    const bytes = Uint8Array.from({ length: ten.length * 60 }, (_, i) => ten[i % ten.length] ?? 0);
    const expected = [
      70.09345794392523, 75.62305295950156, 79.98442367601247, 82.94392523364486, 84.73520249221184,
      85.74766355140187, 86.29283489096574, 86.37071651090342, 86.29283489096574, 86.05919003115265,
    ];
    const checksum = sixteenBitSum(expected.map((p) => 60 * Math.round(p * 12.84 - 1605)));
    const header = `03700001 3 125 600 11:27:45 14/08/1994\n03700001.dat 212x4 2963.77/mV 12 0 835 23953 0 MCL1\n03700001.dat 212 12.84(-1605)/mmHg 12 0 -705 ${checksum} 0 ABP\n03700001.dat 212:4 2000 12 0 -404 -10208 0 RESP\n`;
    const { pressuresMmHg } = stripOf(read(header, bytes));
    for (const [i, p] of pressuresMmHg.entries()) expect(p).toBeCloseTo(expected[i % 10] ?? 0, 10);
    expect(pressuresMmHg.length).toBe(600);
  });

  // The same package: 10 frames of MGH/MF record mgh001 (human), 8 signals; checksums written without sign in its header.
  it('reads the arterial one of 8 signals as wfdb 0.0.9 does and leaves pulmonary and venous pressure alone', () => {
    const ten = Buffer.from(
      '6388615dc89bff93fff0ecfea0889b95e8a3ff97fffc3f4da688a19ae8c8ff97ff33309c9888938de84aff97ff762f919d889891e859ff97ff8e2fb3a5889f99e892ff97ffe43f2c9e889992e87cff97ffc22ffc9688928be862ff97ff9b2fc59a88968fe873ff97ffb62feb9f889b95e87dff97ffc52ffd',
      'hex',
    );
    const bytes = Uint8Array.from({ length: ten.length * 90 }, (_, i) => ten[i % ten.length] ?? 0);
    const expected = [
      28.68988391376451, 71.80762852404644, 74.87562189054727, 64.42786069651741, 65.67164179104478,
      70.39800995024875, 68.57379767827528, 66.41791044776119, 67.82752902155887, 68.65671641791045,
    ];
    const sum = expected.reduce((total, p) => total + 90 * Math.round(p * 12.06 - 1215), 0);
    const checksum = ((sum % 65_536) + 65_536) % 65_536;
    const others = [
      '1167(-127)/mV 12 0 0 0 0 ECG lead I',
      '1208(-573)/mV 12 0 0 0 0 ECG lead II',
      '1121(-1070)/mV 12 0 0 0 0 ECG lead V',
    ];
    const after = [
      '20.72(-1015)/mmHg 12 0 1023 0 0 PAP',
      '20.08(-1006)/mmHg 12 0 -1537 0 0 CVP',
      '1000 12 0 -784 0 0 Resp. Imp.',
      '1000 12 0 -258 0 0 CO2',
    ];
    const lines = [...others, `12.06(-1215)/mmHg 12 0 -869 ${checksum} 0 ART`, ...after];
    const header = `mgh001 8 360/0.476 900\n${lines.map((line) => `mgh001.dat 212 ${line}`).join('\n')}\n`;
    const strip = stripOf(read(header, bytes));
    expect([strip.samplesPerS, strip.channel]).toEqual([360, 'ART']);
    for (const [i, p] of strip.pressuresMmHg.slice(0, 20).entries())
      expect(p).toBeCloseTo(expected[i % 10] ?? 0, 10);
  });
});

describe('formats', () => {
  it.each([16, 61, 80] as const)(
    'gives back what was written in format %i, baseline and gain applied',
    (format) => {
      fc.assert(
        fc.property(
          fc.array(fc.integer({ min: -127, max: 127 }), { minLength: 250, maxLength: 300 }),
          (samples) => {
            const { header, bytes } = made(format, samples, { gain: 4, baseline: -50 });
            expect([...stripOf(read(header, bytes)).pressuresMmHg]).toEqual(samples.map((v) => (v + 50) / 4));
          },
        ),
        { numRuns: 30 },
      );
    },
  );

  it('takes the value that means "none" for missing', () => {
    const samples = Array.from({ length: 300 }, (_, i) => (i === 7 ? -32_768 : 900));
    const { pressuresMmHg } = stripOf(read(made(16, samples).header, made(16, samples).bytes));
    expect([pressuresMmHg[6], pressuresMmHg[7]]).toEqual([90, Number.NaN]);
  });

  it('reads the last 10 minutes of 24 h of 16 bit at 250 Hz and says so', () => {
    const frames = 24 * 3600 * 250;
    const samples = new Int16Array(frames).fill(900).fill(700, frames - 150_000);
    const sum = 900 * (frames - 150_000) + 700 * 150_000;
    const checksum = new Int16Array([sum % 65_536])[0];
    const header = `d 1 250 ${frames}\nd.dat 16 10(0)/mmHg 16 0 900 ${checksum} 0 ABP\n`;
    const strip = stripOf(read(header, new Uint8Array(samples.buffer)));
    expect(strip.notes.map(noteText)).toEqual(['The file holds 24 h; only the last 10 min were read.']);
    expect([strip.pressuresMmHg.length, strip.startsAtS]).toEqual([150_000, 85_800]);
    expect(strip.pressuresMmHg.every((p) => p === 70)).toBe(true);
  });
});

describe('what is asked or refused', () => {
  const samples = Array.from({ length: 300 }, (_, i) => 900 + (i % 60));
  const { header, bytes } = made(16, samples);

  it('asks which of two arterial signals is meant, and reads the named one', () => {
    const two = header.replace('200/mV 12 0 0', '10/mmHg 12 0 0').replace('0 II', '0 ART');
    expect(read(two, bytes)).toMatchObject({ result: 'which channel', channels: ['ART', 'ABP'] });
    expect(stripOf(read(two, bytes, 'ABP')).pressuresMmHg[1]).toBe(90.1);
  });

  it('refuses data that do not add up to the header’s checksum', () => {
    const wrong = bytes.map((b, i) => (i === 202 ? b ^ 1 : b));
    expect(refusalOf(read(header, wrong))).toEqual({ because: 'data do not match', fails: 'checksum' });
  });

  it.each([
    [
      'data of another record, by the first value',
      header.replace('12 0 900', '12 0 901'),
      bytes,
      'data do not match',
    ],
    ['a file that breaks off', header, bytes.subarray(0, 800), 'data break off'],
    ['a header that is none', 'hello there', bytes, 'header not readable'],
    [
      'a header with a signal line missing',
      header.split('\n').slice(0, 2).join('\n'),
      bytes,
      'header not readable',
    ],
    ['several segments', 'm/3 2 125 300\nm_1 100\n', bytes, 'several segments'],
    ['a compressed format', header.replaceAll('.dat 16', '.dat 516'), bytes, 'format not read'],
    ['a pressure without a unit', header.replace('10(0)/mmHg', '10(0)'), bytes, 'signal without unit'],
    ['a pressure without a gain', header.replace('10(0)/mmHg', '0(0)/mmHg'), bytes, 'signal without unit'],
    ['no pressure', header.replace('ABP', 'III').replace('/mmHg', '/mV'), bytes, 'no pressure signal'],
    ['50 samples a second', header.replace('2 125 300', '2 50 300'), bytes, 'sampling rate out of range'],
  ])('refuses %s', (_, text, file, because) => {
    expect(refusalOf(read(text, file)).because).toBe(because);
  });

  it('refuses a missing data file and names it', () => {
    expect(saidOf(parseWfdb({ headerText: header, signalBytes: new Map() }))).toBe(
      'The data file m.dat is missing. Upload it together with the .hea file.',
    );
  });

  it('never throws at any header or bytes', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 200 }), fc.uint8Array({ maxLength: 50 }), (text, file) => {
        expect(['strip', 'which channel', 'refused']).toContain(read(text, file).result);
        expect(read(`${header}${text}`, file).result).toBe('refused');
      }),
    );
  });

  it('names each data file once', () => {
    expect(signalFileNames(header)).toEqual(['m.dat']);
    expect(signalFileNames(new TextDecoder().decode(bytesOf('nonsense')))).toEqual([]);
  });
});
