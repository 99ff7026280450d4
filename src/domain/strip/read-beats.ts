import { type AverageBeat, averageBeat } from './average-beat.ts';
import { averagedOut } from './averaged-out.ts';
import { beatAgreement } from './beat-agreement.ts';
import { type BeatFindings, beatFindings } from './beat-findings.ts';
import { doubtsOfBeats } from './doubts-of-beats.ts';
import { driftWords } from './doubts-of-pressure.ts';
import { type ExcursionFinding, excursionFindings } from './excursion-findings.ts';
import { driftMmHgPerS, type Excursion, joined, levelAround, rangeBesideDrift } from './excursions.ts';
import { type Beat, type FoundBeats, findBeats, type LeftOut } from './find-beats.ts';
import { betweenOf } from './left-out.ts';
import { rateOpen } from './open-rates.ts';
import { holdsPulse, offLevel } from './other-level.ts';
import { type PatientFinding, patientFindings } from './patient-findings.ts';
import { rowCheck } from './row-check.ts';
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
  notes: string[];
  /** Small beats by the tall ones, where they take turns; 1 where they do not. */
  smallToTall: number;
}

const noBeats: FoundBeats = { beats: [], intervalsS: [], openPerMin: [], noPulse: [] };

/** Reads the beats of a trace, twice where nothing makes them doubtful the first time. */
export function readBeats(trace: Trace): ReadBeats {
  const { pressures, samplesPerS, quiet, out, excursions, flushes, noiseMmHg } = trace;
  const faults = quiet.length < samplesPerS ? [] : traceFaults(quiet, samplesPerS);
  const unread = (): ReadBeats => ({
    faults: faults.filter(({ hides }) => hides === 'beats'),
    found: noBeats,
    average: null,
    beats: null,
    patient: [],
    excursions: excursionFindings(excursions, flushes, samplesPerS),
    notes: [],
    smallToTall: 1,
  });
  if (faults.some(({ hides }) => hides === 'beats')) return unread();
  const { found: seen, off, drift, levelRangeMmHg } = beatsAndLevel(pressures, samplesPerS, out);
  const allOut = joined<LeftOut>([...out, ...off, ...seen.noPulse]);
  const stretches = seen.beats.length === 0 ? [] : betweenOf(allOut, pressures.length);
  const row = rowCheck(pressures, samplesPerS, stretches, seen.beats);
  const found = timedByRow(seen, row, samplesPerS);
  const each = beatFindings(found.beats, found.intervalsS);
  const read = each && averagedOut(each, pressures, samplesPerS, { beats: found.beats, noiseMmHg });
  const patient = patientFindings(found);
  const noted = excursionFindings(
    [...excursions, ...off, ...found.noPulse.map((one) => ({ ...one, kind: 'no pulse' as const }))],
    flushes,
    samplesPerS,
  );
  const left = allOut.reduce((sum, { from, to }) => sum + to - from, 0) / pressures.length;
  const usualS = found.intervalsS.length === 0 ? 1 : quantile(found.intervalsS, 0.5);
  const pulseMmHg = read?.pulseMmHg ?? 0;
  const isFlush = ({ from, to }: LeftOut) =>
    flushes.some(({ opensAt, releasedAt }) => opensAt < to && releasedAt >= from);
  const moved = [
    ...off,
    ...excursions.filter(
      (one) => !isFlush(one) && holdsPulse(pressures, samplesPerS, one, { usualS, pulseMmHg }),
    ),
  ];
  const agreement = beatAgreement(pressures, samplesPerS, found, stretches);
  faults.push(
    ...doubtsOfBeats(read, found, agreement, {
      noiseMmHg,
      lengthS: pressures.length / samplesPerS,
      leftOut: left,
      driftMmHgPerS: drift,
      levelRangeMmHg,
      patient,
      row,
      lostBeats: lostBetween(found.beats, allOut),
      movesLevel: moved.length > 0,
      endsOffLevel: moved.some(({ from, to }) => from <= samplesPerS || to >= pressures.length - samplesPerS),
    }),
  );
  if (read === null || faults.some(({ hides }) => hides === 'beats')) return unread();
  if (faults.length === 0) {
    const other = readsOtherwise(pressures, samplesPerS, allOut, {
      beats: found.beats,
      ratePerMin: read.ratePerMin,
      isNamed: patient.length > 0,
      row,
    });
    if (other !== null) faults.push(rateOpen(read.ratePerMin, other));
  }
  const drifting = faults.some(({ fault }) => fault === 'drifts')
    ? null
    : driftWords(drift, pressures.length / samplesPerS);
  const average = averageBeat(pressures, found.beats);
  const notes = drifting === null ? [] : [drifting];
  const smallToTall = agreement?.smallToTall ?? 1;
  return { faults, found, average, beats: read, patient, excursions: noted, notes, smallToTall };
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
): { found: FoundBeats; off: Excursion[]; drift: number; levelRangeMmHg: number } {
  const first = findBeats(pressures, samplesPerS, out);
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
  const found = findBeats(pressures, samplesPerS, joined<LeftOut>([...out, ...off]));
  return { found, off, drift, levelRangeMmHg };
}
