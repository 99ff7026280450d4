import type { FoundBeats } from './find-beats.ts';
import { mean, quantile, standardDeviation } from './smoothing.ts';
import { runsOf, turnsOfIntervals, turnsOfPulses } from './turns-taken.ts';

/** What the beats say of the patient, not of the line, with the figures that it's told with. */
export type PatientFinding =
  | { finding: 'alternans'; tallMmHg: number; smallMmHg: number }
  | { finding: 'bigeminy' }
  /** Evenly spaced it could be breathing, else bigeminy. */
  | { finding: 'every second small'; tallMmHg: number; smallMmHg: number; isEven: boolean }
  | { finding: 'pauses'; count: number }
  | { finding: 'irregular'; by: 'early beats'; count: number }
  | { finding: 'irregular'; by: 'intervals'; variation: number };

/** Intervals of a steady heart vary by less; of fibrillation's a few can take turns by chance. */
const evenBeats = 0.12;
/** Intervals that take turns by less are even, by more are pairs; between, fast hearts and ringing lines blur the one into the other. */
const turnsOfLength = { even: 0.94, pairs: 0.75, surelyPairs: 0.55, fastS: 0.28, blurredS: 0.22 } as const;
/** Short intervals vary among themselves, and long ones, by so much of what is between them: of few beats less. */
const inPairs = { within: 0.4, few: 14, fewWithin: 0.15 } as const;
/** Small beats are at most this share of the tall ones. Breathing can take turns with the beats of a slow heart, s, and makes some as small as this. */
const smallBeats = { most: 0.87, byBreathing: 0.5, ofSlow: 0.82, slowS: 0.9 } as const;
/** A pause is so many usual beats: one is missing. Intervals that vary by more are groups of waves, and no beats with pauses. */
const pause = { from: 1.6, to: 2.4, off: 0.17, variation: 0.45 } as const;
/** Intervals vary by so much, and so many of them are so far off, where the beats are irregular. */
const irregular = {
  variation: 0.115,
  off: 0.1,
  leastOff: 3,
  leastShare: 0.14,
  leastShort: 0.25,
  couldHoldTwo: 1.35,
  leastInHalf: 0.2,
} as const;

/** An early beat's interval and the pause after it make two usual ones; each is so far off, their sum is no further; one in so many at least, or it can be one that was misplaced (own rules). */
const earlyBeat = { off: 0.22, sumOff: 0.2, othersOff: 0.1, oneIn: 12 } as const;

/** How many beats come early, each with a pause that makes up for it; 0 where any other interval is odd, too. */
function earlyBeats(intervalsS: readonly number[], usual: number): number {
  const times = intervalsS.map((one) => one / usual);
  let early = 0;
  for (let i = 0; i < times.length; i += 1) {
    const [own, next] = [times[i] ?? 1, times[i + 1]];
    if (Math.abs(own - 1) <= earlyBeat.othersOff) continue;
    // The strip can end before the pause does.
    if (own > 1 - earlyBeat.off || (next === undefined && early === 0)) return 0;
    if (next !== undefined && Math.abs(own + next - 2) > earlyBeat.sumOff) return 0;
    early += 1;
    i += 1;
  }
  return early;
}

/** Every second beat small or early, or both; null where they do not take turns. */
function inTurns({ beats, intervalsS }: FoundBeats): PatientFinding | null {
  const runs = runsOf(beats, 4);
  const pulses = turnsOfPulses(runs);
  const lengths = turnsOfIntervals(runs);
  const variation = standardDeviation(intervalsS) / mean(intervalsS);
  // Intervals of fibrillation can take turns by chance, but then they vary among themselves as much.
  const most = intervalsS.length < inPairs.few ? inPairs.fewWithin : inPairs.within;
  const isApart = lengths.within < most * (lengths.high - lengths.low);
  const lengthShare = lengths.low / lengths.high;
  const isEarly = lengths.share > 0.85 && lengthShare < turnsOfLength.even && isApart;
  const usual = quantile(intervalsS, 0.5);
  const takePulses = pulses.share > 0.85 && pulses.low < smallBeats.most * pulses.high;
  const couldBlur = takePulses && usual < turnsOfLength.fastS && lengthShare > turnsOfLength.surelyPairs;
  if (isEarly && lengthShare < turnsOfLength.pairs && !couldBlur) return { finding: 'bigeminy' };
  const isSlow = usual > smallBeats.slowS;
  const mostSmall = isSlow ? smallBeats.ofSlow : smallBeats.most;
  if (pulses.share <= 0.85 || pulses.low >= mostSmall * pulses.high || (variation > evenBeats && !isEarly))
    return null;
  const heights = { tallMmHg: pulses.high, smallMmHg: pulses.low };
  // A line that rings as fast as the heart beats makes early beats even.
  const isEven = lengthShare > turnsOfLength.even && usual > turnsOfLength.blurredS;
  if (isEven && !(isSlow && pulses.low > smallBeats.byBreathing * pulses.high))
    return { finding: 'alternans', ...heights };
  return { finding: 'every second small', ...heights, isEven };
}

/** Whether this is told of the beats. */
export function isTold(patient: readonly PatientFinding[], what: PatientFinding['finding']): boolean {
  return patient.some(({ finding }) => finding === what);
}

/** Whether the beats are told as taking turns: tall and small, or early and late. */
export function takeTurns(patient: readonly PatientFinding[]): boolean {
  return patient.some(
    ({ finding }) => finding === 'alternans' || finding === 'bigeminy' || finding === 'every second small',
  );
}

/**
 * Alternation of tall and small beats, beats in pairs, pauses and irregular beats. The limits are own rules, measured on made
 * strips: small beats 87 % of the tall or less, taking turns nearly always; intervals that take turns by a quarter or more; a
 * pause of 1.6 usual beats. Breathing alone makes pulses vary by less, and not from beat to beat. What could be either of two
 * is told as that.
 */
export function patientFindings(found: FoundBeats): PatientFinding[] {
  const { beats, intervalsS } = found;
  if (beats.length < 5 || intervalsS.length < 4) return [];
  const turns = inTurns(found);
  if (turns !== null) return [turns];
  const usual = quantile(intervalsS, 0.5);
  const variation = standardDeviation(intervalsS) / mean(intervalsS);
  const pauses = intervalsS.filter((one) => one > pause.from * usual).length;
  const others = intervalsS.filter((one) => one <= pause.from * usual);
  const areEven = others.length >= 3 && standardDeviation(others) / mean(others) < 0.08;
  if (pauses > 0 && areEven) {
    const longS = quantile(
      intervalsS.filter((one) => one > pause.from * usual),
      0.5,
    );
    const isOne =
      variation < pause.variation &&
      Math.abs(longS / usual - 2) < pause.off &&
      intervalsS.every((one) => one < pause.to * usual);
    return isOne ? [{ finding: 'pauses', count: pauses }] : [];
  }
  const early = earlyBeats(intervalsS, usual);
  if (early * earlyBeat.oneIn > intervalsS.length)
    return [{ finding: 'irregular', by: 'early beats', count: early }];
  // One or two odd intervals can be a beat that was missed or made up, and long ones alone beats that were missed, if they are so long.
  const off = intervalsS.filter((one) => Math.abs(one / usual - 1) > irregular.off).length;
  const short = intervalsS.filter((one) => one / usual < 1 - irregular.off).length;
  const holdTwo = intervalsS.filter((one) => one / usual > irregular.couldHoldTwo).length;
  if (short < irregular.leastShort * off && holdTwo > irregular.leastShort * off) return [];
  // What settles after a flush or a tap is uneven in one place; a heart is so all along.
  const half = Math.floor(intervalsS.length / 2);
  const inFirst = intervalsS.slice(0, half).filter((one) => Math.abs(one / usual - 1) > irregular.off).length;
  if (Math.min(inFirst, off - inFirst) < irregular.leastInHalf * off) return [];
  if (
    variation > irregular.variation &&
    off >= Math.max(irregular.leastOff, irregular.leastShare * intervalsS.length)
  )
    return [{ finding: 'irregular', by: 'intervals', variation }];
  return [];
}
