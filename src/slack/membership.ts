import { WebAPIPlatformError, type WebClient } from '@slack/web-api';
import { within } from '../app/clock.ts';
import { type Membership, NoSuchChannel } from '../chat/membership.ts';
import { channelOf } from '../chat/ward-id.ts';

const freshMs = 60_000;
/** How long a yes is believed while the list is fetched anew beside it, ms. */
const believedMs = 5 * 60_000;
/** How long somebody waits for the list, ms: a form must open within 3 s of the press. */
const patienceMs = 1_500;
/** The largest page the platform documents. */
const pageSize = 999;

/** Everybody in a channel, page by page. */
async function membersOf(client: WebClient, channel: string): Promise<Set<string>> {
  const members = new Set<string>();
  let cursor: string | undefined;
  do {
    const page = await client.conversations
      .members({ channel, limit: pageSize, ...(cursor ? { cursor } : {}) })
      .catch((error: unknown) => {
        throw channelMissing(error);
      });
    for (const member of page.members ?? []) members.add(member);
    cursor = page.response_metadata?.next_cursor || undefined;
  } while (cursor);
  return members;
}

/** Who is in which channel, remembered for a minute. */
export function slackMembership(client: WebClient, realNow: () => number): Membership {
  const known = new Map<string, { members: Set<string>; at: number }>();
  const loading = new Map<string, ReturnType<typeof fetched>>();
  const seen = new Map<string, number>();
  const fetched = async (channel: string) => {
    const entry = { members: await membersOf(client, channel), at: realNow() };
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
        const loaded = await within(patienceMs, load(channel));
        if (!loaded) throw new Error('the list of members is not here yet');
        return loaded.members.has(user);
      } catch (error) {
        if (error instanceof NoSuchChannel) throw error;
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

/** The same failure, told apart where the platform said for sure that there is no such channel for us. */
function channelMissing(error: unknown): unknown {
  const code = error instanceof WebAPIPlatformError ? (error.data.error ?? '') : '';
  return ['channel_not_found', 'not_in_channel', 'is_archived'].includes(code)
    ? new NoSuchChannel(code, { cause: error })
    : error;
}
