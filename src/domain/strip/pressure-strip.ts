import type { UploadRefusal } from './upload-refusal.ts';

/** What was done to the file, or shows over the strip, that its reader must know. */
export type StripNote =
  | { note: 'converted'; from: 'kPa' | 'cmH₂O' }
  | { note: 'last part'; readS: number; fileS: number }
  | { note: 'last line broken' | 'no checksum' | 'could drift' }
  | { note: 'drifts'; mmHgPerS: number; lengthS: number };

/** A stretch of arterial pressure, sampled evenly. */
export interface PressureStrip {
  /** Sampling rate, Hz. */
  samplesPerS: number;
  /** Pressures, mmHg; NaN where the file has none. */
  pressuresMmHg: Float64Array;
  /** The channel's name in the file, shortened to 40 characters. */
  channel: string;
  /** Where the stretch begins in the file, s: above 0 where only the end of a long file was read. */
  startsAtS: number;
  /** How long the whole file is, s. */
  fileS: number;
  notes: StripNote[];
}

/** What reading a file gives. */
export type ParsedStrip =
  | { result: 'strip'; strip: PressureStrip }
  /** Several pressure channels: ask the person which, then read again with that `channel`. */
  | { result: 'which channel'; channels: string[] }
  | { result: 'refused'; refusal: UploadRefusal };

/** Sampling rates that can be read, Hz: below, a pulse of 260 /min has too few points; above, none is needed. */
export const samplingRange = { lowestHz: 60, highestHz: 1000 } as const;

/** Of a longer file the last so many minutes are read (own rule: a look at the line as it is now). */
export const longestReadMin = 10;

/** Largest file taken, bytes: 24 h of 16 bit at 250 Hz are 43 MB. */
export const largestFileBytes = 64_000_000;

/** A refusal as the result of reading. */
export function refused(refusal: UploadRefusal): ParsedStrip {
  return { result: 'refused', refusal };
}

/** Text of a file as it may be shown in an answer: one line, printable, at most so many characters. */
export function shownText(text: string, most = 40): string {
  // Control characters could break an answer's lines; \p{C} also holds those that turn the direction of writing.
  const printable = text.trim().replaceAll(/\p{C}/gu, '?');
  return printable.length > most ? `${printable.slice(0, most)}…` : printable;
}

/** That only the end was read; nothing where the whole file was. */
export function lastPartNotes(readS: number, fileS: number): StripNote[] {
  return fileS - readS < 1 ? [] : [{ note: 'last part', readS, fileS }];
}

/** Refuses a strip that cannot be read for its sampling rate or length; otherwise gives it back as a result. */
export function checkedStrip(strip: PressureStrip): ParsedStrip {
  const { samplesPerS, pressuresMmHg } = strip;
  const { lowestHz, highestHz } = samplingRange;
  if (!(samplesPerS >= lowestHz && samplesPerS <= highestHz))
    return refused({ because: 'sampling rate out of range', samplesPerS });
  const present = pressuresMmHg.reduce((count, p) => count + (Number.isNaN(p) ? 0 : 1), 0);
  if (present < 2 * samplesPerS) return refused({ because: 'too short', s: present / samplesPerS });
  const samples = pressuresMmHg.length;
  if (present < 0.8 * samples) return refused({ because: 'too much missing', present, samples });
  return { result: 'strip', strip };
}
