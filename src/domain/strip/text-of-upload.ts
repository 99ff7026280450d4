import { largestFileBytes, type ParsedStrip, refused } from './pressure-strip.ts';
import type { UploadType } from './upload-refusal.ts';

/** First bytes of files that are not text. */
const types: readonly [starts: readonly number[], type: UploadType][] = [
  [[0x50, 0x4b, 0x03, 0x04], 'spreadsheet or zip'],
  [[0xd0, 0xcf, 0x11, 0xe0], 'old spreadsheet'],
  [[0x89, 0x50, 0x4e, 0x47], 'PNG'],
  [[0xff, 0xd8, 0xff], 'JPEG'],
  [[0x47, 0x49, 0x46, 0x38], 'GIF'],
  [[0x25, 0x50, 0x44, 0x46], 'PDF'],
  [[0x1f, 0x8b], 'gzip'],
];

/**
 * The refusal of a file that is no text: empty, over `largestFileBytes`, of a known other type, or with NUL bytes among its
 * first 64 kB; null where it can be read as text.
 */
export function refusalOfBytes(bytes: Uint8Array): Extract<ParsedStrip, { result: 'refused' }> | null {
  const refusal = ((): ParsedStrip | null => {
    if (bytes.length === 0) return refused({ because: 'empty' });
    if (bytes.length > largestFileBytes)
      return refused({ because: 'too large', file: 'upload', bytes: bytes.length });
    const type = types.find(([starts]) => starts.every((byte, i) => bytes[i] === byte))?.[1];
    if (type !== undefined) return refused({ because: 'wrong type', type });
    if ((bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff))
      return refused({ because: 'wrong type', type: 'UTF-16' });
    if (bytes.subarray(0, 65_536).includes(0) || bytes.subarray(-65_536).includes(0))
      return refused({ because: 'wrong type', type: 'binary' });
    return null;
  })();
  return refusal?.result === 'refused' ? refusal : null;
}
