import { boxSmoothed, picked, quantile } from './smoothing.ts';

/** What is wrong with a trace so that it must not be read as it stands. */
export const traceFaultNames = [
  'flat line',
  'reads about 0',
  'clipped',
  'pegged',
  'inverted',
  'square',
  'too noisy',
  'no steady beat',
  'beats disagree',
  'rate open',
  'too short',
  'too few beats',
  'much left out',
  'level changes',
  'drifts',
  'like a sine',
  'weak pulse',
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

/** The recorder's step, mmHg: the smallest difference between neighbours. */
function stepOf(pressures: Float64Array): number {
  let step = Number.POSITIVE_INFINITY;
  for (let i = 1; i < pressures.length; i += 1) {
    const by = Math.abs((pressures[i] ?? 0) - (pressures[i - 1] ?? 0));
    if (by > 1e-9 && by < step) step = by;
  }
  return step;
}

/** Whether far more samples lie at a level than within the recorder's next step: rounding makes a slow turn look held, too. */
function isPiledUp(pressures: Float64Array, level: number): boolean {
  const near = 1.2 * stepOf(pressures);
  let [at, beside] = [0, 0];
  for (const p of pressures) {
    if (p === level) at += 1;
    else if (Math.abs(p - level) <= near) beside += 1;
  }
  return at > 4 * beside;
}

/** Where a recorder cut the trace off: the highest or lowest value, held exactly for 4 samples or more. */
export function cutOffs(pressures: Float64Array): CutOffs {
  const [highest, lowest] = [
    pressures.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY),
    pressures.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY),
  ];
  if (!(highest - lowest > 3)) return { aboveMmHg: null, belowMmHg: null };
  const isCut = (level: number) => runsAt(pressures, level).runs > 0 && isPiledUp(pressures, level);
  return {
    aboveMmHg: isCut(highest) ? highest : null,
    belowMmHg: isCut(lowest) ? lowest : null,
  };
}

/** Above this share of samples at a limit of the recorder nothing is read. */
const mostPegged = 0.1;

/** Share of samples held exactly at the recorder's limits. */
function peggedShare(pressures: Float64Array, { aboveMmHg, belowMmHg }: CutOffs): number {
  let held = 0;
  for (const level of [aboveMmHg, belowMmHg]) if (level !== null) held += runsAt(pressures, level).samples;
  return held / Math.max(1, pressures.length);
}

/** Breathing and noise keep most pulses from the very same extreme in every beat (own rule). */
const mostHeld = 0.07;

/** Share of samples at exactly the highest or exactly the lowest value, whichever is more. */
function heldShare(pressures: Float64Array): number {
  let [high, low, atHigh, atLow] = [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY, 0, 0];
  for (const p of pressures) {
    if (p > high) [high, atHigh] = [p, 0];
    if (p < low) [low, atLow] = [p, 0];
    if (p === high) atHigh += 1;
    if (p === low) atLow += 1;
  }
  return Math.max(atHigh, atLow) / Math.max(1, pressures.length);
}

/**
 * Whether the trace stays at two levels with hardly anything between: over a sixth of it within the lowest quarter of
 * its range, as much within the highest, less than a fifth between; or over half of all its ups and downs lie in jumps of a
 * third of its range within 12 ms. A sine has a third of its samples between, a pulse more, and no artery jumps.
 */
export function isSquare(pressures: Float64Array, samplesPerS: number): boolean {
  const some = picked(pressures);
  const [low, high] = [quantile(some, 0.01), quantile(some, 0.99)];
  const range = high - low;
  let [top, bottom, between, all, jumps] = [0, 0, 0, 0, 0];
  const step = Math.max(1, Math.floor(0.012 * samplesPerS));
  for (let i = 0; i < pressures.length; i += 1) {
    const p = pressures[i] ?? 0;
    if (p > low + 0.75 * range) top += 1;
    else if (p < low + 0.25 * range) bottom += 1;
    else between += 1;
    if (i < step || i % step !== 0) continue;
    const by = Math.abs(p - (pressures[i - step] ?? p));
    all += by;
    if (by > 0.35 * range) jumps += by;
  }
  const n = pressures.length;
  const isTwoLevels = top > n / 6 && bottom > n / 6 && between < 0.2 * n;
  return isTwoLevels || (jumps > 0.5 * all && between < 0.3 * n);
}

/**
 * How lopsided the slopes are (skewness): above 0 where the wave rises quicker than it falls, as a pulse does; below 0 where
 * it is upside down; about 0 for a sine or noise. Smoothed over `widthS`, s, so that ringing has no say.
 */
export function slopeSkewness(pressures: Float64Array, samplesPerS: number, widthS: number): number {
  const smooth = boxSmoothed(boxSmoothed(pressures, widthS * samplesPerS), widthS * samplesPerS);
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
  const some = picked(quiet);
  const [low, median, high] = [quantile(some, 0.02), quantile(some, 0.5), quantile(some, 0.98)];
  const range = high - low;
  // A fast flush is no part of the pulse.
  const usual = quantile(some, 0.9) - quantile(some, 0.1);
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
      hides: 'beats',
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
      hides: 'beats',
      says: `The pressure is below 0 (median ${at}): the zero is wrong, or the trace is upside down. Zero the transducer and export again.`,
    });
  }
  if (isSquare(quiet, samplesPerS)) {
    faults.push({
      fault: 'square',
      hides: 'beats',
      says: 'The trace jumps between two levels, as no pulse does. Look at the animal first; then at the cable, the connector and the channel that was exported.',
    });
  }
  const cut = cutOffs(quiet);
  const pegged = peggedShare(quiet, cut);
  if (pegged > mostPegged) {
    faults.push({
      fault: 'pegged',
      hides: 'beats',
      says: `${Math.round(100 * pegged)} % of the trace lies at the recorder’s limit, so its pressures are not the animal’s. Widen the scale, zero, and export again.`,
    });
    return faults;
  }
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
  const held = heldShare(quiet);
  if (held > mostHeld && !faults.some(({ fault }) => fault === 'clipped')) {
    faults.push({
      fault: 'clipped',
      hides: 'nothing',
      says: `${Math.round(100 * held)} % of the trace lies at exactly its highest or lowest value: the recorder may cut it off there. Widen its scale, or export in finer steps.`,
    });
  }
  return faults;
}
