import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { Clock, HurriedClock } from '../../app/clock.ts';
import { refuse } from './core.ts';
import { closeServer, listenOn } from './http-server.ts';
import type { Json } from './message.ts';
import { type GivenToken, OAuthDesk, type OAuthSettings } from './oauth-desk.ts';
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

/** Where a call is done, of the workspaces that its token is good for; or why it is not. */
function placeOf(given: GivenToken, members: readonly Platform[], args: Json): Platform | { refusal: Json } {
  if (given.expiresAtMs !== null && given.expiresAtMs <= Date.now())
    return { refusal: refuse('token_expired') };
  const named = members.find(({ world }) => world.team.id === args.team_id);
  // An organisation's token must say in which workspace.
  const isOrg = given.place.startsWith('E');
  if (!isOrg && args.team_id !== undefined && !named) return { refusal: refuse('team_not_found') };
  return (isOrg ? named : undefined) ?? members[0] ?? { refusal: refuse('invalid_auth') };
}

/** Hands a call on to the workspace in which it is done, under that workspace's own token. */
async function handOn(
  { apiUrl, world }: Platform,
  method: string,
  request: IncomingMessage,
  body: Buffer,
  response: ServerResponse,
): Promise<void> {
  const answer = await fetch(`${apiUrl}${method}`, {
    method: 'POST',
    headers: {
      'content-type': request.headers['content-type'] ?? 'application/x-www-form-urlencoded',
      authorization: `Bearer ${world.app.botToken}`,
    },
    body: new Uint8Array(body),
  });
  sendJson(response, answer.status, await answer.json());
}

/** Starts a platform for each world; all have one app, whose requests go to `deliverTo`. */
export async function startSeveralWorkspaces(options: {
  worlds: readonly PracticeWorld[];
  clock: Clock;
  hurried?: HurriedClock;
  deliverTo: { url: string; signingSecret: string };
  oauth: OAuthSettings;
}): Promise<SeveralWorkspaces> {
  const { worlds, oauth, ...common } = options;
  const platforms = new Map<string, Platform>();
  for (const world of worlds)
    platforms.set(world.team.id, await startPlatform({ port: 0, world, ...common }));
  const membersOf = (place: string) =>
    [...platforms.values()].filter(
      ({ world }) =>
        world.team.id === place || (world.enterprise?.isInstalled && world.enterprise.id === place),
    );
  const desk = new OAuthDesk(oauth, membersOf);
  const calls: SeveralCall[] = [];

  const serve = async (request: IncomingMessage, response: ServerResponse) => {
    const { pathname } = new URL(request.url ?? '/', 'http://localhost');
    const method = pathname.slice('/api/'.length);
    const body = await readBody(request);
    const args = await parseFields(request, body);
    if (method === 'oauth.v2.access') return sendJson(response, 200, desk.access(args));
    if (method === 'api.test') return sendJson(response, 200, { ok: true });
    const given = desk.given(bearer(request) ?? '');
    const place = given ? placeOf(given, membersOf(given.place), args) : { refusal: refuse('invalid_auth') };
    const team = 'refusal' in place ? null : place.world.team.id;
    calls.push({ method, tokenOf: given?.place ?? null, team });
    if ('refusal' in place) return sendJson(response, 200, place.refusal);
    return handOn(place, method, request, body, response);
  };
  const server = createServer((request, response) => {
    serve(request, response).catch(() => response.destroy());
  });
  const port = await listenOn(server, 0);
  return {
    apiUrl: `http://127.0.0.1:${port}/api/`,
    at(team) {
      const found = platforms.get(team);
      if (!found) throw new Error(`There is no workspace ${team}.`);
      return found;
    },
    calls,
    refreshes: desk.refreshes,
    agree: (authorizeUrl, place) => desk.agree(authorizeUrl, place),
    tokenOf: (place) => desk.tokenOf(place),
    runOutAfter: (seconds) => desk.runOutAfter(seconds),
    async stop() {
      for (const platform of platforms.values()) await platform.stop();
      await closeServer(server);
    },
  };
}
