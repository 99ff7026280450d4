import { randomBytes } from 'node:crypto';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Clock, HurriedClock } from '../../app/clock.ts';
import { refuse } from './core.ts';
import type { Json } from './message.ts';
import type { Platform } from './platform.ts';
import { parseFields, readBody } from './request-body.ts';
import { startPlatform } from './start-platform.ts';
import { bearer, sendJson } from './web-api.ts';
import type { PracticeWorld } from './world.ts';

/** A call that the app made, and by whose token in which workspace it was done. */
export interface SeveralCall {
  method: string;
  /** The workspace or organisation that the token is of; null where it is none that is good. */
  tokenOf: string | null;
  /** Where it was done; null where it was refused at the door. */
  team: string | null;
}

/** Several workspaces behind one address, in each of which an app is installed by OAuth. */
export interface SeveralWorkspaces {
  /** For `clientOptions.slackApiUrl`, with its last slash. */
  apiUrl: string;
  at(team: string): Platform;
  calls: readonly SeveralCall[];
  /** Refresh tokens that were asked with, in order; each is good for one use. */
  refreshes: readonly string[];
  /**
   * What an administrator's browser does on the page to which the app sends it: agrees there for a workspace or an organisation, and
   * is sent back. Gives the address it is sent to.
   */
  agree(authorizeUrl: string, place: string): URL;
  /** The token that is good in a workspace or organisation now. */
  tokenOf(place: string): string | undefined;
  /** Tokens given from now on run out after so many seconds; null: never. */
  runOutAfter(seconds: number | null): void;
  stop(): Promise<void>;
}

interface Given {
  place: string;
  expiresAtMs: number | null;
}

/** Starts a platform for each world; all have one app, whose requests go to `deliverTo`. */
export async function startSeveralWorkspaces(options: {
  worlds: readonly PracticeWorld[];
  clock: Clock;
  hurried?: HurriedClock;
  deliverTo: { url: string; signingSecret: string };
  /** As the app's settings have them. */
  oauth: { clientId: string; clientSecret: string; redirectUrl: string };
}): Promise<SeveralWorkspaces> {
  const { worlds, oauth } = options;
  const platforms = new Map<string, Platform>();
  for (const world of worlds)
    platforms.set(
      world.team.id,
      await startPlatform({
        port: 0,
        clock: options.clock,
        ...(options.hurried ? { hurried: options.hurried } : {}),
        world,
        deliverTo: options.deliverTo,
      }),
    );
  const at = (team: string): Platform => {
    const found = platforms.get(team);
    if (!found) throw new Error(`There is no workspace ${team}.`);
    return found;
  };
  const membersOf = (place: string) =>
    [...platforms.values()].filter(
      ({ world }) =>
        world.team.id === place || (world.enterprise?.isInstalled && world.enterprise.id === place),
    );
  const tokens = new Map<string, Given>();
  const codes = new Map<string, string>();
  const refreshTokens = new Map<string, string>();
  const calls: SeveralCall[] = [];
  const refreshes: string[] = [];
  let runsOutAfter: number | null = null;

  const give = (place: string): Json => {
    const [first] = membersOf(place);
    if (!first) return refuse('invalid_team_for_app');
    const { team, enterprise, app } = first.world;
    const token = `xoxb-${place}-${randomBytes(6).toString('hex')}`;
    const expiresAtMs = runsOutAfter === null ? null : Date.now() + runsOutAfter * 1_000;
    tokens.set(token, { place, expiresAtMs });
    for (const { core } of membersOf(place)) core.token.isRevoked = false;
    const isOrg = place === enterprise?.id;
    const refresh = `xoxe-1-${place}-${randomBytes(6).toString('hex')}`;
    if (runsOutAfter !== null) refreshTokens.set(refresh, place);
    return {
      ok: true,
      access_token: token,
      token_type: 'bot',
      scope: 'commands,chat:write',
      bot_user_id: app.botUserId,
      app_id: app.id,
      team: isOrg ? null : { id: team.id, name: team.name },
      enterprise: enterprise ? { id: enterprise.id, name: enterprise.name } : null,
      authed_user: { id: first.world.users[0]?.id ?? '' },
      is_enterprise_install: isOrg,
      ...(runsOutAfter === null ? {} : { refresh_token: refresh, expires_in: runsOutAfter }),
    };
  };
  const access = (args: Json): Json => {
    if (args.client_id !== oauth.clientId || args.client_secret !== oauth.clientSecret)
      return refuse('bad_client_secret');
    if (args.grant_type === 'refresh_token') {
      const refresh = String(args.refresh_token);
      refreshes.push(refresh);
      const place = refreshTokens.get(refresh);
      refreshTokens.delete(refresh);
      return place === undefined ? refuse('invalid_refresh_token') : give(place);
    }
    const code = String(args.code);
    const place = codes.get(code);
    codes.delete(code);
    if (place === undefined) return refuse('invalid_code');
    // Whatever was given there before is worth nothing any more.
    for (const [token, given] of tokens) if (given.place === place) tokens.delete(token);
    return give(place);
  };

  /** Where a call is done: an organisation's token must say in which workspace. */
  const placeOf = (given: Given, args: Json): Platform | Json => {
    if (given.expiresAtMs !== null && given.expiresAtMs <= Date.now()) return refuse('token_expired');
    const members = membersOf(given.place);
    const named = members.find(({ world }) => world.team.id === args.team_id);
    if (given.place.startsWith('E')) return named ?? members[0] ?? refuse('invalid_auth');
    if (args.team_id !== undefined && !named) return refuse('team_not_found');
    return members[0] ?? refuse('invalid_auth');
  };
  const serve = async (request: IncomingMessage, response: ServerResponse) => {
    const { pathname } = new URL(request.url ?? '/', 'http://localhost');
    const method = pathname.slice('/api/'.length);
    const body = await readBody(request);
    const args = await parseFields(request, body);
    if (method === 'oauth.v2.access') return sendJson(response, 200, access(args));
    if (method === 'api.test') return sendJson(response, 200, { ok: true });
    const given = tokens.get(bearer(request) ?? '');
    const place = given ? placeOf(given, args) : refuse('invalid_auth');
    const isDone = 'world' in place;
    calls.push({
      method,
      tokenOf: given?.place ?? null,
      team: isDone ? (place as Platform).world.team.id : null,
    });
    if (!isDone) return sendJson(response, 200, place);
    const platform = place as Platform;
    const answer = await fetch(`${platform.apiUrl}${method}`, {
      method: 'POST',
      headers: {
        'content-type': request.headers['content-type'] ?? 'application/x-www-form-urlencoded',
        authorization: `Bearer ${platform.world.app.botToken}`,
      },
      body: new Uint8Array(body),
    });
    return sendJson(response, answer.status, await answer.json());
  };
  const server = createServer((request, response) => {
    serve(request, response).catch(() => response.destroy());
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', () => resolve()));
  const { port } = server.address() as AddressInfo;
  return {
    apiUrl: `http://127.0.0.1:${port}/api/`,
    at,
    calls,
    refreshes,
    agree(authorizeUrl, place) {
      const asked = new URL(authorizeUrl);
      if (asked.pathname !== '/oauth/v2/authorize' || asked.searchParams.get('client_id') !== oauth.clientId)
        throw new Error(`The platform has no such page: ${asked.pathname}`);
      const code = randomBytes(8).toString('hex');
      codes.set(code, place);
      const back = new URL(oauth.redirectUrl);
      back.searchParams.set('code', code);
      back.searchParams.set('state', asked.searchParams.get('state') ?? '');
      return back;
    },
    tokenOf: (place) => [...tokens].findLast(([, given]) => given.place === place)?.[0],
    runOutAfter(seconds) {
      runsOutAfter = seconds;
    },
    async stop() {
      for (const platform of platforms.values()) await platform.stop();
      await new Promise<void>((resolve) => {
        server.close(() => resolve());
        server.closeAllConnections();
      });
    },
  };
}
