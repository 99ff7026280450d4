import { beatAgreement } from './beat-agreement.ts';
import { beatFindings } from './beat-findings.ts';
import { type Beat, findBeats, type LeftOut } from './find-beats.ts';
import { betweenOf } from './left-out.ts';
import { couldBe, fastestOpenPerMin, otherRate } from './open-rates.ts';
import { patientFindings } from './patient-findings.ts';
import type { RowCheck } from './row-check.ts';
import { mean, thinned } from './smoothing.ts';

/** What is told of a strip, and must not hang on the line or on where the strip begins and ends. */
export interface FirstReading {
  beats: readonly Beat[];
  ratePerMin: number;
  /** Whether its beats are told as uneven or of two kinds. */
  isNamed: boolean;
  row: RowCheck | null;
  /** The rate whose set of beats was wanted, /min; null where the sets were weighed. */
  wantedPerMin: number | null;
}

/** So many values a second are enough to read it again. */
const enoughPerS = 100;
/** Read again through a line that shows nothing quicker, Hz: what swings above that has no say (own rule). */
const throughHz = [9, 14] as const;
/** Each half is read again, too, if it is as long, s, and has so many beats. */
const halves = { leastS: 4, leastBeats: 6 } as const;
/** Rates as near as this are the same; one of uneven beats hangs on where the strip is cut. */
const sameRate = { even: 0.12, uneven: 0.2 } as const;

/** A trace as a second-order line of a damping of 0.7 shows it (Butterworth, by the bilinear transform). */
export function throughLine(trace: Float64Array, samplesPerS: number, hz: number): Float64Array {
  const w = Math.tan(Math.PI * Math.min(0.45, hz / samplesPerS));
  const whole = 1 + Math.SQRT2 * w + w * w;
  const [b, a1, a2] = [(w * w) / whole, (2 * (w * w - 1)) / whole, (1 - Math.SQRT2 * w + w * w) / whole];
  const first = trace[0] ?? 0;
  let [x1, x2, y1, y2] = [first, first, first, first];
  return trace.map((x) => {
    const y = b * (x + 2 * x1 + x2) - a1 * y1 - a2 * y2;
    [x2, x1, y2, y1] = [x1, x, y1, y];
    return y;
  });
}

/** Beats in groups of so many, where a rhythm or breathing repeats itself, are no other rate. */
const groups = { from: 2.5, off: 0.12 } as const;

interface Again {
  trace: Float64Array;
  out: readonly LeftOut[];
  isHalf: boolean;
}

/** What a trace read again says of the rate: another one that it has, or could have, /min. */
interface Other {
  perMin: number;
  isCertain: boolean;
}

/** The other rate that a trace read again has or could have; null where it bears the first reading out. */
function otherOf({ trace, out, isHalf }: Again, samplesPerS: number, first: FirstReading): Other | null {
  const found = findBeats(trace, samplesPerS, out, first.wantedPerMin);
  const read = beatFindings(found.beats, found.intervalsS);
  if (read === null || (isHalf && read.count < halves.leastBeats)) return null;
  const same = first.isNamed ? sameRate.uneven : sameRate.even;
  const times = first.ratePerMin / read.ratePerMin;
  if (times > groups.from && Math.abs(times - Math.round(times)) < groups.off) return null;
  if (Math.abs(1 / times - 1) > same) return { perMin: read.ratePerMin, isCertain: true };
  if (isHalf) return null;
  const agreement = beatAgreement(trace, samplesPerS, found, betweenOf(out, trace.length));
  if (agreement === null) return null;
  const patient = patientFindings(found);
  const isOther = (perMin: number) => Math.abs(perMin / first.ratePerMin - 1) > same;
  const open =
    couldBe(found, read, agreement, { patient, row: first.row }).find(isOther) ??
    otherRate(read, agreement, found.intervalsS) ??
    (agreement.hidesBeats || agreement.hidesSecond ? 2 * read.ratePerMin : undefined);
  return open !== undefined && open < fastestOpenPerMin ? { perMin: open, isCertain: false } : null;
}

/** Of a longer strip so much is read again, from its beginning, s: a heart may well change its rate in ten minutes. */
const mostS = 60;

/** The rate of the beats up to a sample; null of fewer than three. */
function rateUpTo(beats: readonly Beat[], to: number, samplesPerS: number): number | null {
  const lengths = beats.filter(({ endsAt }) => endsAt < to).map(({ footAt, endsAt }) => endsAt - footAt);
  return lengths.length < 3 ? null : (60 * samplesPerS) / mean(lengths);
}

/**
 * Reads a strip again, with less of the line in it and each half by itself: what is the heart's is the same each time, what is the
 * line's or chance's is not. Gives the other rate, /min; null where all bear each other out.
 */
export function readsOtherwise(
  pressures: Float64Array,
  fullPerS: number,
  fullOut: readonly LeftOut[],
  told: FirstReading,
): number | null {
  const to = Math.min(pressures.length, Math.round(mostS * fullPerS));
  const ratePerMin = to === pressures.length ? told.ratePerMin : rateUpTo(told.beats, to, fullPerS);
  if (ratePerMin === null) return null;
  const first = { ...told, ratePerMin };
  const every = Math.max(1, Math.floor(fullPerS / enoughPerS));
  const [trace, samplesPerS] = [thinned(pressures.subarray(0, to), every), fullPerS / every];
  const within = (from: number, to: number) =>
    fullOut
      .map((one) => ({
        from: Math.max(0, Math.floor(one.from / every) - from),
        to: Math.min(to, Math.ceil(one.to / every)) - from,
      }))
      .filter((one) => one.to > one.from);
  const half = Math.floor(trace.length / 2);
  const again: Again[] = throughHz.map((hz) => ({
    trace: throughLine(trace, samplesPerS, hz),
    out: within(0, trace.length),
    isHalf: false,
  }));
  if (half >= halves.leastS * samplesPerS) {
    for (const [from, to] of [
      [0, half],
      [half, trace.length],
    ] as const)
      again.push({ trace: trace.subarray(from, to), out: within(from, to), isHalf: true });
  }
  // A rate that could be another one through one line only is that line's doing.
  let couldBe = 0;
  for (const one of again) {
    const other = otherOf(one, samplesPerS, first);
    if (other === null) continue;
    if (!other.isCertain) couldBe += 1;
    if (other.isCertain || couldBe === throughHz.length) return other.perMin;
  }
  return null;
}
