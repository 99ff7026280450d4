import { type Pressures, reckonedMeanMmHg } from './plausibility.ts';

function tenths(mmHg: number): number {
  return Math.round(mmHg * 10) / 10;
}

/** The largest difference within which 4 of 5 pairs of a good device lie, mmHg. */
export const agreementLimitMmHg = 20;

/** How far a line and a cuff that were read at the same time are apart. */
export interface CuffDifference {
  /** Line less cuff, mmHg: above 0 the line reads higher. */
  sapMmHg: number | null;
  dapMmHg: number | null;
  mapMmHg: number | null;
  /** Whether one of them is further off than `agreementLimitMmHg`. */
  isWide: boolean;
}

/**
 * Line less cuff. ACVIM criteria for a device: bias within 10, SD within 15 mmHg, half of the pairs within 10 and 80 % within
 * 20 mmHg (Brown et al., JVIM 2007;21:542-558, from memory). One pair proves nothing: with the SD of 13 to 22 mmHg found
 * in cats (JAVMA 2010;237:402-406) chance alone makes gaps of 25 to 40. Three pairs and a fast-flush test come before blame.
 *
 * Example: line 118/64, cuff 92/60 → 26 and 4, wide.
 */
export function cuffDifference(
  shown: Pressures,
  cuff: { [Which in keyof Pressures]?: number | undefined },
): CuffDifference {
  // A mean that was not recorded is reckoned, so that a cuff's mean is compared at all.
  const line = { ...shown, mapMmHg: shown.mapMmHg ?? Math.round(reckonedMeanMmHg(shown)) };
  const less = (key: keyof Pressures) => {
    const other = cuff[key];
    return other === undefined ? null : tenths(line[key] - other);
  };
  const differences = { sapMmHg: less('sapMmHg'), dapMmHg: less('dapMmHg'), mapMmHg: less('mapMmHg') };
  const isWide = Object.values(differences).some(
    (mmHg) => mmHg !== null && Math.abs(mmHg) > agreementLimitMmHg,
  );
  return { ...differences, isWide };
}
