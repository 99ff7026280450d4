import { type CutOffs, cutOffs, heldShare, peggedShare, runsAt } from './cut-offs.ts';
import { picked, quantile } from './smoothing.ts';
import { isSquare } from './trace-shape.ts';

type Plain = 'inverted' | 'square' | 'no steady beat' | 'beats disagree' | 'level changes' | 'like a sine';

/**
 * What is wrong with a trace so that it must not be read as it stands, with the figures that it's told with. `hides`: whether
 * the beats cannot be read for it at all.
 */
export type TraceFault = { hides: 'beats' | 'nothing' } & (
  | { fault: Plain }
  | { fault: 'flat line' | 'reads about 0' | 'negative'; medianMmHg: number }
  /** Without a pulse the mean alone is hardly possible. */
  | { fault: 'wrong units'; medianMmHg: number; pulseMmHg: number | null }
  | { fault: 'pegged' | 'much left out'; share: number }
  | { fault: 'clipped'; at: 'top' | 'bottom'; mmHg: number; places: number }
  | { fault: 'clipped'; at: 'either'; share: number }
  | { fault: 'too noisy'; noiseMmHg: number; pulseMmHg: number }
  | { fault: 'rate open'; ratePerMin: number; openPerMin: number }
  | { fault: 'too short'; lengthS: number }
  /** `wanted` is null where it can't be told how many are. */
  | { fault: 'too few beats'; beats: number; wanted: number | null; isUneven: boolean }
  | { fault: 'drifts'; mmHgPerS: number; lengthS: number }
  | { fault: 'weak pulse'; pulseMmHg: number }
);

/** Middle and ends of a trace without its fast flushes, mmHg. */
interface Levels {
  low: number;
  median: number;
  /** From the 2nd to the 98th percentile; and from the 10th to the 90th, which a few excursions have no say in. */
  range: number;
  usual: number;
}

function levelsOf(quiet: Float64Array): Levels {
  const some = picked(quiet);
  const [low, median, high] = [quantile(some, 0.02), quantile(some, 0.5), quantile(some, 0.98)];
  const usual = quantile(some, 0.9) - quantile(some, 0.1);
  return { low, median, range: high - low, usual };
}

/** A trace that moves by less than this has no pulse, mmHg (own rule). */
const flatBelowMmHg = 2.5;

/** A trace without a pulse: about 0, or flat at a pressure; nothing of one that moves. */
function withoutPulse({ range, median }: Levels): TraceFault | undefined {
  if (range >= flatBelowMmHg) return undefined;
  const fault = Math.abs(median) < 12 ? 'reads about 0' : 'flat line';
  return { fault, hides: 'beats', medianMmHg: median };
}

/** Pressures that fit another unit than the heading says. */
function unitFault({ low, median, range, usual }: Levels): TraceFault | undefined {
  if (median > 300 || (median > 260 && range > 40) || low > 230)
    return { fault: 'wrong units', hides: 'beats', medianMmHg: median, pulseMmHg: null };
  if (median > 4 && median < 25 && usual < 15 && usual > 0.12 * median)
    return { fault: 'wrong units', hides: 'nothing', medianMmHg: median, pulseMmHg: usual };
  return undefined;
}

/** Above this share of samples at a limit of the recorder nothing is read. */
const mostPegged = 0.1;

/** Breathing and noise keep most pulses from the very same extreme in every beat (own rule). */
const mostHeld = 0.07;

/** Tops or bottoms that the recorder cut off, by the levels where it does; or held at an extreme for more than chance would. */
function clippedFaults(quiet: Float64Array, cut: CutOffs): TraceFault[] {
  const faults: TraceFault[] = [];
  for (const [level, at] of [
    [cut.aboveMmHg, 'top'],
    [cut.belowMmHg, 'bottom'],
  ] as const) {
    if (level === null) continue;
    const { runs, samples } = runsAt(quiet, level);
    if (runs < 3 && samples < 0.02 * quiet.length) continue;
    faults.push({ fault: 'clipped', hides: 'nothing', at, mmHg: level, places: runs });
  }
  const held = heldShare(quiet);
  if (held > mostHeld && faults.length === 0)
    faults.push({ fault: 'clipped', hides: 'nothing', at: 'either', share: held });
  return faults;
}

/**
 * Faults of a trace that show before any beat is looked for: flat, about 0, cut off within the pulse, upside down, below 0,
 * or numbers that fit another unit. `quiet` is the trace without fast flushes, mmHg. The limits are own rules: they only
 * say that the trace looks wrong, and what to look at.
 */
export function traceFaults(quiet: Float64Array, samplesPerS: number): TraceFault[] {
  const levels = levelsOf(quiet);
  const still = withoutPulse(levels);
  if (still !== undefined) return [still];
  const faults: TraceFault[] = [];
  const unit = unitFault(levels);
  if (unit !== undefined) faults.push(unit);
  if (levels.median < -10 || levels.low < -3)
    faults.push({ fault: 'negative', hides: 'beats', medianMmHg: levels.median });
  if (isSquare(quiet, samplesPerS)) faults.push({ fault: 'square', hides: 'beats' });
  const cut = cutOffs(quiet);
  const share = peggedShare(quiet, cut);
  if (share > mostPegged) return [...faults, { fault: 'pegged', hides: 'beats', share }];
  return [...faults, ...clippedFaults(quiet, cut)];
}
