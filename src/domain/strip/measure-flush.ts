import { naturalFrequencyHz } from '../dynamic-response/natural-frequency.ts';
import type { AverageBeat } from './average-beat.ts';
import type { Beat } from './find-beats.ts';
import type { FoundFlush } from './find-flush.ts';
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
  | { measured: 'no ringing'; dampingAtLeast: number; fallMs: number }
  | {
      measured: 'cannot tell';
      because:
        | 'clipped'
        | 'no beats to compare'
        | 'sampled too slowly'
        | 'does not die down'
        | 'too near the end';
    };

/** What the pulse would have been during the ringing, mmHg by sample number. */
interface Pulse {
  at(sample: number): number;
}

/**
 * The pulse under the ringing: the average beat, repeated backwards from the first beat after it, at the beat length (up to
 * 8 % off the usual) that leaves least of the later half over. Where the rhythm is too uneven for that, the mean pressure.
 */
function pulseUnder(
  pressures: Float64Array,
  { releasedAt, restTo }: FoundFlush,
  { beats, average, regular }: StripAround,
): Pulse | null {
  const next = beats.find(({ footAt }) => footAt >= restTo - 2);
  const near = next ?? beats.at(-1);
  if (near === undefined) return null;
  const flat: Pulse = { at: () => near.mapMmHg };
  if (!regular || average === null || next === undefined) return flat;
  const { aboveFootMmHg, length } = average;
  const repeated = (period: number): Pulse => ({
    at: (sample) => {
      const phase = (((sample - next.footAt) % period) + period) % period;
      const place = Math.min((phase * length) / period, aboveFootMmHg.length - 1);
      const below = Math.floor(place);
      const a = aboveFootMmHg[below] ?? 0;
      const b = aboveFootMmHg[Math.min(below + 1, aboveFootMmHg.length - 1)] ?? a;
      return next.dapMmHg + a + (b - a) * (place - below);
    },
  });
  let [best, least] = [flat, Number.POSITIVE_INFINITY];
  for (let step = -16; step <= 16; step += 1) {
    const pulse = repeated(length * (1 + step / 200));
    let left = 0;
    for (let i = Math.round((releasedAt + restTo) / 2); i < restTo; i += 1) {
      left += Math.abs((pressures[i] ?? 0) - pulse.at(i));
    }
    if (left < least) [best, least] = [pulse, left];
  }
  return best;
}

/** The rest of the strip, which the ringing is read against. */
export interface StripAround {
  beats: readonly Beat[];
  average: AverageBeat | null;
  /** Whether beats follow each other evenly enough to be foretold. */
  regular: boolean;
  /** Usual pulse pressure, mmHg. */
  pulseMmHg: number;
  noiseMmHg: number;
  /** Levels at which the recorder cuts off; null where none was seen. */
  cutsOffBelowMmHg: number | null;
  cutsOffAboveMmHg: number | null;
}

const finer = 8;

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
  const { noiseMmHg, cutsOffBelowMmHg, cutsOffAboveMmHg } = around;
  const from = flush.releasedAt;
  const to = Math.min(pressures.length, flush.restTo);
  if (to - from < 0.4 * samplesPerS) return { measured: 'cannot tell', because: 'too near the end' };
  const pulse = pulseUnder(pressures, flush, around);
  if (pulse === null) return { measured: 'cannot tell', because: 'no beats to compare' };
  const off = pressures.map((p, i) => (i >= from - 20 && i < to + 20 ? p - pulse.at(i) : 0));
  // What is left when all has died down is the error of the foretold pulse.
  const tail = off.subarray(Math.max(from, to - Math.round(0.5 * samplesPerS)), to);
  const settled = quantile(tail, 0.5);
  const errorMmHg =
    quantile(
      tail.map((v) => Math.abs(v - settled)),
      0.9,
    ) + noiseMmHg;
  const step = flush.plateauMmHg - pulse.at(from) - settled;
  const between = finerBetween(off, from, to, finer).map((v) => v - settled);
  const calm = noiseMmHg > 1 ? boxSmoothed(between, Math.round(0.006 * samplesPerS * finer)) : between;
  const firstCrossing = calm.findIndex((v) => v <= 0);
  const least = Math.max(1.2 * errorMmHg, 0.015 * step, 1.5);
  const found = firstCrossing < 0 ? [] : turnsOf(calm.subarray(firstCrossing), least);
  const kept = ofOneRinging(found, firstCrossing + (found[0]?.at ?? 0));
  const samplesTo = (share: number) => calm.findIndex((v) => v <= share * step) / finer;
  const fallSamples = samplesTo(0.1) - samplesTo(0.9);
  const fallS = fallSamples / samplesPerS;
  // A second-order system turns first after 2.8 times its fall from 90 to 10 % at damping 0.1, 2.1 times at 0.7 (computed);
  // what turns later is the pulse.
  const turnsAt = (firstCrossing + (kept[0]?.at ?? 0)) / finer;
  const share = Math.abs(kept[0]?.off ?? 0) / step;
  if (fallSamples > 1.5 && share < 0.3 && turnsAt > (share > 0.15 ? 3.4 : 2.6) * fallSamples) kept.length = 0;
  const turns = kept.map(({ at, off: offMmHg }) => ({
    atS: (from + (firstCrossing + at) / finer) / samplesPerS,
    offMmHg,
  }));
  const lowest = Math.min(...pressures.subarray(from, to));
  if (cutsOffBelowMmHg !== null && turns.length > 0 && lowest <= cutsOffBelowMmHg) {
    return { measured: 'cannot tell', because: 'clipped' };
  }
  const heights = turns.map(({ offMmHg }) => Math.abs(offMmHg));
  const [first] = heights;
  const [firstTurn, lastTurn] = [turns[0], turns.at(-1)];
  const noRinging: MeasuredFlush = {
    measured: 'no ringing',
    dampingAtLeast: Math.min(0.7, dampingAt(Math.max(least, first ?? 0) / Math.max(step, least * 1.01))),
    fallMs: 1000 * fallS,
  };
  if (first === undefined || !firstTurn || !lastTurn) return noRinging;
  const swingsMmHg = heights.slice(1).map((height, i) => height + (heights[i] ?? 0));
  const [tall, small] = swingsMmHg;
  // A recorder that cuts off the plateau hides how far the pressure really fell; valves shut a little slowly.
  const isCut = cutsOffAboveMmHg !== null && flush.plateauMmHg >= cutsOffAboveMmHg - 1;
  const byStep = isCut ? null : { ratio: first / step, shareOff: errorMmHg / first + 0.1 };
  const bySwings =
    tall === undefined || small === undefined
      ? null
      : { ratio: usualRatio(swingsMmHg), shareOff: errorMmHg / small + errorMmHg / tall };
  const [byStepValue, bySwingsValue] = [byStep, bySwings].map((by) =>
    by === null ? Number.NaN : dampingAt(by.ratio),
  );
  // Two ways that disagree: a few low turns can be the pulse itself; tall or many cannot, and then the valve shut slowly.
  const disagree = Math.abs((byStepValue ?? Number.NaN) - (bySwingsValue ?? Number.NaN)) > 0.08;
  const couldBePulse = turns.length < 4 && first < 1.5 * around.pulseMmHg;
  const takesSwings =
    bySwings !== null &&
    (byStep === null || (disagree ? !couldBePulse : bySwings.shareOff <= byStep.shareOff));
  const taken = takesSwings ? bySwings : byStep;
  if (taken === null) return { measured: 'cannot tell', because: 'clipped' };
  const { ratio, shareOff } = taken;
  if (!(ratio < 1)) return { measured: 'cannot tell', because: 'does not die down' };
  const halves = takesSwings ? turns.length - 1 : 0;
  const value = dampingAt(ratio);
  const others = disagree ? [byStepValue ?? value, bySwingsValue ?? value] : [value];
  // The pulse under it shifts a low second turn: then the first turn's distance from the middle of the fall says more.
  const fallenS = (from + samplesTo(0.5)) / samplesPerS;
  const halfS =
    halves > 0
      ? (lastTurn.atS - firstTurn.atS) / halves
      : (firstTurn.atS - fallenS) / (1 - middleOfFall(value));
  const ringingHz = 1 / (2 * halfS);
  // Natural frequency × fall from 90 to 10 % is 0.26 to 0.37 at damping 0.5 to 0.8 (computed); less is the pulse's doing.
  if (!takesSwings && value > 0.5 && naturalFrequencyHz(ringingHz, value) * fallS < 0.25) return noRinging;
  if (ringingHz > samplesPerS / 4 || (samplesPerS < 100 && fallSamples < 1.1))
    return { measured: 'cannot tell', because: 'sampled too slowly' };
  const damping = {
    value,
    low: Math.min(...others, dampingAt(ratio * (1 + shareOff))),
    // A low single turn may be the pulse under a line that does not ring at all (measured, docs/strip-accuracy.md).
    high:
      turns.length === 1 && value > 0.6
        ? 1.2
        : Math.max(...others, dampingAt(ratio * Math.max(0.05, 1 - shareOff))),
  };
  // Half a sample at either end of what was measured; the pulse under it shifts a single turn most.
  const halfOff = 0.5 / samplesPerS / (halfS * Math.max(1, halves)) + (halves > 0 ? 0.05 / halves : 0.15);
  const natural = (ringing: number, coefficient: number) =>
    naturalFrequencyHz(ringing, Math.min(0.95, coefficient));
  return {
    measured: 'ringing',
    turns,
    swingsMmHg,
    periodS: 2 * halfS,
    fallMs: 1000 * fallS,
    ringingHz,
    damping,
    dampingFrom: takesSwings ? 'successive swings' : 'first turn against the step',
    naturalHz: {
      value: natural(ringingHz, damping.value),
      low: natural(ringingHz * (1 - Math.min(0.9, halfOff)), damping.low),
      high: natural(ringingHz * (1 + halfOff), damping.high),
    },
  };
}
