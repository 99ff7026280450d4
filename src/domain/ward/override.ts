import type { Caution, Screening } from '../placing/screening.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import { mayDecide } from './on-call.ts';
import type { WardState } from './ward-state.ts';

/**
 * Those of `cautions` for which the ward wants a clinician's decision before a line is placed; which they are is the ward's
 * to say, common practice, no source.
 *
 * Example: default policy, `['cat', 'bleeding disorder']` → `['bleeding disorder']`.
 */
export function cautionsToDecide(policy: WardPolicy, cautions: readonly Caution[]): Caution[] {
  return cautions.filter((caution) => policy.overrideFor.includes(caution));
}

/**
 * What is wrong with a screening's decision at `now` (ms): one is needed and there is none, or whoever is named may not
 * decide; null when it is right. A decision that the ward did not ask for must still be by somebody who may.
 */
export function overrideFault(
  ward: WardState,
  { cautions, override }: Screening,
  now: number,
): 'needed' | 'not theirs' | null {
  if (override) return mayDecide(ward, override.clinician, now) ? null : 'not theirs';
  return cautionsToDecide(ward.policy, cautions).length > 0 ? 'needed' : null;
}

/**
 * A line's screening after its cautions were put right. What a clinician decided stands while any of what it was decided on
 * is left; `decision` is one recorded now. What is new, what the ward wants decided and nobody decided on is `undecided`: a line
 * that is in is no reason to keep the truth from its card.
 */
export function screeningAmended(
  policy: WardPolicy,
  before: Screening | null,
  found: readonly Caution[],
  decision?: Screening['override'],
): Screening {
  const decidedOn = before?.override ? before.cautions.filter((one) => !before.undecided?.includes(one)) : [];
  const stands = decidedOn.some((one) => found.includes(one)) ? before?.override : undefined;
  const override = decision ?? stands;
  const undecided = decision ? [] : cautionsToDecide(policy, found).filter((one) => !decidedOn.includes(one));
  return {
    cautions: [...found],
    ...(override ? { override } : {}),
    ...(undecided.length > 0 ? { undecided } : {}),
  };
}
