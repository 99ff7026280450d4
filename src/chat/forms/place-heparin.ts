import { isToSeeAgain } from '../../domain/accept/asked-first.ts';
import { heparinAskAboveUPerMl } from '../../domain/fluid/heparin.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { strongHeparinWords } from '../../wording/care/heparin-words.ts';
import { rich } from '../../wording/rich-text.ts';
import { type Part, smallPrint } from '../parts.ts';
import { type PlaceValues, placeQuantities } from '../typed/place-values.ts';
import type { Field } from '../verbs/verb.ts';
import { personInput } from './questions.ts';

/** Heparin in the flush, however it is flushed. */
export const heparinField: Field = {
  ...placeQuantities.heparinUPerMl,
  label: 'Heparin in the flush',
  hint: 'Bleeding disorder, or clotting not known: ask the clinician first. 0 for plain saline; empty when nobody knows.',
};

/** Who looked at the label again, where what stands in the form is stronger than the ward's; nothing where it is not. */
export function strongHeparinParts(
  { heparinUPerMl, weightKg }: Pick<PlaceValues, 'heparinUPerMl' | 'weightKg'>,
  policy: WardPolicy,
  user: string,
): Part[] {
  if (heparinUPerMl === undefined || weightKg === undefined) return [];
  if (!isToSeeAgain({ heparinUPerMl }, policy, weightKg)) return [];
  const aboveUPerMl = heparinAskAboveUPerMl(policy, weightKg);
  return [
    smallPrint(rich`*Not registered yet.* ${strongHeparinWords(heparinUPerMl, aboveUPerMl, weightKg)}`),
    personInput({
      id: 'heparinSeenBy',
      label: 'Who looked at the label again',
      hint: 'If it is wrong, put “Heparin in the flush” right below.',
      optional: true,
      initial: user,
    }),
  ];
}
