import { linesOfAnimal } from '../animal/animal.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { dayMs } from '../time.ts';
import { usualFlushMl } from './usual-flush.ts';

/** What flushing gives by one line in a day: plain sums, so that those of an animal's lines can be added up. */
export interface FlushGiven {
  /** At the rate of a continuous flush, mL in a day; null where there is none or its rate is not known. */
  atRateMl: number | null;
  /** Flushes by hand in the last 24 h, mL; one of which no volume was recorded counts as the ward's usual one. */
  byHandMl: number;
  /** How many those are of which no volume was recorded. */
  withoutVolume: number;
  /** Heparin of both, units; null where nobody said how much is in the flush. */
  heparinU: number | null;
}

/** What flushing gives an animal in a day; null where what it hangs on was not recorded. */
export interface FlushFluid {
  /** Fluid, mL per kg and day. */
  mlPerKgPerDay: number | null;
  /** Share of a day's maintenance, %. */
  maintenancePercent: number | null;
  /** Heparin, units per kg and day. */
  heparinUPerKgPerDay: number | null;
  /** Flushes of the last 24 h counted with the usual volume, since none was recorded. */
  withoutVolume: number;
  /** Whether the fluid is above the ward's limit, and whether the heparin is. */
  isMuchFluid: boolean;
  isMuchHeparin: boolean;
}

type Flushed = Pick<
  LineState,
  'flushMode' | 'flushModeSince' | 'source' | 'patient' | 'handFlushes' | 'removed'
>;

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

/**
 * What the line is flushed with now: the source in use; null where none is. A bag that fed the line before it was flushed
 * by hand is not what it is flushed from now.
 */
export function sourceInUse(
  line: Pick<LineState, 'flushMode' | 'flushModeSince' | 'source'>,
): LineState['source'] {
  const { flushMode, flushModeSince, source } = line;
  return source && (flushMode === 'continuous' || source.asOf >= flushModeSince) ? source : null;
}

/**
 * What flushing by this line gives in a day: at its rate where it is continuous, and the flushes by hand of the 24 h before
 * `now` (ms), each with the heparin (U/mL) that was in the flush when it was given.
 */
export function flushGiven(line: Flushed, policy: WardPolicy, now: number): FlushGiven {
  const usualMl = usualFlushMl(policy, line.patient.weightKg);
  const byHand = line.handFlushes.filter(({ at }) => at > now - dayMs && at <= now);
  const perKg = line.removed ? null : flushMlPerKgPerDay(line);
  const atRateMl = perKg === null ? null : perKg * line.patient.weightKg;
  const inUse = sourceInUse(line)?.heparinUPerMl;
  const heparin = [
    ...(atRateMl === null || inUse === undefined ? [] : [atRateMl * inUse]),
    ...byHand.flatMap(({ volumeMl, heparinUPerMl }) =>
      heparinUPerMl === null ? [] : [(volumeMl ?? usualMl) * heparinUPerMl],
    ),
  ];
  return {
    atRateMl,
    byHandMl: byHand.reduce((sum, { volumeMl }) => sum + (volumeMl ?? usualMl), 0),
    withoutVolume: byHand.filter(({ volumeMl }) => volumeMl === null).length,
    heparinU: heparin.length === 0 ? null : heparin.reduce((sum, units) => sum + units, 0),
  };
}

/**
 * What all of an animal's flushing comes to, per kg of its weight, against the ward's limits. It counts into the fluid plan:
 * in two children's ICUs fluid given only to keep devices open reached 20 % or more of hourly intake on a third of
 * patient-days (Gaetani et al., PLoS ONE 2024, doi:10.1371/journal.pone.0309650). The limit for heparin is the ward's: no
 * source.
 *
 * Example: 3 mL/h of 1 U/mL in 4 kg → 18 mL/kg/day, 18 U/kg/day, 36 % of a maintenance of 50 mL/kg/day.
 */
export function flushFluidOf(given: readonly FlushGiven[], weightKg: number, policy: WardPolicy): FlushFluid {
  const perKg = (amounts: readonly (number | null)[]) => {
    const known = amounts.filter((amount) => amount !== null);
    return known.length === 0 ? null : known.reduce((sum, amount) => sum + amount, 0) / weightKg;
  };
  const mlPerKgPerDay = perKg(
    given.flatMap(({ atRateMl, byHandMl }) => [atRateMl, byHandMl === 0 ? null : byHandMl]),
  );
  const heparinUPerKgPerDay = perKg(given.map(({ heparinU }) => heparinU));
  const maintenancePercent =
    mlPerKgPerDay === null ? null : (mlPerKgPerDay / policy.maintenanceMlPerKgDay) * 100;
  return {
    mlPerKgPerDay,
    maintenancePercent,
    heparinUPerKgPerDay,
    withoutVolume: given.reduce((sum, { withoutVolume }) => sum + withoutVolume, 0),
    isMuchFluid: (maintenancePercent ?? 0) > policy.flushWarnPercent,
    isMuchHeparin: (heparinUPerKgPerDay ?? 0) > policy.heparinWarnUPerKgDay,
  };
}

/** What flushing gives the animal of this line in a day, by this line and by every other that it has or had in this stay. */
export function flushFluid(line: LineState, policy: WardPolicy, now: number): FlushFluid & { lines: number } {
  const { patient } = line;
  const given = linesOfAnimal(line).map((one) => flushGiven({ ...one, patient }, policy, now));
  const lines = given.filter(({ atRateMl, byHandMl }) => atRateMl !== null || byHandMl > 0).length;
  return { ...flushFluidOf(given, patient.weightKg, policy), lines };
}
