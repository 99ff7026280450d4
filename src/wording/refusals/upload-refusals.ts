import { type ByTag, byTag } from '../../domain/by-kind.ts';
import { largestFileBytes, longestReadMin, samplingRange } from '../../domain/strip/pressure-strip.ts';
import type { UploadRefusal, UploadType } from '../../domain/strip/upload-refusal.ts';
import { spanWords } from '../strips/span-words.ts';

const asCsv =
  'Export the waveform as CSV (a text file with a header line such as time_s,abp_mmHg) and upload that.';
const isNone = (what: string) => `This is ${what}, not a waveform. ${asCsv}`;

const types: Readonly<Record<UploadType, string>> = {
  'spreadsheet or zip': isNone('a spreadsheet or zip archive'),
  'old spreadsheet': isNone('an old spreadsheet or document'),
  PNG: isNone('a picture (PNG)'),
  JPEG: isNone('a picture (JPEG)'),
  GIF: isNone('a picture (GIF)'),
  PDF: isNone('a PDF'),
  gzip: isNone('a compressed file (gzip)'),
  'UTF-16': 'The text is saved as UTF-16. Save it as “CSV UTF-8” and upload that.',
  binary: `The file is binary, not text. ${asCsv}`,
};

type Texts<Because extends UploadRefusal['because']> = ByTag<
  'because',
  UploadRefusal & { because: Because },
  [],
  string
>;

const ofFiles: Texts<
  | 'empty'
  | 'no file'
  | 'several files'
  | 'too large'
  | 'wrong type'
  | 'data without a header'
  | 'data file missing'
> = {
  empty: () => `The file is empty. ${asCsv}`,
  'no file': () => 'There is no file. Upload a CSV file, or a .hea file with its .dat file.',
  'several files': () => 'There are several files. Upload one CSV file, or a .hea file with its .dat file.',
  'too large': ({ file, bytes }) =>
    `The ${file === 'data' ? 'data file' : 'file'} has ${(bytes / 1e6).toFixed(0)} MB; at most ${largestFileBytes / 1e6} MB are read. Export only the last ${spanWords(60 * longestReadMin)}.`,
  'wrong type': ({ type }) => types[type],
  'data without a header': () =>
    'A .dat file alone does not say what it holds. Upload it together with its .hea file.',
  'data file missing': ({ name }) =>
    `The data file ${name} is missing. Upload it together with the .hea file.`,
};

const ofRecords: Texts<
  | 'header too large'
  | 'header not readable'
  | 'several segments'
  | 'no such signal'
  | 'no pressure signal'
  | 'signal without unit'
  | 'format not read'
  | 'data break off'
  | 'data do not match'
> = {
  'header too large': () => 'The .hea file is far too large for a header. Upload the record’s own header.',
  'header not readable': ({ line }) =>
    `Line ${line} of the header cannot be read. Upload the .hea file as it was exported, with its .dat file.`,
  'several segments': () =>
    'The record is made of several segments. Upload the header and data of one segment.',
  'no such signal': ({ name, there }) => `There is no signal ${name}. There are: ${there.join(', ')}.`,
  'no pressure signal': ({ there }) =>
    `No signal is an arterial pressure (signals: ${there.join(', ')}). Export the record with the arterial channel.`,
  'signal without unit': ({ name, unit }) =>
    `The header gives no pressure unit for ${name} (${unit ?? 'none'}). Write gain(baseline)/mmHg in its line of the .hea file, such as 20(-1600)/mmHg.`,
  'format not read': ({ format }) =>
    `The signal is stored in format ${format}; formats 16, 61, 80 and 212 are read. Convert the record to format 16.`,
  'data break off': ({ thereS, wantedS }) =>
    `The data file breaks off: ${spanWords(thereS)} of ${spanWords(wantedS)} are there. Upload it again.`,
  'data do not match': ({ fails }) =>
    `The data do not match the header (${fails}): the file is damaged or belongs to another record. Upload the .hea and .dat that were exported together.`,
};

const ofTables: Texts<
  | 'line too long'
  | 'no header'
  | 'no values'
  | 'no such column'
  | 'no pressure column'
  | 'column without unit'
  | 'column in another unit'
  | 'time without unit'
  | 'formula'
  | 'no number'
  | 'no time'
> = {
  'line too long': ({ mostCharacters }) =>
    `A line of the file has over ${mostCharacters} characters, so it is no table. Put one sample on each line.`,
  'no header': () =>
    'The file does not say what its columns are. Put a heading line first that names each column with its unit, such as time_s,abp_mmHg.',
  'no values': () => 'The file has a heading but no values. Export the waveform again.',
  'no such column': ({ name, there }) => `There is no column ${name}. There are: ${there.join(', ')}.`,
  'no pressure column': ({ there }) =>
    `No column is named as an arterial pressure (columns: ${there.join(', ')}). Name it and its unit in the heading line, such as abp_mmHg.`,
  'column without unit': ({ name }) =>
    `The pressure column ${name} has no unit: is it mmHg, kPa or cmH₂O? Write it in the heading line, such as ${name}_mmHg.`,
  'column in another unit': ({ name, unit }) =>
    `The pressure column ${name} is in ${unit}; only mmHg, kPa and cmH₂O are taken. Convert it and write the unit in the heading, such as ${name}_mmHg.`,
  'time without unit': ({ name }) =>
    `The time column ${name} has no unit. Write it in the heading line: ${name}_s for seconds or ${name}_ms for milliseconds.`,
  formula: ({ line, cell }) =>
    `Line ${line} holds a formula (${cell}). Only values are read: copy the cells, paste them as values, and export again.`,
  'no number': ({ line, cell }) =>
    `Line ${line} has “${cell}” for the pressure, which is no number. Write numbers only; leave a missing value empty.`,
  'no time': ({ line, cell }) =>
    `Line ${line} has “${cell}” for the time, which is no time. Write seconds, or a clock time such as 19:04:12.520.`,
};

const words: Texts<UploadRefusal['because']> = {
  ...ofFiles,
  ...ofRecords,
  ...ofTables,
  'time goes back': ({ line }) =>
    `The time in line ${line} goes back. Times must ascend: export one stretch without breaks.`,
  'times too coarse': () =>
    'The times are too coarse: several lines have the same time. Write the sampling rate in the first line instead, such as # fs=250 Hz.',
  'times too uneven': () =>
    'The times are too uneven to tell a sampling rate. Write it in the first line instead, such as # fs=250 Hz.',
  'no sampling rate': () =>
    'The file has neither times nor a sampling rate. Add a column time_s, or write the rate in the first line, such as # fs=250 Hz.',
  'rates disagree': ({ toldHz, timesHz }) =>
    `The file says ${toldHz} samples per second, but its times give ${timesHz}. Remove or correct the one that is wrong.`,
  'sampling rate out of range': ({ samplesPerS }) =>
    `The file has ${Number(samplesPerS.toPrecision(3))} samples per second; ${samplingRange.lowestHz} to ${samplingRange.highestHz} can be read. Export the waveform itself (not trend numbers) at 100 to 500 Hz.`,
  'too few samples': () => 'The file has fewer than 3 samples; at least 2 s are needed, 30 to 60 s are best.',
  'too short': ({ s }) =>
    `The file holds ${spanWords(s)} of pressure; at least 2 s are needed, 30 to 60 s are best. Export a longer stretch.`,
  'gap too long': ({ s }) =>
    `The times have a gap of ${s.toFixed(1)} s; at most 2 s may be missing at once. Export one stretch without breaks.`,
  'too much missing': ({ present, samples }) =>
    `${Math.round(100 - (100 * present) / samples)} % of the values are missing; at most 20 % may be. Export a stretch without gaps.`,
};

/** Why an upload isn't read: what is wrong with it, and what to do now. */
export const uploadRefusal = (refusal: UploadRefusal): string => byTag('because', words, refusal);

/** The question which of several pressure channels is meant, in one sentence. */
export function whichChannelWords(channels: readonly string[]): string {
  return `The file has ${channels.length} pressure channels: ${channels.join(', ')}. Say which one is the arterial line.`;
}
