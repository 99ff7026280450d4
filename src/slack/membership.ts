import { WebAPIPlatformError, type WebClient } from '@slack/web-api';
import { channelOf } from '../chat/ward-id.ts';
import { isOnCall } from '../domain/ward/on-call.ts';
import type { WardState } from '../domain/ward/ward-state.ts';

const freshMs = 60_000;
/** How long a yes is believed while the list is fetched anew beside it, ms. */
const believedMs = 5 * 60_000;
/** How long somebody waits for the list, ms: a form must open within 3 s of the press. */
const patienceMs = 1_500;
/** The largest page the platform documents. */
const pageSize = 999;

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

export function slackMembership(client: WebClient, realNow: () => number): Membership {
  const known = new Map<string, { members: Set<string>; at: number }>();
  const loading = new Map<string, ReturnType<typeof fetched>>();
  const seen = new Map<string, number>();
  const fetched = async (channel: string) => {
    const members = new Set<string>();
    let cursor: string | undefined;
    do {
      const page = await client.conversations.members({
        channel,
        limit: pageSize,
        ...(cursor ? { cursor } : {}),
      });
      for (const member of page.members ?? []) members.add(member);
      cursor = page.response_metadata?.next_cursor || undefined;
    } while (cursor);
    const entry = { members, at: realNow() };
    known.set(channel, entry);
    return entry;
  };
  /** One fetch at a time: a shift change must not ask for the same list forty times. */
  const load = (channel: string) => {
    const running = loading.get(channel);
    if (running) return running;
    const work = fetched(channel).finally(() => loading.delete(channel));
    loading.set(channel, work);
    return work;
  };
  const soon = async <T>(work: Promise<T>): Promise<T> => {
    let timer: NodeJS.Timeout | undefined;
    const late = new Promise<never>((_resolve, reject) => {
      timer = setTimeout(() => reject(new Error('the list of members is not here yet')), patienceMs);
    });
    try {
      return await Promise.race([work, late]);
    } finally {
      clearTimeout(timer);
      // One that fails later fails for nobody.
      work.catch(() => undefined);
    }
  };
  const wasSeen = (channel: string, user: string) =>
    realNow() - (seen.get(`${channel} ${user}`) ?? Number.NEGATIVE_INFINITY) < believedMs;
  return {
    async isIn(wardId, user, how) {
      const channel = channelOf(wardId);
      if (how === 'afresh') return (await fetched(channel)).members.has(user);
      const kept = known.get(channel);
      const age = kept ? realNow() - kept.at : Number.POSITIVE_INFINITY;
      if (kept?.members.has(user) && age < freshMs) return true;
      if (how === 'kept' && kept && age < freshMs) return false;
      if (how === undefined && kept?.members.has(user) && age < believedMs) {
        load(channel).catch(() => undefined);
        return true;
      }
      // Somebody who is not in it may just have joined: a no is never answered from memory.
      try {
        return (await soon(load(channel))).members.has(user);
      } catch (error) {
        if (isCertain(error)) throw error;
        // Nobody's flush goes unrecorded because a list could not be fetched anew.
        if (kept?.members.has(user) || wasSeen(channel, user)) return true;
        throw error;
      }
    },
    seenIn(wardId, user) {
      const now = realNow();
      for (const [who, at] of seen) if (now - at >= believedMs) seen.delete(who);
      seen.set(`${channelOf(wardId)} ${user}`, now);
    },
  };
}

/** The platform said for sure that there is no such channel for us. */
export function isCertain(error: unknown): boolean {
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
