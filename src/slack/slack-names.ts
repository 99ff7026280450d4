import type { WebClient } from '@slack/web-api';
import { within } from '../app/clock.ts';
import { type Names, theBot } from '../wording/names.ts';
import { person, withoutMarks } from '../wording/rich-text.ts';

/** How long a name is remembered, ms. */
const freshMs = 60 * 60_000;
const mostNames = 2_000;
/** How long a message waits for a name, and how long one that did not come is not asked for again, ms. */
const patienceMs = 2_000;
const askAgainMs = 30_000;

/** Display names from the platform, remembered for an hour. None is waited for longer than 2 s: a name is a courtesy. */
export function slackNames(client: WebClient, realNow: () => number): Names {
  const known = new Map<string, { name: string; at: number }>();
  const missed = new Map<string, number>();
  /** Asks the platform; an answer that comes late is still remembered. */
  const ask = async (user: string): Promise<string | null> => {
    try {
      const { user: found } = await client.users.info({ user });
      const name = found?.profile?.display_name || found?.real_name || found?.name;
      if (!name) return person(user);
      if (known.size >= mostNames) known.clear();
      const written = withoutMarks(name);
      known.set(user, { name: written, at: realNow() });
      return written;
    } catch {
      return null;
    }
  };
  return {
    async of(user) {
      if (user === 'bot') return theBot;
      const kept = known.get(user);
      if (kept && realNow() - kept.at < freshMs) return kept.name;
      const instead = kept?.name ?? person(user);
      if (realNow() < (missed.get(user) ?? 0)) return instead;
      const name = await within(patienceMs, ask(user));
      if (name !== null) return name;
      if (missed.size >= mostNames) missed.clear();
      missed.set(user, realNow() + askAgainMs);
      return instead;
    },
  };
}
