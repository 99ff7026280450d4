import type { WebClient } from '@slack/web-api';
import { within } from '../app/clock.ts';
import { channelOf, teamOf } from '../chat/ward-id.ts';
import { type Names, theBot } from '../wording/names.ts';
import { person, withoutMarks } from '../wording/rich-text.ts';

/** How long a name is remembered, ms. */
const freshMs = 60 * 60_000;
const mostNames = 2_000;
/** How long a message waits for a name, and how long one that did not come is not asked for again, ms. */
const patienceMs = 2_000;
const askAgainMs = 30_000;

/**
 * Names of people and of wards from the platform, remembered for an hour. None is waited for longer than 2 s: a name is a courtesy.
 * `wardIds`: of the wards there are; where a workspace has one alone nobody needs its name.
 */
export function slackNames(
  client: WebClient,
  realNow: () => number,
  wardIds: () => Promise<readonly string[]>,
): Names {
  const nameOf = remembered(realNow, async (user) => {
    const { user: found } = await client.users.info({ user });
    return found?.profile?.display_name || found?.real_name || found?.name;
  });
  const channelName = remembered(
    realNow,
    async (channel) => (await client.conversations.info({ channel })).channel?.name,
  );
  const isOneOfSeveral = remembered(realNow, async (team) => {
    const wards = (await wardIds()).filter((wardId) => teamOf(wardId) === team);
    return wards.length > 1 ? team : undefined;
  });
  return {
    of: async (user) => (user === 'bot' ? theBot : ((await nameOf(user)) ?? person(user))),
    async ward(wardId) {
      if ((await isOneOfSeveral(teamOf(wardId))) === null) return null;
      const name = await channelName(channelOf(wardId));
      return name === null ? null : `#${name}`;
    },
  };
}

/** What the platform answers, by id, remembered for an hour; null where it doesn't answer and never has. */
function remembered(
  realNow: () => number,
  ask: (id: string) => Promise<string | undefined>,
): (id: string) => Promise<string | null> {
  const known = new Map<string, { name: string; at: number }>();
  const missed = new Map<string, number>();
  /** An answer that comes late is still remembered. */
  const asked = async (id: string): Promise<string | null> => {
    try {
      const name = await ask(id);
      if (!name) return null;
      if (known.size >= mostNames) known.clear();
      const written = withoutMarks(name);
      known.set(id, { name: written, at: realNow() });
      return written;
    } catch {
      return null;
    }
  };
  return async (id) => {
    const kept = known.get(id);
    if (kept && realNow() - kept.at < freshMs) return kept.name;
    const instead = kept?.name ?? null;
    if (realNow() < (missed.get(id) ?? 0)) return instead;
    const name = await within(patienceMs, asked(id));
    if (name !== null) return name;
    if (missed.size >= mostNames) missed.clear();
    missed.set(id, realNow() + askAgainMs);
    return instead;
  };
}
