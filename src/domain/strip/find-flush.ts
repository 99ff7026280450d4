import { quantile } from './smoothing.ts';

/** A fast flush on a strip, by sample numbers. */
export interface FoundFlush {
  opensAt: number;
  /** The last sample on the plateau: the valve lets go. */
  releasedAt: number;
  plateauMmHg: number;
  /** From here to before `restTo` the pulse is not to be read. */
  restFrom: number;
  restTo: number;
}

/** Shortest and longest plateau, s; the ringing after it is given so long to die down (own rules). */
const shortestS = 0.15;
const longestS = 20;
const settleS = 1.2;

/** Usual highest and lowest pressure: medians of the extremes of windows of 2 s, which one flush cannot move. */
export function usualExtremes(pressures: Float64Array, samplesPerS: number): { high: number; low: number } {
  const width = Math.min(pressures.length, Math.round(2 * samplesPerS));
  const [highs, lows]: [number[], number[]] = [[], []];
  for (let from = 0; from + width <= pressures.length; from += Math.max(1, Math.round(samplesPerS / 2))) {
    let [high, low] = [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
    for (let i = from; i < from + width; i += 1) {
      const p = pressures[i] ?? 0;
      if (p > high) high = p;
      if (p < low) low = p;
    }
    highs.push(high);
    lows.push(low);
  }
  return { high: quantile(highs, 0.5), low: quantile(lows, 0.5) };
}

/**
 * Fast flushes on a strip (pressures in mmHg, none missing): the pressure stays on a plateau well above the usual systolic
 * for 0.15 to 20 s and then falls. A plateau at the very end of the strip has no release and is not one.
 */
export function findFlushes(pressures: Float64Array, samplesPerS: number): FoundFlush[] {
  const { high, low } = usualExtremes(pressures, samplesPerS);
  const limit = high + Math.max(25, 0.5 * (high - low));
  const bridge = Math.round(0.06 * samplesPerS);
  const found: FoundFlush[] = [];
  let from = -1;
  let last = -1;
  for (let i = 0; i <= pressures.length; i += 1) {
    if (i < pressures.length && (pressures[i] ?? 0) > limit) {
      if (from < 0) from = i;
      last = i;
      continue;
    }
    if (from < 0 || (i < pressures.length && i - last <= bridge)) continue;
    const flush = flushWithin(pressures, { samplesPerS, from, last, limit });
    if (flush !== null) found.push(flush);
    from = -1;
  }
  return found;
}

function flushWithin(
  pressures: Float64Array,
  { samplesPerS, from, last, limit }: { samplesPerS: number; from: number; last: number; limit: number },
): FoundFlush | null {
  const lengthS = (last - from) / samplesPerS;
  if (lengthS < shortestS || lengthS > longestS || last >= pressures.length - 0.2 * samplesPerS) return null;
  const inner = pressures.subarray(from + Math.floor((last - from) * 0.3), last);
  const [q1, plateauMmHg, q3] = [quantile(inner, 0.25), quantile(inner, 0.5), quantile(inner, 0.75)];
  // A movement or a cough is no plateau.
  if (q3 - q1 > 5 + 0.15 * (plateauMmHg - limit)) return null;
  let releasedAt = last;
  const foot = plateauMmHg - Math.max(3, 0.03 * (plateauMmHg - limit));
  while (releasedAt > from && (pressures[releasedAt] ?? 0) < foot) releasedAt -= 1;
  return {
    opensAt: from,
    releasedAt,
    plateauMmHg,
    restFrom: Math.max(0, from - Math.round(0.15 * samplesPerS)),
    restTo: Math.min(pressures.length, last + Math.round(settleS * samplesPerS)),
  };
}
