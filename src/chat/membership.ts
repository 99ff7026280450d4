import { isOnCall } from '../domain/ward/on-call.ts';
import type { WardState } from '../domain/ward/ward-state.ts';

/** Who is in a ward's channel. */
export interface Membership {
  /**
   * A yes is remembered for a minute, and for five while the list is fetched anew beside it; longer where the platform does not
   * tell. Nobody waits for the list for more than 1.5 s: then it throws, as where the platform does not tell at all.
   * `afresh`: nothing is taken from memory, and it is waited for; for what somebody who left must not get. `kept`: a no is
   * remembered for a minute as well; for what is looked at often and not asked for by anybody.
   */
  isIn(wardId: string, user: string, how?: 'afresh' | 'kept'): Promise<boolean>;
  /** Somebody typed or pressed in the channel itself: believed where the platform does not tell. */
  seenIn(wardId: string, user: string): void;
}

/** The platform says for sure that there is no such channel for us. */
export class NoSuchChannel extends Error {}

/**
 * Whether the bot is in the ward's channel; a channel it cannot even see is one it is not in. Where the platform does
 * not tell, it is taken to be: what somebody records must not wait for that.
 */
export async function botIsIn(membership: Membership, wardId: string, botUserId: string): Promise<boolean> {
  try {
    return await membership.isIn(wardId, botUserId);
  } catch (error) {
    return !(error instanceof NoSuchChannel);
  }
}

/** Whether this person is in the ward's channel; where the platform does not tell, they are taken to be. */
export async function isOnWard(membership: Membership, wardId: string, user: string): Promise<boolean> {
  return membership.isIn(wardId, user).catch(() => true);
}

/**
 * Whether this person may record things about the ward: in its channel, on call for it, or a clinician of its policy.
 * `how`: see `Membership`.
 */
export async function mayRecord(
  membership: Membership,
  ward: WardState,
  user: string,
  now: number,
  how?: 'afresh' | 'kept',
): Promise<boolean> {
  if (isOnCall(ward, user, now) || ward.policy.clinicians.includes(user)) return true;
  const isIn = membership.isIn(ward.id, user, how);
  // Who is in a channel that is gone nobody can say; whoever presses what stood in it, or what was sent to them instead, was.
  return ward.channelShut && how === undefined ? isIn.catch(() => true) : isIn;
}
