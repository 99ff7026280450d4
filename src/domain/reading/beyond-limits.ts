import type { WardPolicy } from '../policy/ward-policy.ts';
import { type Pressures, reckonedMeanMmHg } from './plausibility.ts';

/** A pressure that the ward has agreed a clinician hears of, mmHg. */
export interface BeyondLimit {
  what: 'mean' | 'systolic';
  mmHg: number;
  limitMmHg: number;
  /** The mean was reckoned from the other two. */
  isReckoned: boolean;
}

/**
 * What of a reading lies beyond the ward's limits; empty when nothing does. Where no mean was told it is reckoned. The
 * limits are the ward's. They ship as mean 60: AAHA 2020 (JAAHA 2020;56:59-82) calls a mean below 60 to 70 hypotension
 * under anaesthesia; systolic 180: severe hypertension in conscious animals, ACVIM 2018 (doi:10.1111/jvim.15331).
 */
export function beyondLimits(pressures: Pressures, policy: WardPolicy): BeyondLimit[] {
  // Compared as it is shown: a whole number.
  const mean = Math.round(pressures.mapMmHg ?? reckonedMeanMmHg(pressures));
  const { mapTellBelowMmHg, sapTellAboveMmHg } = policy;
  const isReckoned = pressures.mapMmHg === undefined;
  return [
    ...(mean < mapTellBelowMmHg
      ? [{ what: 'mean' as const, mmHg: mean, limitMmHg: mapTellBelowMmHg, isReckoned }]
      : []),
    ...(pressures.sapMmHg > sapTellAboveMmHg
      ? [
          {
            what: 'systolic' as const,
            mmHg: pressures.sapMmHg,
            limitMmHg: sapTellAboveMmHg,
            isReckoned: false,
          },
        ]
      : []),
  ];
}
