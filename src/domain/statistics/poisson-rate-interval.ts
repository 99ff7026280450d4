import { gammaQuantile } from './gamma-distribution.ts';
import { assertLevel, type Interval, usualLevel } from './interval.ts';

/** A rate with its interval, per so much exposure. */
export interface Rate extends Interval {
  events: number;
  exposure: number;
  /** Exposure that the figures are given for: 100 where they are events per 100 line-days. */
  per: number;
  rate: number;
}

/**
 * Rate of events over an exposure with its exact two-sided interval (Garwood F, Biometrika 1936;28:437-442):
 * `lower = χ²(α/2; 2k) / 2` (0 where k = 0), `upper = χ²(1 − α/2; 2k + 2) / 2`, over the exposure, times `per`. Other methods
 * give other limits: name this one wherever it is shown. Throws a RangeError unless `events` is a whole number from 0 up to
 * 999 999, exposure and `per` are above 0 and finite, and 0 < level < 1.
 *
 * Example: 3 events in 41.5 days, per 1000 days → 72.3 (14.9 to 211.3).
 */
export function poissonRateInterval(
  events: number,
  exposure: number,
  { per = 1, level = usualLevel }: { per?: number; level?: number } = {},
): Rate {
  if (!Number.isInteger(events) || events < 0 || events > 999_999)
    throw new RangeError(
      `A rate of ${events} events was asked for; whole numbers from 0 to 999999 are allowed.`,
    );
  for (const [name, value] of [
    ['exposure', exposure],
    ['unit of exposure', per],
  ] as const)
    if (!(value > 0 && value < Number.POSITIVE_INFINITY))
      throw new RangeError(`A rate's ${name} was ${value}; a finite number above 0 is allowed.`);
  assertLevel(level);
  const tail = (1 - level) / 2;
  const scale = per / exposure;
  return {
    events,
    exposure,
    per,
    rate: events * scale,
    lower: events === 0 ? 0 : gammaQuantile(tail, events) * scale,
    upper: gammaQuantile(1 - tail, events + 1) * scale,
  };
}
