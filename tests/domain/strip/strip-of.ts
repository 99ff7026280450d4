import type { ParsedStrip, PressureStrip } from '../../../src/domain/strip/pressure-strip.ts';
import type { UploadRefusal } from '../../../src/domain/strip/upload-refusal.ts';
import { uploadRefusal } from '../../../src/wording/refusals/upload-refusals.ts';

/** The strip of a result that must be one. */
export function stripOf(parsed: ParsedStrip): PressureStrip {
  if (parsed.result !== 'strip') throw new Error(JSON.stringify(parsed));
  return parsed.strip;
}

/** The refusal of a result that must be one. */
export function refusalOf(parsed: ParsedStrip): UploadRefusal {
  if (parsed.result !== 'refused') throw new Error(parsed.result);
  return parsed.refusal;
}

/** What is said of it. */
export const saidOf = (parsed: ParsedStrip): string => uploadRefusal(refusalOf(parsed));

/** Text as the bytes of a file. */
export const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);
