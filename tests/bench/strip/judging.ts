import {
  defaultFlushTestRegions,
  type FlushTestRegions,
  regionOf,
} from '../../../src/domain/dynamic-response/regions.ts';
import type { StripFindings } from '../../../src/domain/strip/strip-findings.ts';
import { verdictOfRegion } from '../../../src/domain/trust/verdict-of-test.ts';
import type { MadeStrip } from '../../support/strips/made-strip.ts';
import { type StripTruth, truthOf } from '../../support/strips/truth-of-strip.ts';
import type { DrawnStrip } from './families.ts';

/** What a told number may be off by. All of these are stated in docs/strip-accuracy.md; see there which were changed after trial runs. */
export const tolerance = {
  /** Of an uneven rhythm one beat more or less on the strip makes another rate: so much is allowed there. */
  ratePerMin: (truth: number, clearS: number) => Math.max(3, 0.05 * truth, 60 / clearS),
  mapMmHg: (truth: number) => Math.max(4, 0.05 * truth),
  /** Systolic and diastolic, by the true pulse pressure. */
  edgeMmHg: (pulse: number) => Math.max(5, 0.1 * pulse),
} as const;

/** How a strip was answered. */
export type Answer = 'right' | 'unsure' | 'refused' | 'wrong';

export interface Judgement {
  answer: Answer;
  /** What was told plainly and is wrong. */
  wrongs: string[];
  isReadable: boolean;
  /** By the limits as they were before. */
  wasReadable: boolean;
  /** What is true of the strip; null of one without a pulse. */
  truth: StripTruth | null;
}

/** Second waves and small beats by the tall ones, and what is no sine: beyond these nobody could tell by the trace alone. */
const readableWave = { swing: 1 / 3, small: 0.5, overtones: 0.01 } as const;

/** As it was before the two limits were parted; see docs/strip-accuracy.md. */
const readableBefore = { swing: 0.5, small: 0.4, overtones: 0 } as const;

/** Whether a specialist could read the strip: by what is true of it alone. */
export function readable(
  { options }: MadeStrip,
  truth: StripTruth,
  limits: { swing: number; small: number; overtones: number } = readableWave,
): boolean {
  const { noiseMmHg, hum, driftMmHgPerS, seconds } = options;
  return (
    truth.clearS >= 5 &&
    truth.clearS >= 0.5 * seconds &&
    truth.clearBeats >= 8 &&
    truth.pulseMmHg >= 10 &&
    noiseMmHg <= 0.1 * truth.pulseMmHg &&
    (hum?.mmHg ?? 0) <= 0.15 * truth.pulseMmHg &&
    Math.abs(driftMmHgPerS) < 1 &&
    truth.pegged === 0 &&
    truth.secondSwing <= limits.swing &&
    truth.leastToTall >= limits.small &&
    truth.overtones >= limits.overtones
  );
}

type RhythmTold = StripFindings['patient'][number]['finding'];

/**
 * Findings of the patient that are right to tell, and whether one of them must be told. What the strip does not show need not
 * be: a few long beats can be as even as a steady pulse's, and an early beat can lie at the end.
 */
function rhythmWanted({ options }: MadeStrip, truth: StripTruth): { mayBe: RhythmTold[]; must: boolean } {
  switch (options.rhythm.kind) {
    case 'regular':
      // Breathing at half the rate makes every second beat small, too.
      return { mayBe: truth.smallToTall < 0.87 ? ['every second small'] : [], must: false };
    case 'alternans':
      return {
        mayBe: ['alternans', 'every second small'],
        must: truth.smallToTall <= 0.8 && truth.leastToTall >= 0.4,
      };
    case 'bigeminy':
      return { mayBe: ['bigeminy', 'every second small', 'irregular'], must: truth.leastToTall >= 0.4 };
    case 'dropped':
      // Every third beat missing leaves pairs with a pause after them, as an early second beat does.
      return {
        mayBe: options.rhythm.every === 3 ? ['bigeminy', 'pauses'] : ['pauses', 'irregular'],
        must: true,
      };
    case 'premature':
      return {
        mayBe: ['irregular', 'pauses'],
        must: truth.leastToTall >= 0.4 && truth.intervalVariation > 0.1,
      };
    case 'fibrillation':
      return { mayBe: ['irregular', 'pauses'], must: truth.intervalVariation > 0.1 };
  }
}

function wrongNumbers(
  beats: NonNullable<StripFindings['beats']>,
  made: MadeStrip,
  truth: StripTruth,
): string[] {
  const { options } = made;
  const isUneven = options.rhythm.kind !== 'regular' && options.rhythm.kind !== 'alternans';
  const off = (told: number, is: number) => Math.abs(told - is);
  const drifted = (options.driftMmHgPerS * options.seconds) / 2;
  const edge = tolerance.edgeMmHg(truth.pulseMmHg);
  const rateMayBeOff = tolerance.ratePerMin(truth.ratePerMin, isUneven ? truth.clearS : Infinity);
  // Where the strip is cut decides how many pauses are on it, so the rhythm's own rate is as right as the strip's; and where
  // some beats are weak, all of them counted or none of them; of beats without a pattern some of them, too.
  const rates = [truth.ratePerMin];
  if (isUneven && truth.leastToTall >= 0.4) rates.push(truth.longRunPerMin);
  if (truth.leastToTall < 0.4) rates.push(truth.rateOfAllPerMin, truth.ofStrong.ratePerMin);
  const isBetween =
    ['fibrillation', 'premature', 'dropped'].includes(options.rhythm.kind) &&
    beats.ratePerMin > Math.min(...rates) &&
    beats.ratePerMin < Math.max(...rates);
  const rateIsOff = !isBetween && rates.every((rate) => off(beats.ratePerMin, rate) > rateMayBeOff);
  const against = ({ sapMmHg, dapMmHg }: { sapMmHg: number; dapMmHg: number }) =>
    [
      rateIsOff ? 'rate' : null,
      off(beats.mapMmHg, truth.mapMmHg + drifted) > tolerance.mapMmHg(truth.mapMmHg) ? 'MAP' : null,
      off(beats.sapMmHg, sapMmHg + drifted) > edge ? 'SAP' : null,
      off(beats.dapMmHg, dapMmHg + drifted) > edge ? 'DAP' : null,
    ].filter((one) => one !== null);
  // Where some beats are too weak to count for sure, pressures of all with them or of all without them are right.
  const weighed = [against(truth)];
  if (truth.leastToTall < 0.4) weighed.push(against(truth.ofAll), against(truth.ofStrong));
  return weighed.reduce((least, one) => (one.length < least.length ? one : least));
}

/** A verdict told as fairly sure that no line near the true one would get. */
function isLineWrong(
  { verdict, confidence }: StripFindings,
  { options: { line } }: MadeStrip,
  truth: StripTruth,
  regions: FlushTestRegions,
): boolean {
  if (confidence !== 'fairly sure') return false;
  for (const hz of [0.85, 0.925, 1, 1.075, 1.15]) {
    for (const by of [-1, -0.5, 0, 0.5, 1]) {
      const damping = Math.max(0.01, line.damping + by * Math.max(0.05, 0.15 * line.damping));
      const region = regionOf(
        { naturalHz: hz * line.naturalHz, damping },
        Math.round(truth.ratePerMin),
        regions,
      );
      const told = verdictOfRegion(region);
      const isSlow =
        region.frequency === 'low' || region.region === 'borderline' || region.region === 'unacceptable';
      if (verdict === 'normal' && told === 'normal' && region.region !== 'slow for this heart rate')
        return false;
      if (verdict === 'spiky (underdamped)' && told === 'underdamped') return false;
      // A slow line of good damping flattens the wave as an overdamped one does.
      if (verdict === 'flat (overdamped)' && (told === 'overdamped' || (isSlow && damping >= 0.6)))
        return false;
      if (verdict === 'too slow for this heart rate' && isSlow && region.damping === 'good') return false;
    }
  }
  return true;
}

/** Excursions that are not named. */
function unnamed({ excursions, flushes }: StripFindings, { disturbed }: StripTruth): string[] {
  const named = [
    ...excursions,
    ...flushes.map(({ opensAtS, releasedAtS }) => ({ fromS: opensAtS, toS: releasedAtS })),
  ];
  return disturbed
    .filter(({ fromS, toS }) => !named.some((one) => one.fromS < toS && one.toS > fromS))
    .map(({ kind }) => `${kind} not named`);
}

/** Judges what was read of a drawn strip. */
export function judged(drawn: DrawnStrip, findings: StripFindings): Judgement {
  const { beats, faults, patient } = findings;
  const plain = beats !== null && faults.length === 0;
  const heldBack = beats === null ? 'refused' : 'unsure';
  if (drawn.is === 'no pulse') {
    const wrongs = plain ? ['a pulse told where none is'] : [];
    if (findings.confidence === 'fairly sure') wrongs.push('line');
    return {
      answer: wrongs.length > 0 ? 'wrong' : heldBack,
      wrongs,
      isReadable: false,
      wasReadable: false,
      truth: null,
    };
  }
  const { made } = drawn;
  const truth = truthOf(made);
  const isReadable = readable(made, truth);
  const wasReadable = readable(made, truth, readableBefore);
  const wrongs: string[] = [];
  if (isLineWrong(findings, made, truth, defaultFlushTestRegions)) wrongs.push('line');
  if (plain) {
    wrongs.push(...wrongNumbers(beats, made, truth), ...unnamed(findings, truth));
    const { mayBe, must } = rhythmWanted(made, truth);
    const told = patient.map(({ finding }) => finding);
    if (must && told.length === 0) wrongs.push('rhythm not named');
    if (told.some((one) => !mayBe.includes(one))) wrongs.push('rhythm named wrongly');
    if (truth.pegged > 0.1) wrongs.push('pegged');
    const isRemarked = findings.notes.some(({ note }) => note === 'drifts' || note === 'could drift');
    if (Math.abs(made.options.driftMmHgPerS) >= 2 && !isRemarked) wrongs.push('drift');
  }
  if (wrongs.length > 0) return { answer: 'wrong', wrongs, isReadable, wasReadable, truth };
  return { answer: plain ? 'right' : heldBack, wrongs, isReadable, wasReadable, truth };
}
