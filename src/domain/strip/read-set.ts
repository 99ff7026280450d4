import type { AroundBeats } from './around-beats.ts';
import { type AverageBeat, averageBeat } from './average-beat.ts';
import { averagedOut } from './averaged-out.ts';
import { beatAgreement } from './beat-agreement.ts';
import { type BeatFindings, beatFindings } from './beat-findings.ts';
import { doubtsOfBeats } from './doubts-of-beats.ts';
import { driftNote } from './doubts-of-pressure.ts';
import { type ExcursionFinding, excursionFindings } from './excursion-findings.ts';
import { driftMmHgPerS, type Excursion, joined, levelAround, rangeBesideDrift } from './excursions.ts';
import { type Beat, type FoundBeats, findBeats, type LeftOut } from './find-beats.ts';
import { betweenOf } from './left-out.ts';
import { rateOpen } from './open-rates.ts';
import { holdsPulse, offLevel } from './other-level.ts';
import { type PatientFinding, patientFindings } from './patient-findings.ts';
import type { StripNote } from './pressure-strip.ts';
import { type RowCheck, rowCheck } from './row-check.ts';
import { readsOtherwise } from './second-reading.ts';
import { quantile } from './smoothing.ts';
import { timedByRow } from './timed-beats.ts';
import { type TraceFault, traceFaults } from './trace-faults.ts';
import type { Trace } from './trace-of-strip.ts';

/** Beats with all that makes them doubtful, or null where they cannot be read. */
export interface ReadBeats {
  faults: TraceFault[];
  found: FoundBeats;
  average: AverageBeat | null;
  beats: BeatFindings | null;
  patient: PatientFinding[];
  excursions: ExcursionFinding[];
  notes: StripNote[];
  /** Small beats by the tall ones, where they take turns; 1 where they do not. */
  smallToTall: number;
}

const noBeats: FoundBeats = {
  beats: [],
  intervalsS: [],
  openPerMin: [],
  othersPerMin: [],
  noPulse: [],
};

/** A trace whose beats cannot be read, with what hides them. */
function unread({ excursions, flushes, samplesPerS }: Trace, faults: readonly TraceFault[]): ReadBeats {
  return {
    faults: faults.filter(({ hides }) => hides === 'beats'),
    found: noBeats,
    average: null,
    beats: null,
    patient: [],
    excursions: excursionFindings(excursions, flushes, samplesPerS),
    notes: [],
    smallToTall: 1,
  };
}

/** The beats of a trace as they are told, with what was left out for them and how its level moves. */
interface TimedBeats {
  found: FoundBeats;
  row: RowCheck | null;
  /** At another level than most. */
  off: Excursion[];
  allOut: LeftOut[];
  /** What lies between. */
  stretches: LeftOut[];
  driftMmHgPerS: number;
  levelRangeMmHg: number;
}

function timedBeats({ pressures, samplesPerS, out }: Trace, wantedPerMin: number | null): TimedBeats {
  const {
    found: seen,
    off,
    drift,
    levelRangeMmHg,
  } = beatsAndLevel(pressures, samplesPerS, out, wantedPerMin);
  const allOut = joined<LeftOut>([...out, ...off, ...seen.noPulse]);
  const stretches = seen.beats.length === 0 ? [] : betweenOf(allOut, pressures.length);
  const row = rowCheck(pressures, samplesPerS, stretches, seen.beats);
  const found = timedByRow(seen, row, samplesPerS);
  return { found, row, off, allOut, stretches, driftMmHgPerS: drift, levelRangeMmHg };
}

function isFlush({ from, to }: LeftOut, flushes: Trace['flushes']): boolean {
  return flushes.some(({ opensAt, releasedAt }) => opensAt < to && releasedAt >= from);
}

/** Stretches at another level: of beats, or of what was left out and holds a pulse as tall; fast flushes are none. */
function movedLevels(
  { pressures, samplesPerS, excursions, flushes }: Trace,
  { found, off }: TimedBeats,
  pulseMmHg: number,
): LeftOut[] {
  const usualS = found.intervalsS.length === 0 ? 1 : quantile(found.intervalsS, 0.5);
  const others = excursions.filter(
    (one) => !isFlush(one, flushes) && holdsPulse(pressures, samplesPerS, one, { usualS, pulseMmHg }),
  );
  return [...off, ...others];
}

/** What of the strip makes its beats doubtful. */
function aroundBeats(
  trace: Trace,
  timed: TimedBeats,
  patient: readonly PatientFinding[],
  [each, read]: [each: BeatFindings | null, averaged: BeatFindings | null],
): AroundBeats {
  const { pressures, samplesPerS, noiseMmHg } = trace;
  const { allOut, found, row, driftMmHgPerS, levelRangeMmHg } = timed;
  const moved = movedLevels(trace, timed, read?.pulseMmHg ?? 0);
  const share = (of: readonly LeftOut[]) =>
    of.reduce((sum, { from, to }) => sum + to - from, 0) / pressures.length;
  const by = (of: 'sapMmHg' | 'dapMmHg') => Math.abs((read?.[of] ?? 0) - (each?.[of] ?? 0));
  return {
    noiseMmHg,
    lengthS: pressures.length / samplesPerS,
    averagedByMmHg: Math.max(by('sapMmHg'), by('dapMmHg')),
    leftOut: share(allOut),
    leftOutBesideFlushes: share(allOut.filter((one) => !isFlush(one, trace.flushes))),
    driftMmHgPerS,
    levelRangeMmHg,
    patient,
    row,
    lostBeats: lostBetween(found.beats, allOut),
    movesLevel: moved.length > 0,
    endsOffLevel: moved.some(({ from, to }) => from <= samplesPerS || to >= pressures.length - samplesPerS),
  };
}

/** One set of beats as it was read, with what a choice between sets rests on. */
export interface ReadSet {
  read: ReadBeats;
  row: RowCheck | null;
  /** Whether its beats look as if each hid a second stroke. */
  hidesSecond: boolean;
  /** Rates of the other sets, /min. */
  othersPerMin: readonly number[];
  noiseMmHg: number;
}

/** Reads one set of beats of a trace, twice where nothing makes it doubtful the first time: the one of a wanted rate, /min, or that which is weighed to be the pulse's. */
export function readSet(trace: Trace, wantedPerMin: number | null): ReadSet {
  const { pressures, samplesPerS, quiet, excursions, flushes, noiseMmHg } = trace;
  const faults = quiet.length < samplesPerS ? [] : traceFaults(quiet, samplesPerS);
  if (faults.some(({ hides }) => hides === 'beats'))
    return { read: unread(trace, faults), row: null, hidesSecond: false, othersPerMin: [], noiseMmHg };
  const timed = timedBeats(trace, wantedPerMin);
  const { found, row, off, allOut, stretches, driftMmHgPerS } = timed;
  const each = beatFindings(found.beats, found.intervalsS);
  const read = each && averagedOut(each, pressures, samplesPerS, { beats: found.beats, noiseMmHg });
  const patient = patientFindings(found);
  const agreement = beatAgreement(pressures, samplesPerS, found, stretches);
  const around = aroundBeats(trace, timed, patient, [each, read]);
  faults.push(...doubtsOfBeats(read, found, agreement, around));
  const { othersPerMin } = found;
  const hidesSecond = agreement?.hidesSecond ?? false;
  if (read === null || faults.some(({ hides }) => hides === 'beats'))
    return { read: unread(trace, faults), row, hidesSecond, othersPerMin, noiseMmHg };
  if (faults.length === 0) {
    const other = readsOtherwise(pressures, samplesPerS, allOut, {
      beats: found.beats,
      ratePerMin: read.ratePerMin,
      isNamed: patient.length > 0,
      row,
      wantedPerMin,
    });
    if (other !== null) faults.push(rateOpen(read.ratePerMin, other));
  }
  const isDrift = faults.some(({ fault }) => fault === 'drifts');
  const drifting = isDrift ? null : driftNote(driftMmHgPerS, around.lengthS);
  const silent = found.noPulse.map((one) => ({ ...one, kind: 'no pulse' as const }));
  return {
    read: {
      faults,
      found,
      average: averageBeat(pressures, found.beats),
      beats: read,
      patient,
      excursions: excursionFindings([...excursions, ...off, ...silent], flushes, samplesPerS),
      notes: drifting === null ? [] : [drifting],
      smallToTall: agreement?.smallToTall ?? 1,
    },
    row,
    hidesSecond,
    othersPerMin,
    noiseMmHg,
  };
}

/** Gaps between beats where nothing was left out: a stroke was seen there, and no whole beat. */
function lostBetween(beats: readonly Beat[], out: readonly LeftOut[]): number {
  return beats.slice(1).filter(({ footAt }, i) => {
    const endsAt = beats[i]?.endsAt ?? footAt;
    return footAt > endsAt + 1 && !out.some(({ from, to }) => from < footAt + 1 && to >= endsAt);
  }).length;
}

/** Beats, read again without those at another level; the stretches of these, and the drift of the rest. */
function beatsAndLevel(
  pressures: Float64Array,
  samplesPerS: number,
  out: readonly LeftOut[],
  wantedPerMin: number | null,
): { found: FoundBeats; off: Excursion[]; drift: number; levelRangeMmHg: number } {
  const first = findBeats(pressures, samplesPerS, out, wantedPerMin);
  const usualS = first.intervalsS.length === 0 ? 1 : quantile(first.intervalsS, 0.5);
  const widthS = Math.max(2, 3 * usualS);
  const level = levelAround(pressures, samplesPerS, [...out, ...first.noPulse], widthS);
  const drift = driftMmHgPerS(level, samplesPerS, widthS / 2);
  const off = offLevel(first, samplesPerS, drift);
  const levelRangeMmHg = rangeBesideDrift(level, samplesPerS, drift, {
    out: [...out, ...first.noPulse, ...off],
    besideS: widthS / 2,
  });
  if (off.length === 0) return { found: first, off, drift, levelRangeMmHg };
  const found = findBeats(pressures, samplesPerS, joined<LeftOut>([...out, ...off]), wantedPerMin);
  return { found: { ...found, othersPerMin: first.othersPerMin }, off, drift, levelRangeMmHg };
}
