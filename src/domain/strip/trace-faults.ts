import { type CutOffs, cutOffs, heldShare, peggedShare, runsAt } from './cut-offs.ts';
import { picked, quantile } from './smoothing.ts';
import { isSquare } from './trace-shape.ts';

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

/** Middle and ends of a trace without its fast flushes, mmHg. */
interface Levels {
  low: number;
  median: number;
  /** From the 2nd to the 98th percentile; and from the 10th to the 90th, which a few excursions have no say in. */
  range: number;
  usual: number;
  /** The median in words. */
  at: string;
}

function levelsOf(quiet: Float64Array): Levels {
  const some = picked(quiet);
  const [low, median, high] = [quantile(some, 0.02), quantile(some, 0.5), quantile(some, 0.98)];
  const usual = quantile(some, 0.9) - quantile(some, 0.1);
  return { low, median, range: high - low, usual, at: `${Math.round(median)} mmHg` };
}

/** A trace that moves by less than this has no pulse, mmHg (own rule). */
const flatBelowMmHg = 2.5;

/** A trace without a pulse: about 0, or flat at a pressure; nothing of one that moves. */
function withoutPulse({ range, median, at }: Levels): TraceFault | undefined {
  if (range >= flatBelowMmHg) return undefined;
  if (Math.abs(median) < 12) {
    return {
      fault: 'reads about 0',
      hides: 'beats',
      says: `The trace stays at ${at} without a pulse: the transducer is open to air, disconnected or closed to the animal. Look at the animal first, then at taps and joints.`,
    };
  }
  return {
    fault: 'flat line',
    hides: 'beats',
    says: `The trace is a flat line at ${at}. Look at the animal first: feel a pulse; then look for a closed tap, a kink or a clot.`,
  };
}

/** Pressures that fit another unit than the heading says. */
function unitFault({ low, median, range, usual, at }: Levels): TraceFault | undefined {
  if (median > 300 || (median > 260 && range > 40) || low > 230) {
    return {
      fault: 'wrong units',
      hides: 'beats',
      says: `A mean near ${at} is hardly possible: the numbers may be in another unit than the heading says (kPa taken twice, cmH₂O, Pa). Check the unit and upload again.`,
    };
  }
  if (median > 4 && median < 25 && usual < 15 && usual > 0.12 * median) {
    return {
      fault: 'wrong units',
      hides: 'nothing',
      says: `A mean near ${at} with a pulse of ${Math.round(usual)} mmHg looks like kPa labelled as mmHg. If it is true the animal is in grave danger: look at it first, then check the unit.`,
    };
  }
  return undefined;
}

/** Above this share of samples at a limit of the recorder nothing is read. */
const mostPegged = 0.1;

function peggedFault(share: number): TraceFault | undefined {
  if (share <= mostPegged) return undefined;
  return {
    fault: 'pegged',
    hides: 'beats',
    says: `${Math.round(100 * share)} % of the trace lies at the recorder’s limit, so its pressures are not the animal’s. Widen the scale, zero, and export again.`,
  };
}

/** Breathing and noise keep most pulses from the very same extreme in every beat (own rule). */
const mostHeld = 0.07;

/** Tops or bottoms that the recorder cut off, by the levels where it does; or held at an extreme for more than chance would. */
function clippedFaults(quiet: Float64Array, cut: CutOffs): TraceFault[] {
  const faults: TraceFault[] = [];
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
  if (held > mostHeld && faults.length === 0) {
    faults.push({
      fault: 'clipped',
      hides: 'nothing',
      says: `${Math.round(100 * held)} % of the trace lies at exactly its highest or lowest value: the recorder may cut it off there. Widen its scale, or export in finer steps.`,
    });
  }
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
  if (levels.median < -10 || levels.low < -3) {
    faults.push({
      fault: 'negative',
      hides: 'beats',
      says: `The pressure is below 0 (median ${levels.at}): the zero is wrong, or the trace is upside down. Zero the transducer and export again.`,
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
  const pegged = peggedFault(peggedShare(quiet, cut));
  return pegged === undefined ? [...faults, ...clippedFaults(quiet, cut)] : [...faults, pegged];
}
