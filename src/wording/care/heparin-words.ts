import { flushFluid } from '../../domain/fluid/flush-fluid.ts';
import { heparinCaution } from '../../domain/fluid/heparin.ts';
import { flushWeightKg } from '../../domain/fluid/usual-flush.ts';
import { type BleedingRisk, bleedingRisk } from '../../domain/placing/bleeding-risk.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { rich } from '../rich-text.ts';

/** Why an animal may bleed, for the start of a sentence. */
export const riskOfBleedingWords: Readonly<Record<BleedingRisk, string>> = {
  'bleeding disorder': 'Bleeding disorder',
  'clotting unknown': 'Clotting not known',
};

/**
 * An animal that may bleed with heparin in its flush, or with a flush of which nobody said whether there is any; empty where
 * neither is so. No star in it.
 */
export function heparinCautionWords(line: LineState): string {
  const caution = heparinCaution(line);
  if (!caution) return '';
  const why = riskOfBleedingWords[caution.because];
  return caution.heparinUPerMl === null
    ? `${why}: nobody has said whether there’s heparin in the flush`
    : `${why}, and heparin ${caution.heparinUPerMl} U/mL in the flush: ask the clinician whether plain saline will do`;
}

/**
 * What to know before the flush source of an animal that may bleed is changed. In dogs under anaesthesia plain saline kept
 * dorsal pedal lines open as well as heparin did: Sasaki, Paredes, Shiga, Front Vet Sci 2020;7:428.
 */
export function beforeSourceWords(line: LineState): string {
  const risk = bleedingRisk(line);
  return risk === null
    ? ''
    : rich`*${riskOfBleedingWords[risk]}: ask the clinician before heparin goes into the flush.* Plain saline kept dogs’ arterial lines open as well (Sasaki, Front Vet Sci 2020;7:428).`;
}

/** Heparin stronger than the ward's, which somebody must look at again: `*Heparin 10 U/mL* for an animal of 4 kg. …` */
export function strongHeparinWords(heparinUPerMl: number, aboveUPerMl: number, weightKg: number): string {
  const small = weightKg < flushWeightKg.small ? ` below ${flushWeightKg.small} kg` : '';
  return rich`*Heparin ${heparinUPerMl} U/mL* for an animal of ${weightKg} kg: this ward uses up to ${aboveUPerMl} U/mL${small}. Look at the label again. Is it right?`;
}

/** More heparin in a day than the ward's limit: what it can do, what to look for, whom to ask; empty where it is not. */
export function muchHeparinWords(line: LineState, policy: WardPolicy, now: number): string {
  const { heparinUPerKgPerDay, isMuchHeparin } = flushFluid(line, policy, now);
  if (!isMuchHeparin || heparinUPerKgPerDay === null) return '';
  return `Heparin ${Math.round(heparinUPerKgPerDay)} U/kg/day, the ward’s limit is ${policy.heparinWarnUPerKgDay}: it can make the animal bleed. Look for ooze, bruises and old puncture sites, and ask the clinician`;
}
