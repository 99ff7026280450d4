import { WebAPIPlatformError } from '@slack/web-api';
import type { Delivery } from '../app/ports.ts';
import { teamOf } from '../chat/ward-id.ts';
import type { Installations } from '../slack/install/installations.ts';
import type { WorkplaceParts } from './workplace.ts';

/** What the platform answers to a token of an app that was taken out. */
const revoked: ReadonlySet<string> = new Set([
  'token_revoked',
  'account_inactive',
  'invalid_auth',
  'token_expired',
  'team_disabled',
]);
/** Waits between askings whether a token is revoked, where the platform is away, ms; and between two reasons to ask. */
const askAgainMs = [0, 2_000, 15_000, 60_000] as const;
const suspectAgainMs = 60_000;

/** How it is found out that the app was taken out of a workspace or organisation, and what is done then. */
export interface Leaving {
  /** It may have been: the platform is asked. Where it is so, the installation is erased, and nothing else. */
  takenOut: (id: string) => Promise<void>;
  /** Hears of an answer that a token of no use gets, where no event told of it. */
  heard: (wardId: string, sending: Promise<Delivery>) => Promise<Delivery>;
}

/** `ask`: asks the platform about a token; `erased` hears of each installation that was erased. */
export function leaving(
  { realNow, watch }: Pick<WorkplaceParts, 'realNow' | 'watch'>,
  {
    installations,
    ask,
    goOn,
    erased,
  }: {
    installations: Installations;
    ask: (token: string) => Promise<unknown>;
    goOn: (work: Promise<void>) => void;
    erased: (id: string) => Promise<void>;
  },
): Leaving {
  const suspected = new Map<string, number>();
  const takenOut = async (id: string): Promise<void> => {
    const standing = await installations.readAfresh(id);
    if (!standing) return;
    const is = await isRevoked(ask, standing.installation.token);
    if (is === false) return;
    if (is === null) {
      watch.trouble('whether the app was taken out of a workspace could not be asked', { team: id });
      return;
    }
    await installations.erase(standing, id);
    watch.trouble('the app was taken out of a workspace: its token is erased, its wards’ record stays', {
      team: id,
    });
    await erased(id);
  };
  return {
    takenOut,
    async heard(wardId, sending) {
      const delivery = await sending;
      const team = teamOf(wardId);
      const isNews = realNow() - (suspected.get(team) ?? Number.NEGATIVE_INFINITY) > suspectAgainMs;
      if (delivery.is === 'refused' && revoked.has(delivery.why) && isNews) {
        suspected.set(team, realNow());
        goOn(
          (async () => takenOut((await installations.of(team))?.id ?? team))().catch((cause: unknown) =>
            watch.trouble('a workspace’s token could not be looked at', { team }, cause),
          ),
        );
      }
      return delivery;
    },
  };
}

/** Whether a token is of no use any more; null where the platform does not say. */
async function isRevoked(ask: (token: string) => Promise<unknown>, token: string): Promise<boolean | null> {
  for (const waitMs of askAgainMs) {
    await new Promise((resolve) => setTimeout(resolve, waitMs).unref());
    try {
      await ask(token);
      return false;
    } catch (cause) {
      if (cause instanceof WebAPIPlatformError && revoked.has(cause.data.error ?? '')) return true;
    }
  }
  return null;
}
