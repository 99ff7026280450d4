import { expectedError, type PressureError } from '../dynamic-response/expected-error.ts';
import { defaultFlushTestRegions, type FlushTestRegions, regionOf } from '../dynamic-response/regions.ts';
import { averageBeat } from './average-beat.ts';
import { type BeatFindings, beatFindings } from './beat-findings.ts';
import { type DicroticNotch, dicroticNotch } from './dicrotic-notch.ts';
import { type Beat, findBeats, type LeftOut, readableRate } from './find-beats.ts';
import { type FoundFlush, findFlushes } from './find-flush.ts';
import {
  type Confidence,
  type FlushFinding,
  type Judged,
  judgeFlush,
  judgeWave,
  nothing,
  type StripVerdict,
} from './judge-line.ts';
import { measureFlush } from './measure-flush.ts';
import type { PressureStrip } from './pressure-strip.ts';
import { filled, noiseOf, quantile } from './smoothing.ts';
import { cutOffs, type TraceFault, traceFaults } from './trace-faults.ts';

/** All that was read from a strip. */
export interface StripFindings {
  samplesPerS: number;
  lengthS: number;
  channel: string;
  notes: string[];
  faults: TraceFault[];
  beats: BeatFindings | null;
  notch: DicroticNotch;
  /** All flushes found, in order of time; the last one that could be measured gives the verdict. */
  flushes: FlushFinding[];
  verdict: StripVerdict;
  confidence: Confidence;
  /** Why the verdict, one sentence. */
  because: string;
  /** What the line likely adds to the shown pressures, mmHg; null where the line is not known. An estimate. */
  likelyErrorMmHg: PressureError | null;
  /** Noise on the trace, standard deviation, mmHg. */
  noiseMmHg: number;
}

/** Findings with the marks that a picture needs. */
export interface ReadStrip {
  findings: StripFindings;
  beats: Beat[];
  flushes: FoundFlush[];
}

/** Stretches that the file did not hold and that are too long to draw through, 0.1 s. */
function gaps(pressures: Float64Array, samplesPerS: number): LeftOut[] {
  const found: LeftOut[] = [];
  let from = -1;
  for (let i = 0; i <= pressures.length; i += 1) {
    if (i < pressures.length && Number.isNaN(pressures[i])) {
      if (from < 0) from = i;
    } else if (from >= 0) {
      if (i - from > 0.1 * samplesPerS) found.push({ from, to: i });
      from = -1;
    }
  }
  return found;
}

/** No systole stays at the recorder's upper end for longer, s: there the pressure is a flush or a closed tap. */
const longestSystoleS = 0.4;

/** Stretches held at the level where the recorder cuts off above, with the time that a flush needs to die down. */
function heldAbove(pressures: Float64Array, samplesPerS: number, level: number | null): LeftOut[] {
  if (level === null) return [];
  const found: LeftOut[] = [];
  let from = -1;
  for (let i = 0; i <= pressures.length; i += 1) {
    if (i < pressures.length && pressures[i] === level) {
      if (from < 0) from = i;
    } else if (from >= 0) {
      if (i - from > longestSystoleS * samplesPerS) {
        const to = Math.min(pressures.length, i + Math.round(1.2 * samplesPerS));
        found.push({ from: Math.max(0, from - Math.round(0.15 * samplesPerS)), to });
      }
      from = -1;
    }
  }
  return found;
}

function without(pressures: Float64Array, out: readonly LeftOut[]): Float64Array {
  return pressures.filter((_, i) => !out.some(({ from, to }) => i >= from && i < to));
}

/** Faults that show only once beats were looked for. */
function beatFaults(
  beats: BeatFindings | null,
  likeness: readonly number[],
  { noiseMmHg, lengthS }: { noiseMmHg: number; lengthS: number },
): TraceFault[] {
  if (lengthS < 4) {
    return [
      {
        fault: 'too short',
        hides: beats === null ? 'beats' : 'nothing',
        says: `The strip is ${lengthS.toFixed(1)} s long; 10 s or more are needed to judge it, 30 to 60 s are best. Export a longer stretch.`,
      },
    ];
  }
  const noSteadyBeat: TraceFault = {
    fault: 'no steady beat',
    hides: 'beats',
    says: 'No steady pulse was found on the trace. Look at the animal first: feel a pulse; then export a stretch without movement.',
  };
  if (beats === null) return [noSteadyBeat];
  const alike = likeness.filter((one) => one > 0.75).length / likeness.length;
  // Waves of nothing: beats that look unlike each other, at no even distance.
  if (alike < 0.6 || (beats.intervalVariation > 0.35 && alike < 0.85)) return [noSteadyBeat];
  const { lowestPerMin, highestPerMin } = readableRate;
  // A little beyond what was measured is still told; far beyond is no pulse.
  if (beats.ratePerMin > 1.15 * highestPerMin || beats.ratePerMin < 0.85 * lowestPerMin)
    return [noSteadyBeat];
  if (noiseMmHg > 0.15 * beats.pulseMmHg) {
    return [
      {
        fault: 'too noisy',
        hides: 'nothing',
        says: `The trace is noisy (${noiseMmHg.toFixed(1)} mmHg against a pulse of ${Math.round(beats.pulseMmHg)} mmHg): systolic and diastolic are rough.`,
      },
    ];
  }
  return [];
}

/**
 * Reads a pressure strip: faults, beats, notch, fast flushes and what they say of the line. `regions` are the ward's limits
 * for the flush test. Nothing is taken for certain: "cannot tell" is a result.
 *
 * The verdict rests on the last fast flush that can be measured; without one only gross signs of the wave are named, since
 * a look at the wave alone is not enough (Gardner RM, Anesthesiology 1981;54:227-236).
 */
export function readStrip(
  strip: PressureStrip,
  regions: FlushTestRegions = defaultFlushTestRegions,
): ReadStrip {
  const { samplesPerS, channel, notes } = strip;
  const pressures = filled(strip.pressuresMmHg);
  const lengthS = pressures.length / samplesPerS;
  const missing = gaps(strip.pressuresMmHg, samplesPerS);
  const flushes = findFlushes(pressures, samplesPerS);
  const cut = cutOffs(pressures);
  const out = [
    ...missing,
    ...heldAbove(pressures, samplesPerS, cut.aboveMmHg),
    ...flushes.map(({ restFrom, restTo }) => ({ from: restFrom, to: restTo })),
  ].toSorted((a, b) => a.from - b.from);
  const quiet = without(pressures, out);
  const noiseMmHg = noiseOf(quiet);
  const faults = quiet.length < samplesPerS ? [] : traceFaults(quiet, samplesPerS);
  const isHidden = faults.some(({ hides }) => hides === 'beats');
  const found = isHidden ? { beats: [], intervalsS: [] } : findBeats(pressures, samplesPerS, out);
  const average = averageBeat(pressures, found.beats);
  const read = beatFindings(found.beats, found.intervalsS);
  if (!isHidden) faults.push(...beatFaults(read, average?.likeness ?? [], { noiseMmHg, lengthS }));
  const unread = faults.some(({ hides }) => hides === 'beats');
  const beats = unread ? null : read;
  const notch: DicroticNotch =
    beats === null
      ? { notch: 'cannot tell', because: 'too few beats' }
      : dicroticNotch(average, beats.count, noiseMmHg, samplesPerS);
  const around = {
    beats: unread ? [] : found.beats,
    average,
    regular: beats !== null && beats.intervalVariation < 0.12,
    pulseMmHg: beats?.pulseMmHg ?? 0,
    noiseMmHg,
    cutsOffAboveMmHg: cut.aboveMmHg,
    cutsOffBelowMmHg: cut.belowMmHg,
  };
  const ratePerMin = beats === null ? null : Math.round(beats.ratePerMin);
  const flushFindings = flushes.map((flush): FlushFinding => {
    const test = measureFlush(pressures, samplesPerS, flush, around);
    return {
      opensAtS: flush.opensAt / samplesPerS,
      releasedAtS: flush.releasedAt / samplesPerS,
      plateauMmHg: flush.plateauMmHg,
      test,
      region:
        test.measured === 'ringing'
          ? regionOf(
              { naturalHz: test.naturalHz.value, damping: Math.max(0.01, test.damping.value) },
              ratePerMin,
              regions,
            )
          : null,
    };
  });
  const measured =
    flushFindings.findLast(({ test }) => test.measured !== 'cannot tell') ?? flushFindings.at(-1);
  const judged = ((): Judged => {
    if (unread) return nothing(faults.find(({ hides }) => hides === 'beats')?.says ?? '');
    if (faults.some(({ fault }) => fault === 'wrong units' || fault === 'negative')) {
      return nothing('The numbers themselves look wrong, so the line is not judged.');
    }
    if (measured !== undefined) return judgeFlush(measured, notch, ratePerMin, regions);
    if (beats === null) return nothing('Too few whole beats to judge.');
    const upstroke = quantile(
      found.beats.map(({ footAt, peakAt }) => peakAt - footAt),
      0.5,
    );
    return judgeWave(beats, notch, (1000 * upstroke) / samplesPerS);
  })();
  const test = measured?.test;
  const likelyErrorMmHg =
    test?.measured === 'ringing' && beats !== null && judged.verdict !== 'cannot tell' && beats.pulseMmHg > 0
      ? expectedError(
          { naturalHz: test.naturalHz.value, damping: Math.max(0.02, test.damping.value) },
          beats.ratePerMin,
          beats,
        )
      : null;
  return {
    findings: {
      samplesPerS,
      lengthS,
      channel,
      notes,
      faults,
      beats,
      notch,
      flushes: flushFindings,
      ...judged,
      likelyErrorMmHg,
      noiseMmHg,
    },
    beats: unread ? [] : found.beats,
    flushes,
  };
}
