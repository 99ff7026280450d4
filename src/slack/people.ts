import { WebAPIPlatformError, type WebClient } from '@slack/web-api';
import { within } from '../app/clock.ts';
import type { People, Standing } from '../chat/people.ts';

const freshMs = 60_000;
const mostKept = 2_000;
/** How long whoever names somebody waits for the platform, and a message that climbs, ms. */
const patienceMs = 1_500;
/** How long a form waits for a time zone to fill in, ms: it must open within 3 s of the press. */
const zonePatienceMs = 800;

/** Accounts from `users.info`. */
export function slackPeople(client: WebClient, realNow: () => number): People {
  const known = new Map<string, { is: Standing; at: number }>();
  const ask = async (user: string, team: string): Promise<Standing | null> => {
    try {
      const { user: found } = await client.users.info({ user });
      if (!found) return null;
      if (found.deleted) return 'deactivated';
      if (found.is_bot || user === 'USLACKBOT') return 'bot';
      // Somebody of an organisation may be in several workspaces; `team_id` names one of them.
      const teams = [found.team_id, ...(found.enterprise_user?.teams ?? [])].filter((id) => id !== undefined);
      if (teams.length > 0 && !teams.includes(team)) return 'elsewhere';
      return found.is_restricted || found.is_ultra_restricted ? 'guest' : 'well';
    } catch (error) {
      const code = error instanceof WebAPIPlatformError ? error.data.error : undefined;
      return code === 'user_not_found' || code === 'user_not_visible' ? 'unknown' : null;
    }
  };
  return {
    async standing(user, team) {
      const kept = known.get(user);
      if (kept && realNow() - kept.at < freshMs) return kept.is;
      const is = await within(patienceMs, ask(user, team));
      if (is === null) return null;
      if (known.size >= mostKept) known.clear();
      known.set(user, { is, at: realNow() });
      return is;
    },
    async zone(user) {
      const asked = client.users.info({ user }).then(
        (found) => found.user?.tz ?? null,
        () => null,
      );
      return within(zonePatienceMs, asked);
    },
  };
}
