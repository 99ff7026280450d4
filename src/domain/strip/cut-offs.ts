/** Levels that a recorder cannot show beyond, as the trace betrays them: it stays there exactly. */
export interface CutOffs {
  aboveMmHg: number | null;
  belowMmHg: number | null;
}

/** A run of so many equal extreme samples is a cut-off and no coincidence. */
const cutRun = 4;

/** A fast pulse that's sampled seldom is held for fewer: runs so short are a cut-off if so much of the trace is in them (own rule). */
const short = { run: 2, share: 0.05 } as const;

/** In how many places, and for how many samples in all, the trace is held at a level. */
export function runsAt(pressures: Float64Array, level: number): { runs: number; samples: number } {
  const all = runsOf(pressures, level, short.run);
  return all.samples > short.share * pressures.length ? all : runsOf(pressures, level, cutRun);
}

function runsOf(pressures: Float64Array, level: number, least: number): { runs: number; samples: number } {
  let [runs, samples, run] = [0, 0, 0];
  for (let i = 0; i <= pressures.length; i += 1) {
    if (i < pressures.length && pressures[i] === level) {
      run += 1;
      continue;
    }
    if (run >= least) [runs, samples] = [runs + 1, samples + run];
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

/** Share of samples held exactly at the recorder's limits. */
export function peggedShare(pressures: Float64Array, { aboveMmHg, belowMmHg }: CutOffs): number {
  let held = 0;
  for (const level of [aboveMmHg, belowMmHg]) if (level !== null) held += runsAt(pressures, level).samples;
  return held / Math.max(1, pressures.length);
}

/** Share of samples at exactly the highest or exactly the lowest value, whichever is more. */
export function heldShare(pressures: Float64Array): number {
  let [high, low, atHigh, atLow] = [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY, 0, 0];
  for (const p of pressures) {
    if (p > high) [high, atHigh] = [p, 0];
    if (p < low) [low, atLow] = [p, 0];
    if (p === high) atHigh += 1;
    if (p === low) atLow += 1;
  }
  return Math.max(atHigh, atLow) / Math.max(1, pressures.length);
}
