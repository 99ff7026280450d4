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
  /** What was done to the file that its reader must know, a sentence each. */
  notes: string[];
}

/** Why a file is not read. */
export const refusalReasons = [
  'empty',
  'too large',
  'wrong type',
  'damaged',
  'formula',
  'no header',
  'no pressure',
  'no units',
  'no sampling rate',
  'sampling rate out of range',
  'bad value',
  'too much missing',
  'too short',
  'no such channel',
  'not supported',
] as const;

/** An expected refusal: why, and one sentence or two for the person: what happened, and what to do now. */
export interface UploadRefusal {
  because: (typeof refusalReasons)[number];
  message: string;
}

/** What reading a file gives. */
export type ParsedStrip =
  | { result: 'strip'; strip: PressureStrip }
  /** Several pressure channels: ask the person which, then read again with that `channel`. */
  | { result: 'which channel'; channels: string[]; message: string }
  | { result: 'refused'; refusal: UploadRefusal };

/** Sampling rates that can be read, Hz: below, a pulse of 260 /min has too few points; above, none is needed. */
export const samplingRange = { lowestHz: 60, highestHz: 1000 } as const;

/** Of a longer file the last so many minutes are read (own rule: a look at the line as it is now). */
export const longestReadMin = 10;

/** Largest file taken, bytes: 24 h of 16 bit at 250 Hz are 43 MB. */
export const largestFileBytes = 64_000_000;

/** A refusal as the result of reading. */
export function refused(because: UploadRefusal['because'], message: string): ParsedStrip {
  return { result: 'refused', refusal: { because, message } };
}

/** Text of a file as it may be shown in an answer: one line, printable, at most so many characters. */
export function shownText(text: string, most = 40): string {
  // Control characters could break an answer's lines; \p{C} also holds those that turn the direction of writing.
  const printable = text.trim().replaceAll(/\p{C}/gu, '?');
  return printable.length > most ? `${printable.slice(0, most)}…` : printable;
}

/** "8 s", "2.5 min", "24 h": a length of time for a sentence. */
export function spanWords(seconds: number): string {
  if (seconds < 90) return `${Number(seconds.toFixed(seconds < 10 ? 1 : 0))} s`;
  if (seconds < 90 * 60) return `${Number((seconds / 60).toFixed(1))} min`;
  return `${Number((seconds / 3600).toFixed(1))} h`;
}

/** Says that only the end was read; null where the whole file was. */
export function lastPartNote(readS: number, fileS: number): string | null {
  if (fileS - readS < 1) return null;
  return `The file holds ${spanWords(fileS)}; only the last ${spanWords(readS)} were read.`;
}

/** Refuses a strip that cannot be read for its sampling rate or length; otherwise gives it back as a result. */
export function checkedStrip(strip: PressureStrip): ParsedStrip {
  const { samplesPerS, pressuresMmHg } = strip;
  const { lowestHz, highestHz } = samplingRange;
  if (!(samplesPerS >= lowestHz && samplesPerS <= highestHz)) {
    return refused(
      'sampling rate out of range',
      `The file has ${Number(samplesPerS.toPrecision(3))} samples per second; ${lowestHz} to ${highestHz} can be read. Export the waveform itself (not trend numbers) at 100 to 500 Hz.`,
    );
  }
  const present = pressuresMmHg.reduce((count, p) => count + (Number.isNaN(p) ? 0 : 1), 0);
  if (present < 2 * samplesPerS) {
    return refused(
      'too short',
      `The file holds ${spanWords(present / samplesPerS)} of pressure; at least 2 s are needed, 30 to 60 s are best. Export a longer stretch.`,
    );
  }
  if (present < 0.8 * pressuresMmHg.length) {
    return refused(
      'too much missing',
      `${Math.round(100 - (100 * present) / pressuresMmHg.length)} % of the values are missing; at most 20 % may be. Export a stretch without gaps.`,
    );
  }
  return { result: 'strip', strip };
}
