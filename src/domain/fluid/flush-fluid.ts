import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';

const dayMs = 24 * 3_600_000;

/** What flushing gives the animal in a day; null where what it hangs on was not told. */
export interface FlushFluid {
  /** Fluid, mL per kg and day. */
  mlPerKgPerDay: number | null;
  /** Share of a day's maintenance, %. */
  maintenancePercent: number | null;
  /** Heparin, units per kg and day. */
  heparinUPerKgPerDay: number | null;
  /** Whether one of them is above the ward's limit. */
  isMuch: boolean;
}

type Flushed = Pick<LineState, 'flushMode' | 'flushModeSince' | 'source' | 'patient' | 'handFlushes'>;

/**
 * Fluid a continuous flush gives the animal, mL per kg and day; null in manual mode or where the rate is not known.
 * `rate (mL/h) × 24 / weight (kg)`.
 *
 * Example: 3 mL/h in a cat of 2.5 kg is 28.8 mL/kg/day, about half of what it needs in all.
 */
export function flushMlPerKgPerDay(line: Pick<LineState, 'flushMode' | 'source' | 'patient'>): number | null {
  const rateMlPerH = line.source?.rateMlPerH;
  if (line.flushMode !== 'continuous' || rateMlPerH === undefined) return null;
  return (rateMlPerH * 24) / line.patient.weightKg;
}

/** Volume of hand flushes told in the 24 h before `now` (ms), mL. */
export function handFlushedMl({ handFlushes }: Pick<LineState, 'handFlushes'>, now: number): number {
  return handFlushes
    .filter(({ at }) => at > now - dayMs && at <= now)
    .reduce((sum, { volumeMl }) => sum + volumeMl, 0);
}

/**
 * What flushing gives in a day: at its rate where it is continuous, and the hand flushes of the last 24 h. Heparin is
 * `concentration (U/mL) × volume`, with the concentration told of the source. It counts into the fluid plan: in two
 * children's ICUs fluid given only to keep devices open reached 20 % or more of hourly intake on a third of patient-days
 * (Gaetani et al., PLoS ONE 2024, doi:10.1371/journal.pone.0309650). The limit for heparin is the ward's: no source.
 *
 * Example: 3 mL/h of 1 U/mL in 4 kg → 18 mL/kg/day, 18 U/kg/day, 36 % of a maintenance of 50 mL/kg/day.
 */
export function flushFluid(line: Flushed, policy: WardPolicy, now: number): FlushFluid {
  const byHand = handFlushedMl(line, now) / line.patient.weightKg;
  const atRate = flushMlPerKgPerDay(line);
  const mlPerKgPerDay = atRate === null && byHand === 0 ? null : (atRate ?? 0) + byHand;
  // A bag that fed the line before it was flushed by hand is not what it is flushed from now.
  const isInUse = line.flushMode === 'continuous' || (line.source?.asOf ?? 0) >= line.flushModeSince;
  const heparin = isInUse ? line.source?.heparinUPerMl : undefined;
  const maintenancePercent =
    mlPerKgPerDay === null ? null : (mlPerKgPerDay / policy.maintenanceMlPerKgDay) * 100;
  const heparinUPerKgPerDay =
    mlPerKgPerDay === null || heparin === undefined ? null : mlPerKgPerDay * heparin;
  return {
    mlPerKgPerDay,
    maintenancePercent,
    heparinUPerKgPerDay,
    isMuch:
      (maintenancePercent ?? 0) > policy.flushWarnPercent ||
      (heparinUPerKgPerDay ?? 0) > policy.heparinWarnUPerKgDay,
  };
}
