import { expectedError, type PressureError } from '../dynamic-response/expected-error.ts';
import { defaultFlushTestRegions, type FlushTestRegions, regionOf } from '../dynamic-response/regions.ts';
import type { BeatFindings } from './beat-findings.ts';
import { type DicroticNotch, dicroticNotch } from './dicrotic-notch.ts';
import type { ExcursionFinding } from './excursion-findings.ts';
import type { Beat } from './find-beats.ts';
import type { FoundFlush } from './find-flush.ts';
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
import { doubtOfRinging } from './open-rates.ts';
import type { PatientFinding } from './patient-findings.ts';
import type { PressureStrip } from './pressure-strip.ts';
import { readBeats } from './read-beats.ts';
import type { ReadBeats } from './read-set.ts';
import { quantile } from './smoothing.ts';
import type { TraceFault } from './trace-faults.ts';
import { type Trace, traceOf } from './trace-of-strip.ts';

/** All that was read from a strip. */
export interface StripFindings {
  samplesPerS: number;
  lengthS: number;
  channel: string;
  notes: string[];
  /** What is wrong with the trace; with any of these its numbers are not told as sure. */
  faults: TraceFault[];
  /** What the beats say of the patient. */
  patient: PatientFinding[];
  beats: BeatFindings | null;
  notch: DicroticNotch;
  /** All flushes found, in order of time; the last one that could be measured gives the verdict. */
  flushes: FlushFinding[];
  /** What else was left out of beats and averages. */
  excursions: ExcursionFinding[];
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

function flushFinding(
  flush: FoundFlush,
  { pressures, samplesPerS, cut, noiseMmHg }: Trace,
  { found, average, beats }: ReadBeats,
  regions: FlushTestRegions,
): FlushFinding {
  const test = measureFlush(pressures, samplesPerS, flush, {
    beats: found.beats,
    average,
    regular: beats !== null && beats.intervalVariation < 0.12,
    pulseMmHg: beats?.pulseMmHg ?? 0,
    noiseMmHg,
    cutsOffAboveMmHg: cut.aboveMmHg,
    cutsOffBelowMmHg: cut.belowMmHg,
  });
  const ratePerMin = beats === null ? null : Math.round(beats.ratePerMin);
  const region =
    test.measured === 'ringing'
      ? regionOf(
          { naturalHz: test.naturalHz.value, damping: Math.max(0.01, test.damping.value) },
          ratePerMin,
          regions,
        )
      : null;
  const { opensAt, releasedAt, plateauMmHg } = flush;
  return {
    opensAtS: opensAt / samplesPerS,
    releasedAtS: releasedAt / samplesPerS,
    plateauMmHg,
    test,
    region,
  };
}

/**
 * A flush bag holds 300 mmHg (common practice, no source): a plateau that is no more than this above the systolic pressure can be a
 * limb raised, whose pulse looks like ringing, mmHg (own rule).
 */
const leastAboveSystolicMmHg = 50;

function judged(
  measured: FlushFinding | undefined,
  notch: DicroticNotch,
  { beats, faults, found }: ReadBeats,
  { samplesPerS, regions }: { samplesPerS: number; regions: FlushTestRegions },
): Judged {
  const hiding = faults.find(({ hides }) => hides === 'beats');
  if (beats === null) return nothing(hiding?.says ?? 'Too few whole beats to judge.');
  if (faults.some(({ fault }) => fault === 'wrong units')) {
    return nothing('The numbers themselves look wrong, so the line is not judged.');
  }
  if (measured !== undefined) {
    const told = judgeFlush(measured, samplesPerS, notch, Math.round(beats.ratePerMin), regions);
    // What rests on beats that are themselves in doubt is no surer than they are.
    const isDoubted = faults.length > 0 || measured.plateauMmHg < beats.sapMmHg + leastAboveSystolicMmHg;
    return isDoubted && told.confidence === 'fairly sure' ? { ...told, confidence: 'unsure' } : told;
  }
  if (faults.some(({ fault }) => fault === 'like a sine')) {
    return nothing(
      'There is no fast flush on the strip, and a wave as round as a sine does not tell. Do a fast flush and upload again.',
    );
  }
  const upstroke = quantile(
    found.beats.map(({ footAt, peakAt }) => peakAt - footAt),
    0.5,
  );
  return judgeWave(beats, notch, (1000 * upstroke) / samplesPerS);
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
  const trace = traceOf(strip);
  const read = readBeats(trace);
  const { beats, faults, patient, found, average, excursions } = read;
  const { noiseMmHg } = trace;
  const notch: DicroticNotch =
    beats === null
      ? { notch: 'cannot tell', because: 'too few beats' }
      : dicroticNotch(average, beats.count, noiseMmHg, samplesPerS);
  const flushes = trace.flushes.map((flush) => flushFinding(flush, trace, read, regions));
  const lines = flushes.flatMap(({ test }) =>
    test.measured === 'ringing' ? [{ ringingHz: test.ringingHz, damping: test.damping.value }] : [],
  );
  const ringing = beats === null ? undefined : doubtOfRinging(beats.ratePerMin, lines, read.smallToTall);
  if (ringing !== undefined && !faults.some(({ fault }) => fault === ringing.fault)) faults.push(ringing);
  const measured = flushes.findLast(({ test }) => test.measured !== 'cannot tell') ?? flushes.at(-1);
  const told = judged(measured, notch, read, { samplesPerS, regions });
  const test = measured?.test;
  const likelyErrorMmHg =
    test?.measured === 'ringing' && beats !== null && told.verdict !== 'cannot tell' && beats.pulseMmHg > 0
      ? expectedError(
          { naturalHz: test.naturalHz.value, damping: Math.max(0.02, test.damping.value) },
          beats.ratePerMin,
          beats,
        )
      : null;
  const lengthS = trace.pressures.length / samplesPerS;
  return {
    findings: {
      samplesPerS,
      lengthS,
      channel,
      notes: [...notes, ...read.notes],
      faults,
      patient,
      beats,
      notch,
      flushes,
      excursions,
      ...told,
      likelyErrorMmHg,
      noiseMmHg,
    },
    beats: found.beats,
    flushes: trace.flushes,
  };
}
