import type { IncomingMessage, ServerResponse } from 'node:http';
import type { Installation as BoltInstallation, HTTPReceiverOptions, InstallationQuery } from '@slack/bolt';
import {
  installedWords,
  installFailedWords,
  installTitles,
  isOfBrowser,
} from '../../wording/edge/install-page.ts';
import { escaped } from '../render/mrkdwn.ts';
import { webClientOptions } from '../web-client-options.ts';
import type { Installation } from './installation.ts';
import type { Installations } from './installations.ts';

/** What the bot asks for when it is installed: as in docs/deploy/manifest.yaml. */
export const botScopes = [
  'commands',
  'chat:write',
  'im:write',
  'channels:read',
  'groups:read',
  'channels:history',
  'groups:history',
  'im:history',
  'app_mentions:read',
  'files:read',
  'files:write',
  'users:read',
] as const;

/** How the app is installed in many workspaces. */
export interface InstallSettings {
  clientId: string;
  clientSecret: string;
  /** Signs the state that a browser carries through the installing. */
  stateSecret: string;
  installations: Installations;
  /** Hears of each that is kept. */
  installed: (id: string) => void;
}

/** What makes Bolt's HTTP receiver serve the pages that install the app: `/slack/install` and `/slack/oauth_redirect`. */
export function installOptions(
  { clientId, clientSecret, stateSecret, installations, installed }: InstallSettings,
  slackApiUrl: string,
) {
  return {
    clientId,
    clientSecret,
    stateSecret,
    scopes: [...botScopes],
    installationStore: {
      async storeInstallation(given: BoltInstallation) {
        const installation = readInstallation(given);
        await installations.keep(installation);
        installed(installation.id);
      },
      fetchInstallation: (query: InstallationQuery<boolean>) => fetched(installations, query),
    },
    installerOptions: {
      directInstall: true,
      authorizationUrl: new URL('/oauth/v2/authorize', slackApiUrl).href,
      clientOptions: webClientOptions(slackApiUrl),
      callbackOptions: {
        success: (
          given: BoltInstallation,
          _options: unknown,
          _request: IncomingMessage,
          response: ServerResponse,
        ) =>
          page(
            response,
            200,
            installTitles.done,
            installedWords(nameOf(given), given.isEnterpriseInstall === true),
          ),
        failure: (
          error: Error & { code?: string },
          _options: unknown,
          _request: IncomingMessage,
          response: ServerResponse,
        ) => page(response, isOfBrowser(error) ? 400 : 500, installTitles.failed, installFailedWords(error)),
      },
    },
  } satisfies Partial<HTTPReceiverOptions>;
}

/** What the platform gave, as it is kept. Throws where there is no bot token in it. */
function readInstallation({
  team,
  enterprise,
  isEnterpriseInstall,
  bot,
  user,
}: BoltInstallation): Installation {
  const place = isEnterpriseInstall ? enterprise : team;
  if (!place || !bot) throw new Error('the platform gave no bot token');
  return {
    id: place.id,
    name: place.name ?? '',
    token: bot.token,
    userId: bot.userId,
    botId: bot.id,
    scopes: bot.scopes,
    installedBy: user.id,
    renewal:
      bot.refreshToken !== undefined && bot.expiresAt !== undefined
        ? { refreshToken: bot.refreshToken, expiresAt: bot.expiresAt * 1_000 }
        : null,
  };
}

/**
 * What Bolt needs to take a payload: whose it is. It gets no token, so that nothing is sent by any client but the workspace's own,
 * and it renews none. Of a workspace without the app it gets nothing, and a listener says so.
 */
async function fetched(
  installations: Installations,
  { teamId, enterpriseId, isEnterpriseInstall }: InstallationQuery<boolean>,
): Promise<BoltInstallation<'v2', boolean>> {
  const id = teamId ?? enterpriseId ?? '';
  const found = await (async () => {
    if (isEnterpriseInstall && teamId !== undefined && enterpriseId !== undefined)
      await installations.noteOrg(teamId, enterpriseId);
    return installations.of(id);
  })().catch(() => null);
  return {
    team: { id },
    enterprise: enterpriseId === undefined ? undefined : { id: enterpriseId },
    user: { token: undefined, scopes: undefined, id: '' },
    ...(found ? { bot: { token: '', scopes: found.scopes, id: found.botId, userId: found.userId } } : {}),
    isEnterpriseInstall: false,
    authVersion: 'v2',
  };
}

function nameOf({ team, enterprise, isEnterpriseInstall }: BoltInstallation): string {
  return escaped((isEnterpriseInstall ? enterprise?.name : team?.name) ?? '');
}

function page(response: ServerResponse, status: number, title: string, words: string): void {
  response.writeHead(status, {
    'content-type': 'text/html; charset=utf-8',
    'content-security-policy': "default-src 'none'; style-src 'unsafe-inline'",
    'cache-control': 'no-store',
    'referrer-policy': 'no-referrer',
  });
  response.end(
    `<!doctype html><html lang="en"><meta name="viewport" content="width=device-width"><title>${title}</title>` +
      `<body style="font:18px/1.5 sans-serif;max-width:34em;margin:2em auto;padding:0 1em"><h1>${title}</h1><p>${words}</p></body></html>`,
  );
}
