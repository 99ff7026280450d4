import { channelLabels, chooseChannel, convertedNotes, mmHgPerUnit } from './channel-choice.ts';
import {
  checkedStrip,
  largestFileBytes,
  lastPartNotes,
  longestReadMin,
  type ParsedStrip,
  refused,
  shownText,
} from './pressure-strip.ts';
import type { UploadRefusal } from './upload-refusal.ts';
import { readWfdbHeader, type WfdbSignal } from './wfdb-header.ts';

/** How a storage format packs samples: bytes for so many samples, the value of one, and the value that means "none". */
interface Packing {
  bits: number;
  missing: number;
  sampleAt(bytes: Uint8Array, index: number): number;
}

const signed = (value: number, bits: number) => (value << (32 - bits)) >> (32 - bits);
const byte = (bytes: Uint8Array, at: number) => bytes[at] ?? 0;

/**
 * The formats that are read (WFDB signal format, signal(5) of the WFDB Applications Guide, from memory; checked against
 * another reader, see the tests): 16 and 61 are 16 bit, low and high byte first; 80 is one byte with 128 taken off; 212
 * packs two samples of 12 bit in three bytes: low byte and low nibble, then the high nibble and the last byte.
 */
const packings: Readonly<Record<number, Packing>> = {
  16: {
    bits: 16,
    missing: -32_768,
    sampleAt: (b, i) => signed(byte(b, 2 * i) | (byte(b, 2 * i + 1) << 8), 16),
  },
  61: {
    bits: 16,
    missing: -32_768,
    sampleAt: (b, i) => signed((byte(b, 2 * i) << 8) | byte(b, 2 * i + 1), 16),
  },
  80: { bits: 8, missing: -128, sampleAt: (b, i) => byte(b, i) - 128 },
  212: {
    bits: 12,
    missing: -2048,
    sampleAt: (b, i) => {
      const at = 3 * (i >> 1);
      const middle = byte(b, at + 1);
      return i % 2 === 0
        ? signed(byte(b, at) | ((middle & 0x0f) << 8), 12)
        : signed(byte(b, at + 2) | ((middle & 0xf0) << 4), 12);
    },
  },
};

/** The files of a record: the header's text, and the bytes of each signal file by its name. */
export interface WfdbFiles {
  headerText: string;
  signalBytes: ReadonlyMap<string, Uint8Array>;
}

/** Names of the signal files that a header asks for; empty where it cannot be read. */
export function signalFileNames(headerText: string): string[] {
  const read = readWfdbHeader(headerText);
  return read.read === 'header' ? [...new Set(read.header.signals.map(({ fileName }) => fileName))] : [];
}

/** The signal of a header that is the arterial pressure, with what its numbers mean; or why there is none. */
type PressureSignal = { signal: WfdbSignal; perUnit: number; packing: Packing } | { told: ParsedStrip };

function pressureSignal(signals: readonly WfdbSignal[], channel: string | null): PressureSignal {
  const channels = signals.map(({ description, units }) => ({ name: description, unit: units }));
  const choice = chooseChannel(channels, channel);
  const names = channelLabels(channels);
  const no = (why: UploadRefusal) => ({ told: refused(why) });
  if (choice.found === 'several')
    return { told: { result: 'which channel', channels: choice.indices.map((i) => names[i] ?? '') } };
  if (choice.found === 'no such channel')
    return no({ because: 'no such signal', name: shownText(channel ?? ''), there: names });
  const signal = choice.found === 'one' ? signals[choice.index] : undefined;
  if (choice.found !== 'one' || !signal) return no({ because: 'no pressure signal', there: names });
  const perUnit = mmHgPerUnit(signal.units);
  if (perUnit === null || signal.gain === null) {
    const unit = signal.units ? shownText(signal.units) : null;
    return no({ because: 'signal without unit', name: shownText(signal.description), unit });
  }
  const packing = packings[signal.format];
  if (packing === undefined) return no({ because: 'format not read', format: signal.format });
  return { signal, perUnit, packing };
}

/**
 * Reads the arterial pressure of a WFDB record: formats 16, 61, 80 and 212, signals interleaved frame by frame with their
 * samples per frame. The pressure channel is picked by description and unit (mmHg, kPa, cmH₂O), or by `channel`; several are asked
 * about. First value and checksum of the header are compared over the whole file. Of a long record the last
 * `longestReadMin` minutes are kept and the strip says so. All refusals are values.
 */
export function parseWfdb(
  { headerText, signalBytes }: WfdbFiles,
  channel: string | null = null,
): ParsedStrip {
  const read = readWfdbHeader(headerText);
  if (read.read === 'several segments') return refused({ because: 'several segments' });
  if (read.read === 'nothing') return refused({ because: 'header not readable', line: read.line });
  const { framesPerS, frames: toldFrames, signals } = read.header;
  const chosen = pressureSignal(signals, channel);
  if ('told' in chosen) return chosen.told;
  const { signal, perUnit, packing } = chosen;
  const bytes = signalBytes.get(signal.fileName);
  if (bytes === undefined) return refused({ because: 'data file missing', name: shownText(signal.fileName) });
  if (bytes.length > largestFileBytes)
    return refused({ because: 'too large', file: 'data', bytes: bytes.length });
  return readSignal(signal, {
    packing,
    bytes: bytes.subarray(signal.byteOffset),
    perUnit,
    framesPerS,
    toldFrames,
    together: signals.filter(({ fileName }) => fileName === signal.fileName),
  });
}

/** A signal among those of its file. */
interface Stored {
  packing: Packing;
  bytes: Uint8Array;
  perUnit: number;
  framesPerS: number;
  toldFrames: number | null;
  together: readonly WfdbSignal[];
}

/** Where the samples of a signal lie in its file: so many in each frame of all, after so many of other signals. */
interface Placed {
  frames: number;
  perFrame: number;
  before: number;
  /** Only the last so many are kept. */
  keep: number;
}

/** Unpacks a signal: the pressures that are kept, mmHg, and the sum of all its values and the first, for the header's check. */
function unpacked(
  { samplesPerFrame, gain, baseline }: WfdbSignal,
  { packing, bytes, perUnit }: Stored,
  { frames, perFrame, before, keep }: Placed,
): { pressuresMmHg: Float64Array; sum: number; first: number } {
  const count = frames * samplesPerFrame;
  const pressuresMmHg = new Float64Array(keep);
  let [sum, first, at] = [0, 0, 0];
  for (let frame = 0; frame < frames; frame += 1) {
    const from = frame * perFrame + before;
    for (let i = 0; i < samplesPerFrame; i += 1) {
      const value = packing.sampleAt(bytes, from + i);
      if (at === 0) first = value;
      sum += value;
      const place = at - (count - keep);
      if (place >= 0) {
        pressuresMmHg[place] =
          value === packing.missing ? Number.NaN : ((value - baseline) / (gain ?? 1)) * perUnit;
      }
      at += 1;
    }
  }
  return { pressuresMmHg, sum, first };
}

/** What of the header's check a signal fails; null where it holds. Checksums are 16 bit; some headers write them without sign. */
function failsCheck(
  { checksum, initialValue }: WfdbSignal,
  { sum, first }: { sum: number; first: number },
  frames: number,
): 'checksum' | 'first value' | null {
  if (checksum !== null && signed(checksum, 16) !== signed(sum % 65_536, 16)) return 'checksum';
  return initialValue !== null && frames > 0 && initialValue !== first ? 'first value' : null;
}

function readSignal(signal: WfdbSignal, stored: Stored): ParsedStrip {
  const { packing, bytes, framesPerS, toldFrames, together } = stored;
  const samples = (of: readonly WfdbSignal[]) =>
    of.reduce((sum, { samplesPerFrame }) => sum + samplesPerFrame, 0);
  const perFrame = samples(together);
  const there = Math.floor((bytes.length * 8) / packing.bits / perFrame);
  const frames = toldFrames ?? there;
  if (there < frames)
    return refused({
      because: 'data break off',
      thereS: there / framesPerS,
      wantedS: frames / framesPerS,
    });
  const samplesPerS = framesPerS * signal.samplesPerFrame;
  const count = frames * signal.samplesPerFrame;
  const keep = Math.min(count, Math.floor(longestReadMin * 60 * samplesPerS));
  const before = samples(together.slice(0, together.indexOf(signal)));
  const { pressuresMmHg, ...values } = unpacked(signal, stored, { frames, perFrame, before, keep });
  const fails = failsCheck(signal, values, frames);
  if (fails !== null) return refused({ because: 'data do not match', fails });
  const readS = keep / samplesPerS;
  const fileS = count / samplesPerS;
  const notes = [
    ...(signal.checksum === null ? [{ note: 'no checksum' } as const] : []),
    ...convertedNotes(signal.units),
    ...lastPartNotes(readS, fileS),
  ];
  return checkedStrip({
    samplesPerS,
    pressuresMmHg,
    channel: shownText(signal.description),
    startsAtS: fileS - readS,
    fileS,
    notes,
  });
}
