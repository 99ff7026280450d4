import { type BleedingRisk, bleedingRisk } from '../placing/bleeding-risk.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { sourceInUse } from './flush-fluid.ts';
import { flushWeightKg } from './usual-flush.ts';

/**
 * The strongest heparin (U/mL) that goes into the flush of an animal of this weight (kg) without a second look at the label.
 * 1 U/mL is what keeps lines open longer in people (DiBartola, Fluid, Electrolyte, and Acid-Base Disorders in Small Animal
 * Practice, p. 373); where to ask is the ward's: common practice, no source.
 *
 * Example: default policy, a cat of 4 kg → 1 U/mL; a dog of 28 kg → 5 U/mL.
 */
export function heparinAskAboveUPerMl(
  policy: Pick<WardPolicy, 'heparinAskAboveUPerMl' | 'heparinAskAboveSmallUPerMl'>,
  weightKg: number,
): number {
  return weightKg < flushWeightKg.small ? policy.heparinAskAboveSmallUPerMl : policy.heparinAskAboveUPerMl;
}

/** An animal that may bleed, and heparin in its flush: how much, U/mL, or null where nobody said whether there is any. */
export interface HeparinCaution {
  because: BleedingRisk;
  heparinUPerMl: number | null;
}

/** What speaks against the flush of this line; null where nothing does: no risk recorded, or it was recorded that there is no heparin. */
export function heparinCaution(
  line: Pick<LineState, 'patient' | 'screening' | 'flushMode' | 'flushModeSince' | 'source' | 'removed'>,
): HeparinCaution | null {
  const because = bleedingRisk(line);
  const heparinUPerMl = sourceInUse(line)?.heparinUPerMl ?? null;
  return because === null || heparinUPerMl === 0 || line.removed ? null : { because, heparinUPerMl };
}
