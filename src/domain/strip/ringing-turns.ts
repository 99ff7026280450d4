import { dampingOfHalfCycle } from '../dynamic-response/damping-coefficient.ts';

/** Turning points of a wave around 0: the furthest point of each stretch on one side, as long as it stands out. */
export function turnsOf(values: Float64Array, least: number): { at: number; off: number }[] {
  const found: { at: number; off: number }[] = [];
  let best = -1;
  for (let i = 0; i <= values.length; i += 1) {
    const v = values[i] ?? 0;
    const b = values[best] ?? 0;
    const sameSide = best >= 0 && i < values.length && Math.sign(v) === Math.sign(b);
    if (sameSide) {
      if (Math.abs(v) > Math.abs(b)) best = i;
      continue;
    }
    if (best >= 0) {
      // A stretch that is cut by the end has no turning point of its own.
      if (Math.abs(b) < least || best >= values.length - 1) break;
      found.push({ at: best, off: b });
    }
    best = i;
  }
  return found;
}

/** Half-cycle damping of a ratio, 0.005 to 0.995: outside it says nothing. */
export function dampingAt(ratio: number): number {
  const found = dampingOfHalfCycle(Math.min(0.995, Math.max(0.005, ratio)));
  return found.found === 'nothing' ? 0 : found.damping;
}

/** Ratio of successive heights by a straight line through their logarithms, the tall ones counting most. */
export function usualRatio(heights: readonly number[]): number {
  let [w, x, y, xx, xy] = [0, 0, 0, 0, 0];
  for (const [i, height] of heights.entries()) {
    const weight = height * height;
    w += weight;
    x += weight * i;
    y += weight * Math.log(height);
    xx += weight * i * i;
    xy += weight * i * Math.log(height);
  }
  return Math.exp((w * xy - x * y) / (w * xx - x * x));
}

/** When a second-order step response has this share of the step left, in radians of the natural frequency; damping below 1. */
function leftAt(share: number, damping: number): number {
  const wd = Math.sqrt(1 - damping * damping);
  let [low, high] = [0, Math.PI / wd];
  for (let i = 0; i < 40; i += 1) {
    const x = (low + high) / 2;
    const left = Math.exp(-damping * x) * (Math.cos(wd * x) + (damping / wd) * Math.sin(wd * x));
    if (left > share) low = x;
    else high = x;
  }
  return low;
}

/** The formulas are those of a line that swings over: above this it hardly does. */
const mostDamping = 0.95;

/** When a step response is half way, as a share of the time to its first turn (half a period). */
export function middleOfFall(damping: number): number {
  const zeta = Math.min(mostDamping, damping);
  return (leftAt(0.5, zeta) * Math.sqrt(1 - zeta * zeta)) / Math.PI;
}

/** How long a line of this natural frequency, Hz, and damping takes to fall from 90 to 10 % of a step, s, if the valve shuts at once. */
export function fallOfLineS(naturalHz: number, damping: number): number {
  const zeta = Math.min(mostDamping, damping);
  return (leftAt(0.1, zeta) - leftAt(0.9, zeta)) / (2 * Math.PI * naturalHz);
}

/**
 * The turns that belong to one ringing: each lower than the one before, and half a period after it, as the first is after
 * the release. What does not fit is the pulse or a movement.
 */
export function ofOneRinging(
  turns: readonly { at: number; off: number }[],
  firstAfter: number,
): { at: number; off: number }[] {
  let half = firstAfter;
  const kept: { at: number; off: number }[] = [];
  for (const turn of turns) {
    const before = kept.at(-1);
    if (before !== undefined) {
      const gap = turn.at - before.at;
      if (gap < 0.6 * half || gap > 1.6 * half || Math.abs(turn.off) >= Math.abs(before.off)) break;
      half = kept.length === 1 ? gap : 0.5 * (half + gap);
    }
    kept.push(turn);
  }
  return kept;
}
