import { WebClient } from '@slack/web-api';
import type { HomeReaders } from '../app/home-readers.ts';
import type { InstallationShelf } from '../app/installations.ts';
import type { LastWord } from '../app/last-word.ts';
import type { Messenger, WardRecord } from '../app/ports.ts';
import { teamOf } from '../chat/ward-id.ts';
import type { Log } from '../observe/log.ts';
import type { BoltOptions, EdgeBots } from '../slack/edge/bolt-app.ts';
import { type Installations, installations } from '../slack/install/installations.ts';
import type { AskNext } from '../slack/install/renew-token.ts';
import { SealNotOpened, type TokenKey } from '../slack/install/seal.ts';
import type { SlackBot } from '../slack/slack-bot.ts';
import { webClientOptions } from '../slack/web-client-options.ts';
import { type ManyWorkplaces, manyWorkplaces } from './many-workplaces.ts';
import { askWhoIAm } from './who-am-i.ts';
import { type Workplace, type WorkplaceParts, workplace } from './workplace.ts';

/** How one bot serves many workspaces. */
export interface ManyWorkspaces {
  clientId: string;
  clientSecret: string;
  /** Signs what a browser carries through the installing. */
  stateSecret: string;
  /** The first seals; each opens what it sealed. */
  tokenKeys: readonly TokenKey[];
}

/** What a bot is made from, for one workspace. */
export interface Seen {
  at: Workplace;
  client: WebClient;
  token: () => Promise<string>;
  /** The record; where there are many workspaces, this one's wards are all there are in it. */
  wards: WardRecord;
  team: string;
  userId: string;
}

/** The chat platform as a process of the bot sees it: one workspace, or many. */
export interface Workplaces {
  serves: 'one workspace' | 'many workspaces';
  messenger: Messenger;
  lastWord: LastWord;
  refreshHomes(): Promise<void>;
  /** Asks the platform anything, since its first answer tells its time. */
  askTheTime(): void;
  client: WebClient;
  edgeServes: BoltOptions['serves'];
  /** Who answers at the edge: a bot for each workspace, made once. */
  atTheEdge(makeBot: (seen: Seen) => SlackBot, log: Log): Promise<EdgeBots>;
}

export interface WorkplacesParts {
  serves: { botToken: string } | ManyWorkspaces;
  shelf: InstallationShelf;
  record: WardRecord;
  readers: HomeReaders;
  goOn: (work: Promise<void>) => void;
  /** The bot was installed in a ward's workspace, or taken out of it. */
  changed: (wardId: string) => Promise<void>;
}

export async function workplaces(parts: WorkplaceParts, more: WorkplacesParts): Promise<Workplaces> {
  const { serves } = more;
  return 'botToken' in serves
    ? oneWorkspace(parts, serves.botToken, more)
    : manyWorkspaces(parts, serves, more);
}

function oneWorkspace(
  parts: WorkplaceParts,
  botToken: string,
  { record, readers }: WorkplacesParts,
): Workplaces {
  const at = workplace(parts, { botToken }, record, readers);
  return {
    serves: 'one workspace',
    messenger: at.messenger,
    lastWord: at.lastWord,
    refreshHomes: () => at.homes.refresh(),
    askTheTime: () => void at.client.auth.test().catch(() => undefined),
    client: at.client,
    edgeServes: { botToken },
    async atTheEdge(makeBot, log) {
      const me = await askWhoIAm(at.client, log);
      let bot: SlackBot | null = null;
      return {
        command: parts.command,
        of: async () =>
          (bot ??= makeBot({ at, client: at.client, token: async () => botToken, wards: record, ...me })),
      };
    },
  };
}

async function manyWorkspaces(
  parts: WorkplaceParts,
  app: ManyWorkspaces,
  { shelf, record, readers, goOn, changed }: WorkplacesParts,
): Promise<Workplaces> {
  const { watch, command } = parts;
  const kept = await openedInstallations(parts, app, shelf);
  /** Every ward of a workspace, or of an organisation's workspaces, is looked at. */
  const lookAtWards = async (id: string) => {
    for (const wardId of await record.wardIds()) {
      const team = teamOf(wardId);
      // Which workspaces an organisation's installation served is not known any more once it is erased.
      if (team === id || id.startsWith('E')) await changed(wardId);
    }
  };
  const many = manyWorkplaces(parts, { installations: kept, record, readers, goOn, left: lookAtWards });
  return {
    serves: 'many workspaces',
    messenger: many.messenger,
    lastWord: many.lastWord,
    refreshHomes: () => many.refreshHomes(),
    askTheTime: () => undefined,
    client: many.client,
    edgeServes: {
      installs: {
        clientId: app.clientId,
        clientSecret: app.clientSecret,
        stateSecret: app.stateSecret,
        installations: kept,
        installed: (id) =>
          goOn(
            lookAtWards(id).catch((cause: unknown) =>
              watch.trouble('the wards of a new installation could not be looked at', { team: id }, cause),
            ),
          ),
      },
    },
    atTheEdge: async (makeBot) => ({
      command,
      takenOut: (id) =>
        many
          .takenOut(id)
          .catch((cause: unknown) =>
            watch.trouble('a workspace’s token could not be looked at', { team: id }, cause),
          ),
      of: botsOf(many, kept, makeBot),
    }),
  };
}

/** The installations there are, each sealed with the first key. Throws where one can't be opened. */
async function openedInstallations(
  { watch, realNow, apiUrl }: WorkplaceParts,
  { clientId, clientSecret, tokenKeys }: ManyWorkspaces,
  shelf: InstallationShelf,
): Promise<Installations> {
  const kept = installations({
    shelf,
    keys: tokenKeys,
    askNext: nextToken(apiUrl, { clientId, clientSecret }, realNow),
    realNow,
    trouble: (...details) => watch.trouble(...details),
  });
  await kept.sealAllAnew().catch((cause: unknown) => {
    if (!(cause instanceof SealNotOpened)) throw cause;
    throw new Error(keyMissing(cause.keyId), { cause });
  });
  return kept;
}

/** The bot of each workspace, made anew where the app was installed again. */
function botsOf(
  many: ManyWorkplaces,
  kept: Installations,
  makeBot: (seen: Seen) => SlackBot,
): EdgeBots['of'] {
  const bots = new Map<string, { of: Workplace; bot: SlackBot }>();
  return async (team) => {
    const found = team === undefined ? null : await many.of(team);
    if (team === undefined || !found) return null;
    const { at, installation, record: wards } = found;
    const { userId } = installation;
    const known = bots.get(team);
    if (known?.of === at && known.bot.userId === userId) return known.bot;
    const bot = makeBot({ at, client: at.client, token: () => kept.token(team), wards, team, userId });
    bots.set(team, { of: at, bot });
    return bot;
  };
}

function keyMissing(keyId: string | null): string {
  return keyId === null
    ? 'What Redis keeps of an installation is not as it was written: restore it from a backup, or erase it and have the app installed anew.'
    : `Tokens on this Redis are sealed with the key “${keyId}”, and TOKEN_KEYS doesn’t hold the key that did it: add it behind the new one.`;
}

/** Renews a token by the platform's own way. */
function nextToken(
  slackApiUrl: string,
  app: { clientId: string; clientSecret: string },
  realNow: () => number,
): AskNext {
  const client = new WebClient(undefined, webClientOptions(slackApiUrl));
  return async (refreshToken) => {
    const beganMs = realNow();
    const answer = await client.oauth.v2.access({
      client_id: app.clientId,
      client_secret: app.clientSecret,
      grant_type: 'refresh_token',
      refresh_token: refreshToken,
    });
    const { access_token: token, refresh_token: next, expires_in: seconds } = answer;
    if (!token || !next || seconds === undefined) throw new Error('the platform gave no next token');
    return { token, refreshToken: next, expiresAt: beganMs + seconds * 1_000 };
  };
}
