import { parseStripCsv } from './parse-strip-csv.ts';
import { parseWfdb, signalFileNames } from './parse-wfdb.ts';
import { type ParsedStrip, refused } from './pressure-strip.ts';

/** A file as it was uploaded. */
export interface UploadedFile {
  name: string;
  bytes: Uint8Array;
}

const largestHeaderBytes = 100_000;

/**
 * Reads the pressure strip that one or more uploaded files hold: a CSV file alone, or a WFDB header (`.hea`) with its data
 * file. `channel` answers an earlier question which channel is meant. All refusals are values.
 */
export function parseStripFiles(files: readonly UploadedFile[], channel: string | null = null): ParsedStrip {
  const header = files.find(({ name }) => name.toLowerCase().endsWith('.hea'));
  if (header !== undefined) {
    if (header.bytes.length > largestHeaderBytes) return refused({ because: 'header too large' });
    return parseWfdb(
      {
        headerText: new TextDecoder().decode(header.bytes),
        signalBytes: new Map(files.map(({ name, bytes }) => [name, bytes])),
      },
      channel,
    );
  }
  const [first, ...more] = files;
  if (first === undefined) return refused({ because: 'no file' });
  if (more.length > 0) return refused({ because: 'several files' });
  if (first.name.toLowerCase().endsWith('.dat')) return refused({ because: 'data without a header' });
  return parseStripCsv(first.bytes, channel);
}

/** Names of the files that a WFDB header needs beside it; empty for any other file. */
export function filesBeside({ name, bytes }: UploadedFile): string[] {
  if (!name.toLowerCase().endsWith('.hea') || bytes.length > largestHeaderBytes) return [];
  // A header names files, never folders: nothing outside its own folder is read.
  return signalFileNames(new TextDecoder().decode(bytes)).filter((one) => !/[/\\]|^\.\.?$/.test(one));
}
