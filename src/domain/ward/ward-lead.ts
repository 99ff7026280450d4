import { mayDecide, onCallAt } from './on-call.ts';
import type { WardState } from './ward-state.ts';

/**
 * Whether this person may say who leads the ward, and so sees everybody's learning curve: the lead, a clinician of the policy
 * or on call; anybody in a ward that has none of them yet.
 */
export function mayNameLead(ward: WardState, user: string, now: number): boolean {
  const { lead, clinicians } = ward.policy;
  if (lead === user || mayDecide(ward, user, now)) return true;
  return lead === null && clinicians.length === 0 && onCallAt(ward, now) === null;
}
