import { WebAPIPlatformError, type WebClient } from '@slack/web-api';
import { isOnCall } from '../domain/ward/on-call.ts';
import type { WardState } from '../domain/ward/ward-state.ts';
import { channelOf } from './ward-id.ts';

const freshMs = 60_000;

/** Who is in a ward's channel. */
export interface Membership {
  /**
   * A yes is remembered for a minute, and longer where the platform does not tell. `afresh`: nothing is taken from memory,
   * and it throws where the platform does not tell; for what somebody who left must not get. `kept`: a no is remembered for a
   * minute as well; for what is looked at often and not asked for by anybody.
   */
  isIn(wardId: string, user: string, how?: 'afresh' | 'kept'): Promise<boolean>;
}

export function slackMembership(client: WebClient, realNow: () => number): Membership {
  const known = new Map<string, { members: Set<string>; at: number }>();
  const load = async (channel: string) => {
    const members = new Set<string>();
    let cursor: string | undefined;
    do {
      const page = await client.conversations.members({
        channel,
        limit: 1_000,
        ...(cursor ? { cursor } : {}),
      });
      for (const member of page.members ?? []) members.add(member);
      cursor = page.response_metadata?.next_cursor || undefined;
    } while (cursor);
    const entry = { members, at: realNow() };
    known.set(channel, entry);
    return entry;
  };
  return {
    async isIn(wardId, user, how) {
      const channel = channelOf(wardId);
      const kept = known.get(channel);
      const age = kept ? realNow() - kept.at : Number.POSITIVE_INFINITY;
      if (how !== 'afresh' && kept?.members.has(user) && age < freshMs) return true;
      if (how === 'kept' && kept && age < freshMs) return false;
      // Somebody who is not in it may just have joined: a no is never answered from memory.
      try {
        return (await load(channel)).members.has(user);
      } catch (error) {
        // Nobody's flush goes unrecorded because a list could not be fetched anew.
        if (how !== 'afresh' && kept && !isCertain(error)) return kept.members.has(user);
        throw error;
      }
    },
  };
}

/** The platform said for sure that there is no such channel for us. */
function isCertain(error: unknown): boolean {
  if (!(error instanceof WebAPIPlatformError)) return false;
  return ['channel_not_found', 'not_in_channel', 'is_archived'].includes(error.data.error ?? '');
}

/**
 * Whether the bot is in the ward's channel; a channel it cannot even see is one it is not in. Where the platform does
 * not tell, it is taken to be: what somebody tells must not wait for that.
 */
export async function botIsIn(membership: Membership, wardId: string, botUserId: string): Promise<boolean> {
  try {
    return await membership.isIn(wardId, botUserId);
  } catch (error) {
    return !isCertain(error);
  }
}

/** Whether this person is in the ward's channel; where the platform does not tell, they are taken to be. */
export async function isOnWard(membership: Membership, wardId: string, user: string): Promise<boolean> {
  return membership.isIn(wardId, user).catch(() => true);
}

/**
 * Whether this person may tell things about the ward: in its channel, on call for it, or a clinician of its policy.
 * `how`: see `Membership`.
 */
export async function mayTell(
  membership: Membership,
  ward: WardState,
  user: string,
  now: number,
  how?: 'afresh' | 'kept',
): Promise<boolean> {
  if (isOnCall(ward, user, now) || ward.policy.clinicians.includes(user)) return true;
  const isIn = membership.isIn(ward.id, user, how);
  // Who is in a channel that is gone nobody tells; whoever presses what stood in it, or what was sent to them instead, was.
  return ward.channelShut && how === undefined ? isIn.catch(() => true) : isIn;
}
