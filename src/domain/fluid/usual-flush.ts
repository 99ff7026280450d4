import type { WardPolicy } from '../policy/ward-policy.ts';

/** Below this weight an animal is a small one, from the second on a large one, kg: common practice, no source. */
export const flushWeightKg = { small: 5, large: 15 } as const;

/**
 * What the ward has set as the usual volume of a flush by hand in an animal of this weight (kg), mL. It is taken where
 * nobody records another volume. Veterinary texts give 0.5 to 1 mL (from memory); the bands are common practice, no source.
 *
 * Example: default policy, a cat of 4 kg → 0.5 mL; a dog of 28 kg → 2 mL.
 */
export function usualFlushMl(
  policy: Pick<WardPolicy, 'usualFlushSmallMl' | 'usualFlushMiddleMl' | 'usualFlushLargeMl'>,
  weightKg: number,
): number {
  if (weightKg < flushWeightKg.small) return policy.usualFlushSmallMl;
  return weightKg < flushWeightKg.large ? policy.usualFlushMiddleMl : policy.usualFlushLargeMl;
}

/**
 * The largest flush by hand in an animal of this weight (kg) that nobody need look at again, mL: a volume typed ten or forty times
 * too large is likelier a slip, and a large one can carry air or clot up the artery. How many times the usual is the ward's:
 * common practice, no source.
 *
 * Example: default policy, a cat of 4 kg → 2 mL; a dog of 28 kg → 8 mL.
 */
export function flushAskAboveMl(
  policy: Parameters<typeof usualFlushMl>[0] & Pick<WardPolicy, 'flushAskAboveTimes'>,
  weightKg: number,
): number {
  return usualFlushMl(policy, weightKg) * policy.flushAskAboveTimes;
}
