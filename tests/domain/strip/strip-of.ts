import type { ParsedStrip, PressureStrip, UploadRefusal } from '../../../src/domain/strip/pressure-strip.ts';

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

/** Text as the bytes of a file. */
export const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);
