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

/** When a step response is half way, as a share of the time to its first turn (half a period); damping below 1. */
export function middleOfFall(damping: number): number {
  const zeta = Math.min(0.95, damping);
  const wd = Math.sqrt(1 - zeta * zeta);
  let [low, high] = [0, Math.PI / wd];
  for (let i = 0; i < 40; i += 1) {
    const x = (low + high) / 2;
    const left = Math.exp(-zeta * x) * (Math.cos(wd * x) + (zeta / wd) * Math.sin(wd * x));
    if (left > 0.5) low = x;
    else high = x;
  }
  return (low * wd) / Math.PI;
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
