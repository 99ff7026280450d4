import { z } from 'zod';
import type { WardPolicy } from '../policy/ward-policy.ts';

/** The three pressures of a line, as they are named in words. */
export const pressureNames = { sapMmHg: 'systolic', dapMmHg: 'diastolic', mapMmHg: 'mean' } as const;
/** One of the three pressures, mmHg. */
export type PressureKey = keyof typeof pressureNames;
/** The three pressures in the order they are said in. */
export const pressureKeys = Object.keys(pressureNames) as PressureKey[];

/** Pressures for which a target is believed, mmHg. */
export const targetRange = { min: 20, max: 250 } as const;

/** How long targets hold at most, ms: longer than that a clinician sets them anew. */
export const longestTargetsMs = 72 * 3_600_000;

const mmHg = z.number().min(targetRange.min).max(targetRange.max);
const span = z
  .object({ low: mmHg.optional(), high: mmHg.optional() })
  .refine(({ low, high }) => low === undefined || high === undefined || low < high, 'low below high');

/** What a clinician wants of one animal's pressures, mmHg: the lowest and the highest of each, where recorded. */
export const targetsSchema = z.object({
  sapMmHg: span.optional(),
  dapMmHg: span.optional(),
  mapMmHg: span.optional(),
});
/** The lowest and the highest wanted of each pressure, mmHg. */
export type Targets = z.infer<typeof targetsSchema>;

/** Targets as they were set. `until`: their end, ms; `endedAt`: when they were ended early, ms. */
export interface TargetsSet extends Targets {
  at: number;
  by: string;
  reason: string;
  until: number;
  endedAt: number | null;
  /** Number of the entry that set them. */
  entry: number;
}

/** Whether any limit is given at all. */
export function hasTargets(targets: Targets): boolean {
  return pressureKeys.some((key) => targets[key]?.low !== undefined || targets[key]?.high !== undefined);
}

/** The targets that hold at `atMs`; null where the ward's limits do. */
export function targetsInForce({ targets }: { targets: TargetsSet | null }, atMs: number): TargetsSet | null {
  return targets !== null && atMs < endOf(targets) ? targets : null;
}

/** When targets end, ms: at the time they were set to, or when somebody ended them. */
export function endOf({ until, endedAt }: TargetsSet): number {
  return endedAt === null ? until : Math.min(until, endedAt);
}

/** A pressure beyond which a clinician hears of a reading, and by whom it was set. */
export interface PressureLimit {
  mmHg: number;
  by: 'ward' | 'target';
}

/** The limits a reading is held against: of each pressure the lowest and the highest that call nobody, where there is one. */
export type PressureLimits = Record<PressureKey, { low: PressureLimit | null; high: PressureLimit | null }>;

/** The ward's own limits. */
export function wardLimits(policy: WardPolicy): PressureLimits {
  const ward = (value: number | null): PressureLimit | null =>
    value === null ? null : { mmHg: value, by: 'ward' };
  return {
    sapMmHg: { low: ward(policy.sapTellBelowMmHg), high: ward(policy.sapTellAboveMmHg) },
    dapMmHg: { low: ward(policy.dapTellBelowMmHg), high: null },
    mapMmHg: { low: ward(policy.mapTellBelowMmHg), high: null },
  };
}

/**
 * The limits of a line with targets: a pressure that has a target goes by it, low and high each by itself. A low target below
 * the ward's own limit says that a lower pressure is meant (permissive hypotension): then the ward's other low limits rest as
 * well, or they would call for what is wanted. Otherwise the ward's other limits stay.
 */
export function limitsWith(policy: WardPolicy, targets: Targets): PressureLimits {
  const ward = wardLimits(policy);
  const isLowerMeant = restsLows(policy, targets);
  const target = (mmHg: number | undefined): PressureLimit | null =>
    mmHg === undefined ? null : { mmHg, by: 'target' };
  const one = (key: PressureKey) => ({
    low: target(targets[key]?.low) ?? (isLowerMeant ? null : ward[key].low),
    high: target(targets[key]?.high) ?? ward[key].high,
  });
  return { sapMmHg: one('sapMmHg'), dapMmHg: one('dapMmHg'), mapMmHg: one('mapMmHg') };
}

/** Whether these targets let the ward's other low limits rest. */
export function restsLows(policy: WardPolicy, targets: Targets): boolean {
  const ward = wardLimits(policy);
  return pressureKeys.some((key) => {
    const [low, wards] = [targets[key]?.low, ward[key].low];
    return low !== undefined && wards !== null && low < wards.mmHg;
  });
}
