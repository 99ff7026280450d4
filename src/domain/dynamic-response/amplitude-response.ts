function checked(relativeFrequency: number, damping: number): void {
  if (!(relativeFrequency >= 0) || !(damping > 0)) {
    throw new RangeError(
      `Relative frequency ${relativeFrequency} must be at least 0 and damping ${damping} above 0; check them at the door.`,
    );
  }
}

/**
 * How much larger a second-order system shows a sine than it is: 1 is true, 2 twice as large. `relativeFrequency` is
 * `u = f / fn` (at least 0), `damping` ζ (above 0; otherwise a RangeError): `1 / sqrt((1 - u²)² + (2ζu)²)`.
 *
 * Example: at the natural frequency itself it is 1/(2ζ), so 2.5 at damping 0.2.
 */
export function amplitudeResponse(relativeFrequency: number, damping: number): number {
  checked(relativeFrequency, damping);
  const u = relativeFrequency;
  return 1 / Math.hypot(1 - u * u, 2 * damping * u);
}

/**
 * By how much a second-order system shows a sine late, radian from 0 to π: `atan2(2ζu, 1 - u²)`; arguments and errors as
 * for `amplitudeResponse`.
 *
 * Example: π/2 (90°) at the natural frequency, whatever the damping.
 */
export function phaseLagRad(relativeFrequency: number, damping: number): number {
  checked(relativeFrequency, damping);
  const u = relativeFrequency;
  return Math.atan2(2 * damping * u, 1 - u * u);
}
