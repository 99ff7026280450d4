import { type Excursion, usualBand } from './excursions.ts';
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

/** Shortest and longest plateau, s; how quickly it is reached and left, s; how long the ringing is given at least (own rules). */
const shortestS = 0.15;
const longestS = 20;
const edgeS = 0.15;
const settleS = 1.2;

/**
 * Fast flushes among the excursions of a strip (pressures in mmHg, none missing): the pressure goes up to a plateau well
 * above the usual systolic at once, stays for 0.15 to 20 s, ringing or not, and falls at once. A plateau at the very end of
 * the strip has no release and is not one.
 */
export function findFlushes(
  pressures: Float64Array,
  samplesPerS: number,
  excursions: readonly Excursion[],
): FoundFlush[] {
  const { high, low } = usualBand(pressures, samplesPerS);
  const limit = high + Math.max(25, 0.5 * (high - low));
  return excursions
    .filter(({ kind }) => kind !== 'level')
    .flatMap((one) => {
      const flush = flushWithin(pressures, { samplesPerS, limit, usual: (high + low) / 2 }, one);
      return flush === null ? [] : [flush];
    });
}

function flushWithin(
  pressures: Float64Array,
  { samplesPerS, limit, usual }: { samplesPerS: number; limit: number; usual: number },
  { from: restFrom, to: restTo }: Excursion,
): FoundFlush | null {
  const above: number[] = [];
  for (let i = restFrom; i < restTo; i += 1) if ((pressures[i] ?? 0) > limit) above.push(i);
  const [opensAt] = above;
  if (opensAt === undefined) return null;
  // A line that hardly damps swings above the plateau before and after: the middle of what is high is the plateau.
  const heights = above.map((i) => pressures[i] ?? 0);
  const rough = quantile(heights, 0.6);
  const nearIt = above.filter((i) => (pressures[i] ?? 0) > rough - 0.15 * (rough - usual));
  const last = nearIt.at(-1) ?? opensAt;
  const inner = pressures.subarray(opensAt + Math.floor((last - opensAt) * 0.3), last + 1);
  const plateauMmHg = quantile(inner, 0.5);
  const lengthS = (last - opensAt) / samplesPerS;
  if (lengthS < shortestS || lengthS > longestS || last >= pressures.length - 0.2 * samplesPerS) return null;
  // A movement or a cough is no plateau: most of it must be high, and both its ends steep.
  const share =
    inner.filter((p) => Math.abs(p - plateauMmHg) < 0.3 * (plateauMmHg - usual)).length / inner.length;
  if (share < 0.6) return null;
  const half = usual + 0.5 * (plateauMmHg - usual);
  const nine = usual + 0.8 * (plateauMmHg - usual);
  const crossed = (at: number, by: number, level: number) => {
    let i = at;
    while (i > 0 && i < pressures.length - 1 && (pressures[i] ?? 0) > level) i += by;
    return i;
  };
  const reached = above.find((i) => (pressures[i] ?? 0) > nine) ?? opensAt;
  const rise = reached - crossed(reached, -1, half);
  const fallen = crossed(last, 1, half);
  if (rise > edgeS * samplesPerS || fallen - last > edgeS * samplesPerS) return null;
  let releasedAt = fallen;
  const foot = plateauMmHg - Math.max(3, 0.03 * (plateauMmHg - limit));
  while (releasedAt > opensAt && (pressures[releasedAt] ?? 0) < foot) releasedAt -= 1;
  return {
    opensAt,
    releasedAt,
    plateauMmHg,
    restFrom,
    restTo: Math.min(pressures.length, Math.max(restTo, releasedAt + Math.round(settleS * samplesPerS))),
  };
}
