/**
 * How fast the line rings after a fast flush (damped frequency fd), Hz: `paper speed (mm/s) / length of one cycle (mm)`.
 * Both must be above 0; anything else is a bug of the caller and throws a RangeError.
 *
 * Example: 25 mm/s and 1.7 mm → 14.7 Hz (Mark JB, Atlas of Cardiovascular Monitoring, Churchill Livingstone 1998,
 * Figs 9-9 and 9-10).
 */
export function ringingFrequencyHz(paperMmPerS: number, cycleMm: number): number {
  if (!(paperMmPerS > 0) || !(cycleMm > 0)) {
    throw new RangeError(
      `Paper speed ${paperMmPerS} mm/s and cycle ${cycleMm} mm must both be above 0; check them at the door.`,
    );
  }
  return paperMmPerS / cycleMm;
}
