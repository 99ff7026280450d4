import type { InParts } from '../in-parts.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { LineState } from '../record/line-state.ts';
import { horizonOf, type Round } from '../rounds/rounds.ts';
import { nextShiftsVisitsFrom } from '../rounds/takeover.ts';
import { visitsInParts } from '../rounds/visit.ts';
import { soonMs } from '../ward/handed-over-shift.ts';

/** The time whose visits are shown at `now`: the shift that begins soon, else what is left of this one. */
export function coveredTime(policy: WardPolicy, now: number): { fromMs: number; toMs: number } {
  return horizonOf(policy, now, soonMs(policy));
}

/** The visits a handover at `at` foretells: for the whole ward, since whoever accepts it takes every line over. */
export function comingVisits(lines: readonly LineState[], policy: WardPolicy, at: number): InParts<Round[]> {
  const { fromMs, toMs } = coveredTime(policy, at);
  return visitsInParts(lines, policy, fromMs, nextShiftsVisitsFrom(toMs));
}
