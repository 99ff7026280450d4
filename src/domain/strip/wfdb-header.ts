/** One signal of a WFDB record. */
export interface WfdbSignal {
  fileName: string;
  format: number;
  samplesPerFrame: number;
  byteOffset: number;
  /** Digital units in one physical unit; null where the header gives none. */
  gain: number | null;
  baseline: number;
  units: string;
  initialValue: number | null;
  checksum: number | null;
  description: string;
}

/** A single-segment WFDB record as its header tells it. */
export interface WfdbHeader {
  record: string;
  framesPerS: number;
  /** Frames in the record; null where the header leaves it open. */
  frames: number | null;
  signals: WfdbSignal[];
}

/** A header, or which line cannot be read. */
export type ReadHeader =
  | { read: 'header'; header: WfdbHeader }
  | { read: 'several segments' }
  | { read: 'nothing'; line: number };

const signalLine =
  /^(\S+)\s+(\d+)(?:x(\d+))?(?::(\d+))?(?:\+(\d+))?(?:\s+(-?[\d.]+(?:e[+-]?\d+)?)(?:\((-?\d+)\))?(?:\/(\S+))?)?(?:\s+(\d+))?(?:\s+(-?\d+))?(?:\s+(-?\d+))?(?:\s+(-?\d+))?(?:\s+(\d+))?(?:\s+(.*?))?\s*$/i;

/**
 * Reads the text of a WFDB header (`.hea`): record line, then a line for each signal; `#` begins a comment. Left out
 * fields have the format's defaults: 250 frames per second, millivolts, baseline = ADC zero = 0 (WFDB header format,
 * header(5) of the WFDB Applications Guide, from memory).
 */
export function readWfdbHeader(text: string): ReadHeader {
  const lines = text
    .split(/\r?\n/)
    .map((line, i) => ({ line: line.trim(), number: i + 1 }))
    .filter(({ line }) => line !== '' && !line.startsWith('#'));
  const [first, ...rest] = lines;
  const record =
    /^([\w-]+)(\/\d+)?\s+(\d+)(?:\s+(\d+(?:\.\d+)?)(?:\/[\d.]+(?:\(-?[\d.]+\))?)?)?(?:\s+(\d+))?/.exec(
      first?.line ?? '',
    );
  if (!first || !record) return { read: 'nothing', line: first?.number ?? 1 };
  if (record[2] !== undefined) return { read: 'several segments' };
  const signals: WfdbSignal[] = [];
  for (const { line, number } of rest.slice(0, Number(record[3]))) {
    const told = signalLine.exec(line);
    if (!told) return { read: 'nothing', line: number };
    const whole = (text_: string | undefined) => (text_ === undefined ? null : Number(text_));
    const gain = whole(told[6]);
    signals.push({
      fileName: told[1] ?? '',
      format: Number(told[2]),
      samplesPerFrame: Math.max(1, Number(told[3] ?? 1)),
      byteOffset: Number(told[5] ?? 0),
      gain: gain === null || gain === 0 ? null : gain,
      baseline: whole(told[7]) ?? whole(told[10]) ?? 0,
      units: told[8] ?? (gain === null ? '' : 'mV'),
      initialValue: whole(told[11]),
      checksum: whole(told[12]),
      description: told[14] ?? '',
    });
  }
  if (signals.length < Number(record[3])) return { read: 'nothing', line: (lines.at(-1)?.number ?? 0) + 1 };
  const frames = record[5] === undefined || Number(record[5]) === 0 ? null : Number(record[5]);
  return {
    read: 'header',
    header: { record: record[1] ?? '', framesPerS: Number(record[4] ?? 250), frames, signals },
  };
}
