import type { Beat, FoundBeats } from './find-beats.ts';
import { mean, quantile, standardDeviation } from './smoothing.ts';

/** What the beats say of the patient, not of the line. */
export const patientFindingNames = ['alternans', 'bigeminy', 'pauses', 'irregular'] as const;

/** A finding of the patient with a sentence: what was seen and what to do. */
export interface PatientFinding {
  finding: (typeof patientFindingNames)[number];
  says: string;
}

const whole = (value: number) => String(Math.round(value));

/** Runs of beats that follow each other without a break, at least so many. */
function runsOf(beats: readonly Beat[], least: number): Beat[][] {
  const runs: Beat[][] = [];
  for (const beat of beats) {
    const last = runs.at(-1);
    if (last && Math.abs(beat.footAt - (last.at(-1)?.endsAt ?? -9)) <= 1) last.push(beat);
    else runs.push([beat]);
  }
  return runs.filter((run) => run.length >= least);
}

/** By how much values take turns: 1 where every second one is high, 0 where they do not; the two means, and how they vary. */
interface Turns {
  share: number;
  low: number;
  high: number;
  /** Standard deviation within the highs and within the lows, the larger of the two. */
  within: number;
}

function turnsTaken(runs: readonly (readonly number[])[]): Turns {
  const [lows, highs]: [number[], number[]] = [[], []];
  let [turning, all] = [0, 0];
  for (const values of runs) {
    const even = mean(values.filter((_, i) => i % 2 === 0));
    const odd = mean(values.filter((_, i) => i % 2 === 1));
    lows.push(...values.filter((_, i) => (i % 2 === 0) === even < odd));
    highs.push(...values.filter((_, i) => (i % 2 === 0) !== even < odd));
    for (let i = 2; i < values.length; i += 1) {
      all += 1;
      const [a, b, c] = [values[i - 2] ?? 0, values[i - 1] ?? 0, values[i] ?? 0];
      if ((b > a && b > c) || (b < a && b < c)) turning += 1;
    }
  }
  return {
    share: all === 0 ? 0 : turning / all,
    low: quantile(lows, 0.5),
    high: quantile(highs, 0.5),
    within: Math.max(standardDeviation(lows), standardDeviation(highs)),
  };
}

const lookAtIt = 'This is the patient, not the line: tell the clinician and look at the ECG.';

/**
 * Alternation of tall and small beats, beats in pairs, pauses and irregular beats. The limits are own rules: small beats
 * 87 % of the tall or less, taking turns nearly always; intervals that take turns by a fifth or more; a pause of 1.6 usual
 * beats. Breathing alone makes pulses vary by less, and not from beat to beat.
 */
export function patientFindings({ beats, intervalsS }: FoundBeats): PatientFinding[] {
  if (beats.length < 5 || intervalsS.length < 4) return [];
  const runs = runsOf(beats, 4);
  const pulses = turnsTaken(runs.map((run) => run.map(({ sapMmHg, dapMmHg }) => sapMmHg - dapMmHg)));
  const lengths = turnsTaken(
    runs
      .map((run) => run.slice(1).map(({ halfUpAt }, i) => halfUpAt - (run[i]?.halfUpAt ?? 0)))
      .filter(({ length }) => length >= 3),
  );
  const usual = quantile(intervalsS, 0.5);
  const variation = standardDeviation(intervalsS) / mean(intervalsS);
  // Intervals of fibrillation can take turns by chance, but then they vary among themselves as much.
  const isApart = lengths.within < 0.4 * (lengths.high - lengths.low);
  if (lengths.share > 0.85 && lengths.low < 0.85 * lengths.high && isApart) {
    return [
      {
        finding: 'bigeminy',
        says: `Beats come in pairs, an early one and then a pause (bigeminy, or every third beat missing). ${lookAtIt}`,
      },
    ];
  }
  // Breathing can take turns with so slow a heart.
  const most = usual > 0.9 ? 0.78 : 0.87;
  if (pulses.share > 0.85 && pulses.low < most * pulses.high && variation < 0.12) {
    return [
      {
        finding: 'alternans',
        says: `Tall and small beats take turns (pulsus alternans): pulses of ${whole(pulses.high)} and ${whole(pulses.low)} mmHg. ${lookAtIt}`,
      },
    ];
  }
  const pauses = intervalsS.filter((one) => one > 1.6 * usual).length;
  const others = intervalsS.filter((one) => one <= 1.6 * usual);
  if (pauses > 0 && others.length >= 3 && standardDeviation(others) / mean(others) < 0.08) {
    const many = pauses === 1 ? 'A beat is missing once' : `A beat is missing ${pauses} times`;
    return [{ finding: 'pauses', says: `${many}. ${lookAtIt}` }];
  }
  if (variation > 0.09) {
    return [
      {
        finding: 'irregular',
        says: `The beats are irregular (intervals vary by ${whole(100 * variation)} %). ${lookAtIt}`,
      },
    ];
  }
  return [];
}
