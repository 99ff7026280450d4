/** Conventional millimetre of mercury in pascal: 13.5951 g/cm³ × 9.80665 m/s² × 1 mm (definition). */
const mmHgPa = 133.322387415;
const gravityMPerS2 = 9.80665;

/** Density of 0.9 % saline, which fills the line, kg/m³. */
export const salineKgPerM3 = 1004.6;

/** Pressure of a column of fluid one centimetre high, mmHg. Saline: 0.739; conventional water (1000 kg/m³): 0.7356. */
export function mmHgPerCm(densityKgPerM3: number = salineKgPerM3): number {
  return (densityKgPerM3 * gravityMPerS2 * 0.01) / mmHgPa;
}

/**
 * By how much the monitor reads too high (positive) or too low (negative), mmHg, when the transducer stands
 * `belowHeartCm` below the level of the heart (negative: above): displayed = true + density × g × height.
 *
 * Example: 10 cm below in conventional water → 7.36 mmHg too high.
 */
export function levelErrorMmHg(belowHeartCm: number, densityKgPerM3: number = salineKgPerM3): number {
  return belowHeartCm * mmHgPerCm(densityKgPerM3);
}

/** Pressures as the monitor showed them, mmHg; the mean only where it was recorded. */
export interface ShownPressures {
  sapMmHg: number;
  dapMmHg: number;
  mapMmHg?: number | undefined;
}

/** What the pressures were at the level of the heart, whole mmHg. */
export function atHeartLevel(
  shown: ShownPressures,
  belowHeartCm: number,
  densityKgPerM3: number = salineKgPerM3,
): ShownPressures {
  const error = levelErrorMmHg(belowHeartCm, densityKgPerM3);
  const right = (mmHg: number) => Math.round(mmHg - error);
  return {
    sapMmHg: right(shown.sapMmHg),
    dapMmHg: right(shown.dapMmHg),
    ...(shown.mapMmHg === undefined ? {} : { mapMmHg: right(shown.mapMmHg) }),
  };
}
