import type { Beat } from './find-beats.ts';
import { isTold, type PatientFinding, takeTurns } from './patient-findings.ts';
import type { ReadSet } from './read-set.ts';
import type { RowCheck } from './row-check.ts';
import { standardDeviation } from './smoothing.ts';

/** A set of beats that is only too uneven, or could be another, may give way to one that is not. */
const mayGiveWay = ['rate open', 'beats disagree', 'no steady beat'] as const;

/** Whether another set of beats may be the pulse's: nothing but the choice of beats makes this one doubtful. */
export function isWorthTrying({ read: { faults }, othersPerMin }: ReadSet): boolean {
  return (
    faults.length > 0 &&
    othersPerMin.length > 0 &&
    faults.every(({ fault }) => mayGiveWay.some((one) => one === fault))
  );
}

/** What a row of strokes leaves over at most, as a share of the ups and downs, where it bears the beats out (own rule, measured on made strips). */
const mostLeft = 0.013;

const isBorneOut = (row: RowCheck | null) =>
  row !== null && row.leftShare < mostLeft && row.missed + row.madeUp === 0;

/**
 * What belongs to the stroke before it follows at a fixed delay, however the beats vary: a wave after the notch, a swing of the
 * line. A stroke of its own has a time of its own: its delay varies by at least this share of what is left of the beat
 * (measured on made strips: waves and swings up to 0.36; alternating strokes from 0.57 on, the most of early ones from 0.41).
 */
const leastOwn = 0.45;
/** So many pairs say something of it. */
const leastPairs = 8;

/** Whether the small ones of beats that take turns come at times of their own. */
export function comeByThemselves(beats: readonly Beat[]): boolean {
  const pulse = ({ sapMmHg, dapMmHg }: Beat) => sapMmHg - dapMmHg;
  const isNext = (a: Beat, b: Beat) => Math.abs(b.footAt - a.endsAt) <= 1;
  let tallAreEven = 0;
  for (const [i, beat] of beats.entries()) tallAreEven += (i % 2 === 0 ? 1 : -1) * pulse(beat);
  const [after, before]: [number[], number[]] = [[], []];
  for (let i = tallAreEven >= 0 ? 0 : 1; i + 2 < beats.length; i += 2) {
    const [tall, small, next] = beats.slice(i, i + 3);
    if (!tall || !small || !next || !isNext(tall, small) || !isNext(small, next)) continue;
    after.push(small.halfUpAt - tall.halfUpAt);
    before.push(next.halfUpAt - small.halfUpAt);
  }
  if (after.length < leastPairs) return false;
  return standardDeviation(after) > leastOwn * standardDeviation(before);
}

/** Nearly the same beats, but for a few: their rate is no further off. */
const nearlySame = 0.06;

/** Noise of this share of the pulse moves the times of small strokes by themselves (own rule). */
const mostNoise = 0.025;

/** A set without a doubt, of strokes that take turns, each at a time of its own. */
const areTwoStrokes = (set: ReadSet) =>
  set.read.faults.length === 0 &&
  takeTurns(set.read.patient) &&
  isBorneOut(set.row) &&
  comeByThemselves(set.read.found.beats) &&
  set.noiseMmHg < mostNoise * (set.read.beats?.pulseMmHg ?? 0);

/** A set has so many times the rate of another if it holds a second stroke in each of its beats, but for a few. */
const twice = { from: 1.6, to: 2.4 } as const;
/** Two strokes of a fast heart can look like one at these rates, /min; below, they lie too far apart, and above no heart is so fast (own rule). */
const melted = { fromPerMin: 110, toPerMin: 170 } as const;

const couldBeTwo = (ratePerMin: number, patient: readonly PatientFinding[]) =>
  patient.length === 0 && ratePerMin > melted.fromPerMin && ratePerMin < melted.toPerMin;

/** A beat or two more or fewer make irregular beats another set, and the strip's rate another one; by less than this it isn't, and a slow heart's beats stand apart (own rules). */
const beatsMore = { most: 0.2, least: 0.03, fromPerMin: 50 } as const;

const isNear = (times: number) =>
  Math.abs(times - 1) < beatsMore.most && Math.abs(times - 1) > beatsMore.least;

const isTwice = (times: number) => times > twice.from && times < twice.to;

/** Rates of the sets that could be the pulse's though nothing about the first one is doubtful, /min. */
export function rivalsOf(first: ReadSet): number[] {
  const { beats, patient } = first.read;
  if (beats === null) return [];
  const { ratePerMin } = beats;
  const isIrregular = isTold(patient, 'irregular');
  if (isIrregular && ratePerMin > beatsMore.fromPerMin)
    return first.othersPerMin.filter((perMin) => isNear(perMin / ratePerMin));
  if (!couldBeTwo(ratePerMin, patient)) return [];
  return first.othersPerMin.filter((perMin) => isTwice(perMin / ratePerMin));
}

/** Whether a rival is as good: strokes in turn where one was seen, or other irregular beats. */
export function isAsGood(first: ReadSet, rival: ReadSet): boolean {
  if (rival.read.beats === null || rival.read.faults.length > 0) return false;
  if (first.read.patient.length === 0) return areTwoStrokes(rival);
  const times = rival.read.beats.ratePerMin / (first.read.beats?.ratePerMin ?? 1);
  return isNear(times);
}

/**
 * Whether another set of beats is to be told instead of the first one, which is doubtful: it has no doubt, and accounts for why
 * the first one has. Either nothing was found to be a pulse; or each beat looked as if it hid a second one, and this set has
 * these half-way between, at times of their own; or it is the same set but for a few beats.
 */
export function isBetter(first: ReadSet, other: ReadSet): boolean {
  const { read, row } = other;
  if (read.beats === null || read.faults.length > 0) return false;
  const was = first.read.beats;
  // Pairs are too much like a stroke with the wave after it, or with a line's swing, to be told against the first reading.
  const areEven = read.patient.every(({ finding }) => finding !== 'irregular' && finding !== 'bigeminy');
  if (!areEven) return false;
  if (was === null)
    return isBorneOut(row) && (read.patient.length > 0 || read.beats.ratePerMin > melted.toPerMin);
  const times = read.beats.ratePerMin / was.ratePerMin;
  if (Math.abs(times - 1) < nearlySame) {
    const isOnlyUneven = first.read.faults.every(({ fault }) => fault === 'beats disagree');
    return isOnlyUneven && (row === null || isBorneOut(row));
  }
  return times > twice.from && first.hidesSecond && areTwoStrokes(other);
}
