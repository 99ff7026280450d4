import { chosenHypothesis } from './beat-hypotheses.ts';
import { boxSmoothed, mean, noiseOf, parabolaSmoothed } from './smoothing.ts';
import type { Upstroke } from './upstrokes.ts';

/** One beat, by sample numbers from the start of the strip. */
export interface Beat {
  /** Where the upstroke begins. */
  footAt: number;
  /** Highest pressure of the beat. */
  peakAt: number;
  /** Foot of the next beat: the beat ends before it. */
  endsAt: number;
  /** Lowest pressure before the upstroke, since the peak before; mmHg. */
  dapMmHg: number;
  sapMmHg: number;
  /** Mean over time from foot to foot, mmHg. */
  mapMmHg: number;
  /** Where the smoothed upstroke is half way, between samples: the steadiest mark for intervals. */
  halfUpAt: number;
}

/** Beats of a stretch with nothing left out between them. */
export interface FoundBeats {
  beats: Beat[];
  /** Intervals between the upstrokes of neighbouring beats, s; none across what was left out. */
  intervalsS: number[];
  /** Rates that the trace could have instead of the one that was taken, /min. */
  openPerMin: number[];
  /** Rates of all other sets of beats that bear themselves out, /min; none where one set was wanted. */
  othersPerMin: number[];
  /** Stretches without a pulse, far longer than a beat. */
  noPulse: LeftOut[];
}

/** What is not to be read: samples from `from` to before `to`. */
export interface LeftOut {
  from: number;
  to: number;
}

/** Heart rates that are told, /min (dogs and cats, and a slow one with beats missing; common practice, no source). */
export const readableRate = { lowestPerMin: 12, highestPerMin: 335 } as const;

function extremeAt(values: Float64Array, from: number, to: number, isPeak: boolean): number {
  let best = Math.max(0, from);
  for (let i = best; i <= Math.min(values.length - 1, to); i += 1) {
    const [v, b] = [values[i] ?? 0, values[best] ?? 0];
    if (isPeak ? v > b : v < b) best = i;
  }
  return best;
}

/** Where a rise is half way, between samples. */
function halfUp(smooth: Float64Array, from: number, to: number): number {
  const half = ((smooth[from] ?? 0) + (smooth[to] ?? 0)) / 2;
  let i = to;
  while (i > from && (smooth[i - 1] ?? 0) > half) i -= 1;
  const [below, above] = [smooth[i - 1] ?? half, smooth[i] ?? half];
  return above > below ? i - (above - half) / (above - below) : i;
}

/** No foot lies higher on the upstroke than this share of it. */
const latestFoot = 0.25;

/** Beats within one stretch, in its own sample numbers, from the upstrokes seen on a smoothed wave. */
function beatsOfStretch(
  pressures: Float64Array,
  samplesPerS: number,
  strokes: readonly Upstroke[],
  lengthS: number,
): { beats: Beat[]; lastHalfUpAt: number | null } {
  const beat = lengthS * samplesPerS;
  const width = 0.12 * beat;
  const smooth = boxSmoothed(boxSmoothed(pressures, width), width);
  const peaks = strokes.map(({ peakAt }) => peakAt);
  // The noisier, the more is smoothed, as far as the length of a beat lets it.
  const widthS = 0.025 + 0.015 * Math.min(3, noiseOf(pressures));
  const fine = parabolaSmoothed(pressures, Math.min(widthS, 0.1 * lengthS) * samplesPerS);
  const calm = parabolaSmoothed(pressures, Math.min(2 * widthS, 0.15 * lengthS) * samplesPerS);
  const marks = peaks.map((at, i) => {
    const earlier = Math.max(peaks[i - 1] ?? 0, at - Math.round(1.2 * beat));
    const later = peaks[i + 1] ?? at + Math.round(0.6 * beat);
    const troughAt = extremeAt(smooth, earlier, at, false);
    const peakAt = extremeAt(fine, troughAt, Math.min(later, at + Math.round(0.35 * beat)), true);
    return { peakAt, troughAt, halfUpAt: halfUp(smooth, troughAt, at) };
  });
  const lowsAt = marks.map(({ peakAt }, i) => {
    const from = marks[i - 1]?.peakAt ?? Math.max(0, peakAt - Math.round(0.6 * beat));
    return extremeAt(calm, from, peakAt, false);
  });
  const reach = Math.max(1, Math.round(0.01 * samplesPerS));
  const feet = marks.map(({ peakAt, troughAt }, i) => {
    // Where the steepest tangent of the upstroke meets the diastolic pressure: steadier than a lowest sample.
    let [steepest, rise] = [peakAt, 0];
    for (let k = Math.max(reach, troughAt - Math.round(0.1 * beat)); k <= peakAt; k += 1) {
      const by = ((fine[k + reach] ?? 0) - (fine[k - reach] ?? 0)) / (2 * reach);
      if (by > rise) [rise, steepest] = [by, k];
    }
    const low = calm[lowsAt[i] ?? 0] ?? 0;
    const above = (fine[steepest] ?? 0) - low;
    const byTangent = rise > 0 ? steepest - above / rise : steepest;
    // The steepest part can lie in a second hump of the upstroke: it began before.
    let begun = peakAt;
    const most = low + latestFoot * ((fine[peakAt] ?? 0) - low);
    while (begun > (lowsAt[i] ?? 0) && (fine[begun] ?? 0) > most) begun -= 1;
    return Math.max(0, Math.min(Math.round(byTangent), begun));
  });
  const beats: Beat[] = [];
  for (let i = 0; i + 1 < marks.length; i += 1) {
    const [mark, footAt, endsAt] = [marks[i], feet[i] ?? 0, feet[i + 1] ?? 0];
    if (!mark || endsAt <= mark.peakAt || footAt >= mark.peakAt) continue;
    // A stretch that begins within an upstroke has lost that beat's foot.
    if (footAt <= reach || (lowsAt[i] ?? 0) <= 1) continue;
    beats.push({
      footAt,
      endsAt,
      peakAt: mark.peakAt,
      sapMmHg: fine[mark.peakAt] ?? 0,
      dapMmHg: calm[lowsAt[i] ?? 0] ?? 0,
      mapMmHg: mean(pressures.subarray(footAt, endsAt)),
      halfUpAt: mark.halfUpAt,
    });
  }
  return { beats, lastHalfUpAt: marks.at(-1)?.halfUpAt ?? null };
}

/** Stretches of at least a second that are not left out. */
function readStretches(count: number, samplesPerS: number, leftOut: readonly LeftOut[]): LeftOut[] {
  const stretches: LeftOut[] = [];
  let from = 0;
  for (const out of [...leftOut, { from: count, to: count }]) {
    if (out.from - from >= samplesPerS) stretches.push({ from, to: out.from });
    from = Math.max(from, out.to);
  }
  return stretches;
}

/** A pause longer than so many usual beats, and than so long, is no pause between beats any more. */
const longestPause = { beats: 2.6, s: 0.6 } as const;

/**
 * The beats of a strip: foot, systolic peak, lowest pressure before it and the mean over the whole beat. `pressures` in
 * mmHg, none missing; `leftOut` (ascending) is not read, and no beat or interval reaches across it. Which waves are beats is
 * weighed in `beat-hypotheses.ts`; with `wantedPerMin` the set nearest to that rate is taken. Peaks are found on a smoothed wave, so that ringing and the dicrotic wave are not taken
 * for beats, and read on one smoothed over 25 ms.
 */
export function findBeats(
  pressures: Float64Array,
  samplesPerS: number,
  leftOut: readonly LeftOut[] = [],
  wantedPerMin: number | null = null,
): FoundBeats {
  const stretches = readStretches(pressures.length, samplesPerS, leftOut);
  const parts = stretches.map(({ from, to }) => pressures.subarray(from, to));
  const chosen = chosenHypothesis(parts, samplesPerS, wantedPerMin);
  if (chosen === null) return { beats: [], intervalsS: [], openPerMin: [], othersPerMin: [], noPulse: [] };
  const { lengthS, strokes } = chosen.taken;
  const longest = Math.max(longestPause.beats * lengthS, longestPause.s) * samplesPerS;
  const { openPerMin, othersPerMin } = chosen;
  const found: FoundBeats = { beats: [], intervalsS: [], openPerMin, othersPerMin, noPulse: [] };
  for (const [n, stretch] of stretches.entries()) {
    const read = beatsOfStretch(parts[n] ?? pressures, samplesPerS, strokes[n] ?? [], lengthS);
    const own = read.beats.map((beat) => ({
      ...beat,
      footAt: beat.footAt + stretch.from,
      peakAt: beat.peakAt + stretch.from,
      endsAt: beat.endsAt + stretch.from,
      halfUpAt: beat.halfUpAt + stretch.from,
    }));
    let before: Beat | null = null;
    for (const beat of own) {
      if (before && beat.footAt <= before.endsAt + 1) {
        found.intervalsS.push((beat.halfUpAt - before.halfUpAt) / samplesPerS);
      }
      before = null;
      if (beat.endsAt - beat.footAt > longest) {
        // What comes after it is no part of this beat; and what rises for half a beat or more is none.
        const isUpstroke = beat.peakAt - beat.footAt < 0.5 * lengthS * samplesPerS;
        const from = isUpstroke ? beat.peakAt + Math.round(0.8 * lengthS * samplesPerS) : beat.footAt;
        found.noPulse.push({ from, to: beat.endsAt });
        continue;
      }
      found.beats.push(beat);
      before = beat;
    }
    // The strip's last stroke makes no whole beat, but an interval; beside what is left out it may be no stroke.
    const lastS = ((read.lastHalfUpAt ?? 0) + stretch.from - (before?.halfUpAt ?? Infinity)) / samplesPerS;
    if (stretch.to === pressures.length && lastS > 0) found.intervalsS.push(lastS);
    found.noPulse.push(...silentEnds(stretch, own, longest));
  }
  return withoutEdges(found, lengthS * samplesPerS, samplesPerS);
}

/** A long beat beside a stretch without a pulse is where the pulse was lost or came back: no beat, and no pause either. */
function withoutEdges(found: FoundBeats, usual: number, samplesPerS: number): FoundBeats {
  if (found.noPulse.length === 0) return found;
  const near = (at: number, to: number) => Math.abs(at - to) < 0.5 * usual;
  // Where it comes back the trace jumps: that rise is no upstroke either.
  const isEdge = ({ footAt, endsAt, halfUpAt }: Beat) =>
    found.noPulse.some(
      ({ from, to }) =>
        (endsAt - footAt > 1.4 * usual && Math.abs(endsAt - from) < 1.5 * usual) || near(halfUpAt, to),
    );
  const edges = found.beats.filter(isEdge);
  if (edges.length === 0) return found;
  const beats = found.beats.filter((beat) => !edges.includes(beat));
  const intervalsS = beats.slice(1).flatMap((beat, i) => {
    const before = beats[i];
    const isNext = before !== undefined && Math.abs(beat.footAt - before.endsAt) <= 1;
    return isNext ? [(beat.halfUpAt - before.halfUpAt) / samplesPerS] : [];
  });
  const noPulse = found.noPulse.map(({ from, to }) => {
    const lost = edges.find(({ endsAt, footAt }) => footAt < from && Math.abs(endsAt - from) < 1.5 * usual);
    return { from: lost === undefined ? from : Math.min(from, lost.peakAt + Math.round(0.8 * usual)), to };
  });
  return { ...found, beats, intervalsS, noPulse };
}

/** Ends of a stretch without a beat that are longer than any pause. */
function silentEnds({ from, to }: LeftOut, beats: readonly Beat[], longest: number): LeftOut[] {
  const [first, last] = [beats[0]?.footAt ?? to, beats.at(-1)?.endsAt ?? from];
  return [{ from, to: first }, ...(last > first ? [{ from: last, to }] : [])].filter(
    (end) => end.to - end.from > 1.5 * longest,
  );
}
