import type { WardPolicy } from '../policy/ward-policy.ts';
import { type Pressures, reckonedMeanMmHg } from './plausibility.ts';
import {
  limitsWith,
  type PressureKey,
  type PressureLimits,
  pressureNames,
  type TargetsSet,
  targetsInForce,
  wardLimits,
} from './targets.ts';

/** A pressure beyond what was agreed, of which a clinician hears, mmHg. */
export interface BeyondLimit {
  what: 'mean' | 'systolic' | 'diastolic';
  side: 'below' | 'above';
  mmHg: number;
  limitMmHg: number;
  /** Whose limit it is. */
  by: 'ward' | 'target';
  /** The mean was reckoned from the other two. */
  isReckoned: boolean;
}

/** The mean is named first: it is the pressure that the organs live on, and the last that a poor line falsifies. */
const order = ['mapMmHg', 'sapMmHg', 'dapMmHg'] as const satisfies readonly PressureKey[];

/** What of these pressures lies beyond limits; empty when nothing does. Where no mean was recorded it is reckoned. */
export function beyondLimits(pressures: Pressures, limits: PressureLimits): BeyondLimit[] {
  // Compared as it is shown: a whole number.
  const mean = Math.round(pressures.mapMmHg ?? reckonedMeanMmHg(pressures));
  return order.flatMap((key): BeyondLimit[] => {
    const isMean = key === 'mapMmHg';
    const mmHg = isMean ? mean : pressures[key];
    const about = {
      what: pressureNames[key],
      mmHg,
      isReckoned: isMean && pressures.mapMmHg === undefined,
    };
    const { low, high } = limits[key];
    if (low !== null && mmHg < low.mmHg)
      return [{ ...about, side: 'below', limitMmHg: low.mmHg, by: low.by }];
    if (high !== null && mmHg > high.mmHg)
      return [{ ...about, side: 'above', limitMmHg: high.mmHg, by: high.by }];
    return [];
  });
}

/**
 * What of a reading taken at `atMs` lies beyond the line's targets where it has some, else beyond the ward's limits. Targets
 * that were set after a reading can end what it called for; they call nobody by it, since whoever set them knew it.
 *
 * The ward's limits ship as mean 60, systolic 90, diastolic 40 mmHg: mean below 60 to 70, systolic below 80 to 90, diastolic
 * below 40 is hypotension under anaesthesia (AAHA 2020, JAAHA 2020;56:59-82); mean below 60 or systolic below 90 is usual in
 * practice (dvm360, a small-animal practice study); and systolic 180: severe hypertension in conscious animals, ACVIM 2018
 * (doi:10.1111/jvim.15331).
 */
export function beyondAt(
  pressures: Pressures,
  atMs: number,
  line: { targets: TargetsSet | null },
  policy: WardPolicy,
): BeyondLimit[] {
  const targets = targetsInForce(line, atMs);
  if (targets === null) return beyondLimits(pressures, wardLimits(policy));
  const beyondTargets = beyondLimits(pressures, limitsWith(policy, targets));
  if (atMs >= targets.at) return beyondTargets;
  return beyondLimits(pressures, wardLimits(policy)).length === 0 ? [] : beyondTargets;
}
