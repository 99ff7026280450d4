/**
 * Undamped natural frequency fn, Hz, of a line that rings at `ringingHz` (above 0) with a damping coefficient of at least
 * 0 and below 1: `fn = fd / sqrt(1 - ζ²)`, the second-order system. Anything else throws a RangeError: a line that rings
 * has a damping below 1. Textbooks print fd as "natural frequency"; the difference is 0.6 % at 0.11 and 8 % at 0.4.
 *
 * Example: 14.706 Hz at 0.1091 → 14.794 Hz.
 */
export function naturalFrequencyHz(ringingHz: number, damping: number): number {
  if (!(ringingHz > 0) || !(damping >= 0 && damping < 1)) {
    throw new RangeError(
      `Ringing ${ringingHz} Hz must be above 0 and damping ${damping} at least 0 and below 1; check them at the door.`,
    );
  }
  return ringingHz / Math.sqrt(1 - damping * damping);
}
