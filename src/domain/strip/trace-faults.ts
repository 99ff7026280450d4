import { boxSmoothed, quantile } from './smoothing.ts';

/** What is wrong with a trace so that it must not be read as it stands. */
export const traceFaultNames = [
  'flat line',
  'reads about 0',
  'clipped',
  'inverted',
  'too noisy',
  'no steady beat',
  'too short',
  'wrong units',
  'negative',
] as const;
export type TraceFaultName = (typeof traceFaultNames)[number];

/** A fault with a sentence that says what was seen, with its numbers, and what to do. */
export interface TraceFault {
  fault: TraceFaultName;
  says: string;
  /** Whether the beats cannot be read for it at all. */
  hides: 'beats' | 'nothing';
}

/** Levels that a recorder cannot show beyond, as the trace betrays them: it stays there exactly. */
export interface CutOffs {
  aboveMmHg: number | null;
  belowMmHg: number | null;
}

/** Runs of at least so many equal extreme samples, in at least so many places, are a cut-off and no coincidence. */
const cutRun = 4;

function runsAt(pressures: Float64Array, level: number): { runs: number; samples: number } {
  let [runs, samples, run] = [0, 0, 0];
  for (let i = 0; i <= pressures.length; i += 1) {
    if (i < pressures.length && pressures[i] === level) {
      run += 1;
      continue;
    }
    if (run >= cutRun) [runs, samples] = [runs + 1, samples + run];
    run = 0;
  }
  return { runs, samples };
}

/** Where a recorder cut the trace off: the highest or lowest value, held exactly for 4 samples or more. */
export function cutOffs(pressures: Float64Array): CutOffs {
  const [highest, lowest] = [
    pressures.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY),
    pressures.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY),
  ];
  if (!(highest - lowest > 3)) return { aboveMmHg: null, belowMmHg: null };
  return {
    aboveMmHg: runsAt(pressures, highest).runs > 0 ? highest : null,
    belowMmHg: runsAt(pressures, lowest).runs > 0 ? lowest : null,
  };
}

/**
 * How lopsided the slopes are (skewness): above 0 where the wave rises quicker than it falls, as a pulse does; below 0 where
 * it is upside down; about 0 for a sine or noise.
 */
export function slopeSkewness(pressures: Float64Array, samplesPerS: number): number {
  const smooth = boxSmoothed(boxSmoothed(pressures, 0.03 * samplesPerS), 0.03 * samplesPerS);
  let [n, sum2, sum3] = [0, 0, 0];
  for (let i = 1; i < smooth.length; i += 1) {
    const slope = (smooth[i] ?? 0) - (smooth[i - 1] ?? 0);
    n += 1;
    sum2 += slope * slope;
    sum3 += slope * slope * slope;
  }
  return sum2 > 0 ? sum3 / n / (sum2 / n) ** 1.5 : 0;
}

/**
 * Faults of a trace that show before any beat is looked for: flat, about 0, cut off within the pulse, upside down, below 0,
 * or numbers that fit another unit. `quiet` is the trace without fast flushes, mmHg. The limits are own rules: they only
 * say that the trace looks wrong, and what to look at.
 */
export function traceFaults(quiet: Float64Array, samplesPerS: number): TraceFault[] {
  const [low, median, high] = [quantile(quiet, 0.02), quantile(quiet, 0.5), quantile(quiet, 0.98)];
  const range = high - low;
  // A fast flush is no part of the pulse.
  const usual = quantile(quiet, 0.9) - quantile(quiet, 0.1);
  const at = `${Math.round(median)} mmHg`;
  if (range < 2.5 && Math.abs(median) < 12) {
    return [
      {
        fault: 'reads about 0',
        hides: 'beats',
        says: `The trace stays at ${at} without a pulse: the transducer is open to air, disconnected or closed to the animal. Look at the animal first, then at taps and joints.`,
      },
    ];
  }
  if (range < 2.5) {
    return [
      {
        fault: 'flat line',
        hides: 'beats',
        says: `The trace is a flat line at ${at}. Look at the animal first: feel a pulse; then look for a closed tap, a kink or a clot.`,
      },
    ];
  }
  const faults: TraceFault[] = [];
  if (median > 300 || (median > 260 && range > 40) || low > 230) {
    faults.push({
      fault: 'wrong units',
      hides: 'nothing',
      says: `A mean near ${at} is hardly possible: the numbers may be in another unit than the heading says (kPa taken twice, cmH₂O, Pa). Check the unit and upload again.`,
    });
  } else if (median > 4 && median < 25 && usual < 15 && usual > 0.12 * median) {
    faults.push({
      fault: 'wrong units',
      hides: 'nothing',
      says: `A mean near ${at} with a pulse of ${Math.round(usual)} mmHg looks like kPa labelled as mmHg. If it is true the animal is in grave danger: look at it first, then check the unit.`,
    });
  }
  if (median < -10 || low < -3) {
    faults.push({
      fault: 'negative',
      hides: 'nothing',
      says: `The pressure is below 0 (median ${at}): the zero is wrong, or the trace is upside down. Zero the transducer and export again.`,
    });
  }
  const skewness = slopeSkewness(quiet, samplesPerS);
  if (skewness < -0.6) {
    faults.push({
      fault: 'inverted',
      hides: 'beats',
      says: 'The trace falls quicker than it rises, so it seems to be upside down. Check the channel’s sign and export again.',
    });
  }
  const cut = cutOffs(quiet);
  for (const [level, where] of [
    [cut.aboveMmHg, 'top'],
    [cut.belowMmHg, 'bottom'],
  ] as const) {
    if (level === null) continue;
    const { runs, samples } = runsAt(quiet, level);
    if (runs < 3 && samples < 0.02 * quiet.length) continue;
    faults.push({
      fault: 'clipped',
      hides: 'nothing',
      says: `The ${where} of the trace is cut off at ${Math.round(level)} mmHg in ${runs} places: the true ${where === 'top' ? 'systolic is higher' : 'diastolic is lower'}. Widen the scale of the recorder.`,
    });
  }
  return faults;
}
