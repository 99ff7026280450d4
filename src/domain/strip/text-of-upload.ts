import { largestFileBytes, type ParsedStrip, refused, spanWords } from './pressure-strip.ts';

/** First bytes of files that are not text, and what to say of them. */
const kinds: readonly [starts: readonly number[], kind: string][] = [
  [[0x50, 0x4b, 0x03, 0x04], 'a spreadsheet or zip archive'],
  [[0xd0, 0xcf, 0x11, 0xe0], 'an old spreadsheet or document'],
  [[0x89, 0x50, 0x4e, 0x47], 'a picture (PNG)'],
  [[0xff, 0xd8, 0xff], 'a picture (JPEG)'],
  [[0x47, 0x49, 0x46, 0x38], 'a picture (GIF)'],
  [[0x25, 0x50, 0x44, 0x46], 'a PDF'],
  [[0x1f, 0x8b], 'a compressed file (gzip)'],
];

const asWhat =
  'Export the waveform as CSV (a text file with a header line such as time_s,abp_mmHg) and upload that.';

/**
 * The refusal of a file that is no text: empty, over `largestFileBytes`, of a known other type, or with NUL bytes among its
 * first 64 kB; null where it can be read as text.
 */
export function refusalOfBytes(bytes: Uint8Array): Extract<ParsedStrip, { result: 'refused' }> | null {
  const refusal = ((): ParsedStrip | null => {
    if (bytes.length === 0) return refused('empty', `The file is empty. ${asWhat}`);
    if (bytes.length > largestFileBytes) {
      return refused(
        'too large',
        `The file has ${(bytes.length / 1e6).toFixed(0)} MB; at most ${largestFileBytes / 1e6} MB are read. Export only the last ${spanWords(600)}.`,
      );
    }
    const kind = kinds.find(([starts]) => starts.every((byte, i) => bytes[i] === byte))?.[1];
    if (kind !== undefined) return refused('wrong type', `This is ${kind}, not a waveform. ${asWhat}`);
    if ((bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff)) {
      return refused('wrong type', 'The text is saved as UTF-16. Save it as “CSV UTF-8” and upload that.');
    }
    if (bytes.subarray(0, 65_536).includes(0) || bytes.subarray(-65_536).includes(0)) {
      return refused('wrong type', `The file is binary, not text. ${asWhat}`);
    }
    return null;
  })();
  return refusal?.result === 'refused' ? refusal : null;
}
