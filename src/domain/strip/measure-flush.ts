import { naturalFrequencyHz } from '../dynamic-response/natural-frequency.ts';
import type { FoundFlush } from './find-flush.ts';
import { type Pulse, pulseUnder, type StripAround } from './pulse-under-ringing.ts';
import { dampingAt, middleOfFall, ofOneRinging, turnsOf, usualRatio } from './ringing-turns.ts';
import { boxSmoothed, finerBetween, quantile } from './smoothing.ts';

/** A value with its likely least and most. */
export interface Span {
  value: number;
  low: number;
  high: number;
}

/** A turning point of the ringing: when, s from the start of the strip, and how far off the pulse it was laid on, mmHg. */
export interface RingingTurn {
  atS: number;
  offMmHg: number;
}

/** What a fast flush says of the line. */
export type MeasuredFlush =
  | {
      measured: 'ringing';
      turns: RingingTurn[];
      /** Successive swings, peak to trough and trough to peak, mmHg; empty where a single turn was seen. */
      swingsMmHg: number[];
      periodS: number;
      ringingHz: number;
      /** By half cycles, from what `dampingFrom` says. */
      damping: Span;
      dampingFrom: 'successive swings' | 'first turn against the step';
      naturalHz: Span;
      /** Fall from 90 to 10 % of the step, ms: a slow one can be the valve's. */
      fallMs: number;
    }
  /** It falls to the pulse and does not swing past it by more than could hide in the pulse. */
  | {
      measured: 'no ringing';
      dampingAtLeast: number;
      fallMs: number;
      /** From 90 to 50 % of the step, ms: quick where only the foretold pulse makes the rest slow. */
      halfFallMs: number;
    }
  | {
      measured: 'cannot tell';
      because:
        | 'clipped'
        | 'no beats to compare'
        | 'sampled too slowly'
        | 'does not die down'
        | 'too near the end';
    };

/** So many values between the samples show where the trace turns. */
const finer = 8;

/** The trace from the release on, less the pulse under it: what the line does by itself. */
interface AfterRelease {
  /** The release, sample number. */
  from: number;
  samplesPerS: number;
  /** `finer` values a sample; 0 where all has died down, mmHg. */
  off: Float64Array;
  /** Where it first falls to 0, in these values; -1 where it does not. */
  crossesAt: number;
  /** From the plateau down to the pulse, mmHg. */
  stepMmHg: number;
  /** What the foretold pulse may be off by, noise and all; a swing must stand out from it, mmHg. */
  errorMmHg: number;
  leastMmHg: number;
  /** The fall from 90 to 10 % of the step, from 90 to 50 %, and from the release to its middle, samples. */
  fallSamples: number;
  halfFallSamples: number;
  halfFallenAt: number;
}

function afterRelease(
  pressures: Float64Array,
  samplesPerS: number,
  { releasedAt: from, restTo, plateauMmHg }: FoundFlush,
  pulse: Pulse,
  noiseMmHg: number,
): AfterRelease {
  const to = Math.min(pressures.length, restTo);
  const off = pressures.map((p, i) => (i >= from - 20 && i < to + 20 ? p - pulse.at(i) : 0));
  // What is left when all has died down is the error of the foretold pulse.
  const tail = off.subarray(Math.max(from, to - Math.round(0.5 * samplesPerS)), to);
  const settled = quantile(tail, 0.5);
  const errorMmHg =
    quantile(
      tail.map((v) => Math.abs(v - settled)),
      0.9,
    ) + noiseMmHg;
  const stepMmHg = plateauMmHg - pulse.at(from) - settled;
  const between = finerBetween(off, from, to, finer).map((v) => v - settled);
  const calm = noiseMmHg > 1 ? boxSmoothed(between, Math.round(0.006 * samplesPerS * finer)) : between;
  const fallenTo = (share: number) => calm.findIndex((v) => v <= share * stepMmHg) / finer;
  return {
    from,
    samplesPerS,
    off: calm,
    crossesAt: calm.findIndex((v) => v <= 0),
    stepMmHg,
    errorMmHg,
    leastMmHg: Math.max(1.2 * errorMmHg, 0.015 * stepMmHg, 1.5),
    fallSamples: fallenTo(0.1) - fallenTo(0.9),
    halfFallSamples: fallenTo(0.5) - fallenTo(0.9),
    halfFallenAt: fallenTo(0.5),
  };
}

/**
 * The turning points of the ringing. A second-order system turns first after 2.8 times its fall from 90 to 10 % at damping
 * 0.1, 2.1 times at 0.7 (computed); what turns later is the pulse.
 */
function ringingTurns(after: AfterRelease): RingingTurn[] {
  const { from, samplesPerS, off, crossesAt, stepMmHg, leastMmHg, fallSamples } = after;
  const found = crossesAt < 0 ? [] : turnsOf(off.subarray(crossesAt), leastMmHg);
  const kept = ofOneRinging(found, crossesAt + (found[0]?.at ?? 0));
  const turnsAt = (crossesAt + (kept[0]?.at ?? 0)) / finer;
  const share = Math.abs(kept[0]?.off ?? 0) / stepMmHg;
  if (fallSamples > 1.5 && share < 0.3 && turnsAt > (share > 0.15 ? 3.4 : 2.6) * fallSamples) return [];
  return kept.map(({ at, off: offMmHg }) => ({
    atS: (from + (crossesAt + at) / finer) / samplesPerS,
    offMmHg,
  }));
}

/** A damping with where it was read off. */
interface RingingDamping extends Span {
  from: Extract<MeasuredFlush, { measured: 'ringing' }>['dampingFrom'];
}

/**
 * The damping of the turns: by successive swings, or by the first turn against the step, whichever is surer. A recorder that
 * cuts off the plateau hides how far the pressure really fell; valves shut a little slowly.
 */
function ringingDamping(
  turns: readonly RingingTurn[],
  swingsMmHg: readonly number[],
  { stepMmHg, errorMmHg }: AfterRelease,
  { isCut, pulseMmHg }: { isCut: boolean; pulseMmHg: number },
): RingingDamping | 'clipped' | 'does not die down' {
  const first = Math.abs(turns[0]?.offMmHg ?? 0);
  const [tall, small] = swingsMmHg;
  const byStep = isCut ? null : { ratio: first / stepMmHg, shareOff: errorMmHg / first + 0.1 };
  const bySwings =
    tall === undefined || small === undefined
      ? null
      : { ratio: usualRatio(swingsMmHg), shareOff: errorMmHg / small + errorMmHg / tall };
  const [byStepValue, bySwingsValue] = [byStep, bySwings].map((by) =>
    by === null ? Number.NaN : dampingAt(by.ratio),
  );
  // Two ways that disagree: a few low turns can be the pulse itself; tall or many cannot, and then the valve shut slowly.
  const disagree = Math.abs((byStepValue ?? Number.NaN) - (bySwingsValue ?? Number.NaN)) > 0.08;
  const couldBePulse = turns.length < 4 && first < 1.5 * pulseMmHg;
  const takesSwings =
    bySwings !== null &&
    (byStep === null || (disagree ? !couldBePulse : bySwings.shareOff <= byStep.shareOff));
  const taken = takesSwings ? bySwings : byStep;
  if (taken === null) return 'clipped';
  const { ratio, shareOff } = taken;
  if (!(ratio < 1)) return 'does not die down';
  const value = dampingAt(ratio);
  const others = disagree ? [byStepValue ?? value, bySwingsValue ?? value] : [value];
  return {
    value,
    low: Math.min(...others, dampingAt(ratio * (1 + shareOff))),
    // A low single turn may be the pulse under a line that does not ring at all (measured, docs/strip-accuracy.md).
    high:
      turns.length === 1 && value > 0.6
        ? 1.2
        : Math.max(...others, dampingAt(ratio * Math.max(0.05, 1 - shareOff))),
    from: takesSwings ? 'successive swings' : 'first turn against the step',
  };
}

/** Half a period of the ringing, s, with the share that it may be off by. */
function halfPeriod(
  turns: readonly RingingTurn[],
  { value, from }: RingingDamping,
  after: AfterRelease,
): { s: number; shareOff: number } {
  const halves = from === 'successive swings' ? turns.length - 1 : 0;
  const [firstS, lastS] = [turns[0]?.atS ?? 0, turns.at(-1)?.atS ?? 0];
  // The pulse under it shifts a low second turn: then the first turn's distance from the middle of the fall says more.
  const fallenS = (after.from + after.halfFallenAt) / after.samplesPerS;
  const s = halves > 0 ? (lastS - firstS) / halves : (firstS - fallenS) / (1 - middleOfFall(value));
  // Half a sample at either end of what was measured; the pulse under it shifts a single turn most.
  const ofSample = 0.5 / after.samplesPerS / (s * Math.max(1, halves));
  return { s, shareOff: ofSample + (halves > 0 ? 0.05 / halves : 0.15) };
}

/** A line that swings no further past the pulse than could hide in it. */
function withoutRinging(
  { stepMmHg, leastMmHg, halfFallSamples, samplesPerS }: AfterRelease,
  firstMmHg: number,
  fallMs: number,
): MeasuredFlush {
  const hidden = Math.max(leastMmHg, firstMmHg) / Math.max(stepMmHg, leastMmHg * 1.01);
  const halfFallMs = (1000 * halfFallSamples) / samplesPerS;
  return { measured: 'no ringing', dampingAtLeast: Math.min(0.7, dampingAt(hidden)), fallMs, halfFallMs };
}

/** What the turning points after a release come to, at least one. */
function ringingOf(
  turns: RingingTurn[],
  after: AfterRelease,
  fallMs: number,
  plateau: { isCut: boolean; pulseMmHg: number },
): MeasuredFlush {
  const { samplesPerS, fallSamples } = after;
  const heights = turns.map(({ offMmHg }) => Math.abs(offMmHg));
  const swingsMmHg = heights.slice(1).map((height, i) => height + (heights[i] ?? 0));
  const damping = ringingDamping(turns, swingsMmHg, after, plateau);
  if (typeof damping === 'string') return { measured: 'cannot tell', because: damping };
  const half = halfPeriod(turns, damping, after);
  const ringingHz = 1 / (2 * half.s);
  const { value, low, high, from: dampingFrom } = damping;
  const natural = (ringing: number, coefficient: number) =>
    naturalFrequencyHz(ringing, Math.min(0.95, coefficient));
  // Natural frequency × fall from 90 to 10 % is 0.26 to 0.37 at damping 0.5 to 0.8 (computed); less is the pulse's doing.
  const isOneTurn = dampingFrom === 'first turn against the step';
  if (isOneTurn && value > 0.5 && (naturalFrequencyHz(ringingHz, value) * fallMs) / 1000 < 0.25)
    return withoutRinging(after, heights[0] ?? 0, fallMs);
  if (ringingHz > samplesPerS / 4 || (samplesPerS < 100 && fallSamples < 1.1))
    return { measured: 'cannot tell', because: 'sampled too slowly' };
  return {
    measured: 'ringing',
    turns,
    swingsMmHg,
    periodS: 2 * half.s,
    fallMs,
    ringingHz,
    damping: { value, low, high },
    dampingFrom,
    naturalHz: {
      value: natural(ringingHz, value),
      low: natural(ringingHz * (1 - Math.min(0.9, half.shareOff)), low),
      high: natural(ringingHz * (1 + half.shareOff), high),
    },
  };
}

/**
 * Reads the ringing after a fast flush: the pulse under it is taken away, the turning points are found between the samples,
 * successive swings give the damping by half cycles (`dampingOfHalfCycle`) and the turning points' distance the period.
 * Gardner RM, Anesthesiology 1981;54:227-236. Where the second swing is lost in the pulse, the first turn's height against
 * the step down is taken: the same ratio, if the plateau was not cut off and the valve shut at once.
 */
export function measureFlush(
  pressures: Float64Array,
  samplesPerS: number,
  flush: FoundFlush,
  around: StripAround,
): MeasuredFlush {
  const { noiseMmHg, pulseMmHg, cutsOffBelowMmHg, cutsOffAboveMmHg } = around;
  const from = flush.releasedAt;
  const to = Math.min(pressures.length, flush.restTo);
  if (to - from < 0.4 * samplesPerS) return { measured: 'cannot tell', because: 'too near the end' };
  const pulse = pulseUnder(pressures, flush, around);
  if (pulse === null) return { measured: 'cannot tell', because: 'no beats to compare' };
  const after = afterRelease(pressures, samplesPerS, flush, pulse, noiseMmHg);
  const turns = ringingTurns(after);
  const lowest = Math.min(...pressures.subarray(from, to));
  if (cutsOffBelowMmHg !== null && turns.length > 0 && lowest <= cutsOffBelowMmHg) {
    return { measured: 'cannot tell', because: 'clipped' };
  }
  const fallMs = (1000 * after.fallSamples) / samplesPerS;
  if (turns.length === 0) return withoutRinging(after, 0, fallMs);
  const isCut = cutsOffAboveMmHg !== null && flush.plateauMmHg >= cutsOffAboveMmHg - 1;
  return ringingOf(turns, after, fallMs, { isCut, pulseMmHg });
}
