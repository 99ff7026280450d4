import type { WebClient } from '@slack/web-api';
import type { Names } from './names.ts';
import { escaped, mention } from './text.ts';

/** How long a name is remembered, ms. */
const freshMs = 60 * 60_000;
const mostNames = 2_000;

/** Display names from the platform, remembered for an hour. */
export function slackNames(client: WebClient, realNow: () => number): Names {
  const known = new Map<string, { name: string; at: number }>();
  return {
    async of(user) {
      if (user === 'bot') return 'the bot';
      const kept = known.get(user);
      if (kept && realNow() - kept.at < freshMs) return kept.name;
      try {
        const { user: found } = await client.users.info({ user });
        const name = found?.profile?.display_name || found?.real_name || found?.name;
        if (!name) return mention(user);
        if (known.size >= mostNames) known.clear();
        known.set(user, { name: escaped(name), at: realNow() });
        return escaped(name);
      } catch {
        // A name is a courtesy: an old one, or the mention, says enough.
        return kept?.name ?? mention(user);
      }
    },
  };
}
