import { randomBytes } from 'node:crypto';
import { refuse } from './core.ts';
import type { Json } from './message.ts';
import type { Platform } from './platform.ts';

/** As the app's settings have them. */
export interface OAuthSettings {
  clientId: string;
  clientSecret: string;
  redirectUrl: string;
}

/** A token, and of which workspace or organisation it is. */
export interface GivenToken {
  place: string;
  expiresAtMs: number | null;
}

/** Where apps are agreed to and given their tokens. */
export class OAuthDesk {
  readonly #settings: OAuthSettings;
  /** The workspaces of a place: itself, or those of the organisation that has the app as a whole. */
  readonly #membersOf: (place: string) => readonly Platform[];
  readonly #tokens = new Map<string, GivenToken>();
  readonly #codes = new Map<string, string>();
  readonly #refreshTokens = new Map<string, string>();
  /** Refresh tokens that were asked with, in order; each is good for one use. */
  readonly refreshes: string[] = [];
  #runsOutAfterS: number | null = null;

  constructor(settings: OAuthSettings, membersOf: (place: string) => readonly Platform[]) {
    this.#settings = settings;
    this.#membersOf = membersOf;
  }

  given(token: string): GivenToken | undefined {
    return this.#tokens.get(token);
  }

  tokenOf(place: string): string | undefined {
    return [...this.#tokens].findLast(([, given]) => given.place === place)?.[0];
  }

  runOutAfter(seconds: number | null): void {
    this.#runsOutAfterS = seconds;
  }

  agree(authorizeUrl: string, place: string): URL {
    const asked = new URL(authorizeUrl);
    const { clientId, redirectUrl } = this.#settings;
    if (asked.pathname !== '/oauth/v2/authorize' || asked.searchParams.get('client_id') !== clientId)
      throw new Error(`The platform has no such page: ${asked.pathname}`);
    const code = randomBytes(8).toString('hex');
    this.#codes.set(code, place);
    const back = new URL(redirectUrl);
    back.searchParams.set('code', code);
    back.searchParams.set('state', asked.searchParams.get('state') ?? '');
    return back;
  }

  /** oauth.v2.access. */
  access(args: Json): Json {
    const { clientId, clientSecret } = this.#settings;
    if (args.client_id !== clientId || args.client_secret !== clientSecret)
      return refuse('bad_client_secret');
    if (args.grant_type === 'refresh_token') {
      const refresh = String(args.refresh_token);
      this.refreshes.push(refresh);
      const place = this.#refreshTokens.get(refresh);
      this.#refreshTokens.delete(refresh);
      return place === undefined ? refuse('invalid_refresh_token') : this.#give(place);
    }
    const code = String(args.code);
    const place = this.#codes.get(code);
    this.#codes.delete(code);
    if (place === undefined) return refuse('invalid_code');
    // Whatever was given there before is worth nothing any more.
    for (const [token, given] of this.#tokens) if (given.place === place) this.#tokens.delete(token);
    return this.#give(place);
  }

  #give(place: string): Json {
    const members = this.#membersOf(place);
    const [first] = members;
    if (!first) return refuse('invalid_team_for_app');
    const { team, enterprise, app, users } = first.world;
    const runsOutAfterS = this.#runsOutAfterS;
    const token = `xoxb-${place}-${randomBytes(6).toString('hex')}`;
    const expiresAtMs = runsOutAfterS === null ? null : Date.now() + runsOutAfterS * 1_000;
    this.#tokens.set(token, { place, expiresAtMs });
    for (const { core } of members) core.token.isRevoked = false;
    const isOrg = place === enterprise?.id;
    const refresh = `xoxe-1-${place}-${randomBytes(6).toString('hex')}`;
    if (runsOutAfterS !== null) this.#refreshTokens.set(refresh, place);
    return {
      ok: true,
      access_token: token,
      token_type: 'bot',
      scope: 'commands,chat:write',
      bot_user_id: app.botUserId,
      app_id: app.id,
      team: isOrg ? null : { id: team.id, name: team.name },
      enterprise: enterprise ? { id: enterprise.id, name: enterprise.name } : null,
      authed_user: { id: users[0]?.id ?? '' },
      is_enterprise_install: isOrg,
      ...(runsOutAfterS === null ? {} : { refresh_token: refresh, expires_in: runsOutAfterS }),
    };
  }
}
