import path from 'node:path';
import { IANAZone } from 'luxon';
import * as z from 'zod';
import { readRedisAddress, redisUrlForms } from '../redis/redis-address.ts';

/** How much is logged. */
const logLevels = ['silent', 'fatal', 'error', 'warn', 'info', 'debug', 'trace'] as const;

/** The work a process may carry: answering the chat, or wake-ups and posts. */
const roles = ['chat', 'jobs'] as const;

/** Work a process carries. */
export type Role = (typeof roles)[number];

/** How the bot meets its chat platform. `practice`: no token is set, the local stand-in takes its place. */
export type Access =
  | { mode: 'practice' }
  | { mode: 'socket'; botToken: string; appToken: string }
  | { mode: 'http'; botToken: string; signingSecret: string }
  /** Many workspaces, each of which installs the app; over HTTP. */
  | {
      mode: 'many';
      signingSecret: string;
      clientId: string;
      clientSecret: string;
      stateSecret: string;
      /** The first seals the tokens of workspaces; each opens what it sealed. */
      tokenKeys: { id: string; key: Uint8Array }[];
    };

/** All settings of a process, checked. */
export type Config = Access & {
  /** Web API base, with a slash at its end. */
  slackApiUrl: string;
  /** Slash command with its slash. */
  command: string;
  /** Redis to use; null means the embedded server. */
  redisUrl: string | null;
  /** Replicas that must have an entry before somebody is told it's recorded. */
  redisCopies: number;
  /** Absolute path of the folder of all data. */
  dataDir: string;
  /** Port of the practice ward or of the HTTP receiver; 0 takes any free one. */
  port: number;
  /** Where /healthz, /readyz and /metrics are served; null: the practice ward's page serves them. */
  health: { host: string; port: number } | null;
  roles: ReadonlySet<Role>;
  /** IANA zone of a new ward. */
  wardZone: string;
  logLevel: (typeof logLevels)[number];
  /** A hurried ward clock: start in ms since the epoch (null: now) and ward ms per real ms. Null on a real ward. */
  clock: { startMs: number | null; rate: number } | null;
};

/** Settings, or every fault found in them, one plain sentence each. */
export type ConfigReading = { ok: true; config: Config } | { ok: false; problems: string[] };

const slacksOwnApi = 'https://slack.com/api/';

/** A value as it may be shown in a message: short, on one line. */
function shown(value: unknown): string {
  const text = String(value).replaceAll(/[^\x20-\x7e]/g, '?');
  return `"${text.length > 60 ? `${text.slice(0, 57)}...` : text}"`;
}

/** A field whose fault is named with its value and what is allowed. */
function say(name: string, allowed: string) {
  return { error: (issue: { input?: unknown }) => `${name} is ${shown(issue.input)}: ${allowed}.` };
}

/** A field whose value is never shown. */
function secret(name: string, shape: RegExp, allowed: string) {
  return z
    .string()
    .regex(shape, { error: `${name} does not look right (its value is not shown): ${allowed}.` });
}

function isLoopback(url: URL): boolean {
  return url.hostname === 'localhost' || url.hostname === '[::1]' || /^127(\.\d{1,3}){3}$/.test(url.hostname);
}

function parsedUrl(text: string): URL | null {
  return URL.canParse(text) ? new URL(text) : null;
}

function isApiUrl(text: string): boolean {
  const url = parsedUrl(text);
  if (url === null || url.username !== '' || url.password !== '' || url.search !== '' || url.hash !== '')
    return false;
  return url.protocol === 'https:' || (url.protocol === 'http:' && isLoopback(url));
}

/** Keys by name, the first of which seals; null where one is no key, or two have one name. */
function tokenKeysOf(text: string): { id: string; key: Uint8Array }[] | null {
  const keys = text.split(',').map((part) => {
    const [, id, base64] = /^([a-z0-9-]{1,20}):([A-Za-z0-9+/]{43}=)$/.exec(part.trim()) ?? [];
    return id && base64 ? { id, key: new Uint8Array(Buffer.from(base64, 'base64')) } : null;
  });
  const good = keys.filter((one) => one !== null);
  return good.length === keys.length && new Set(good.map(({ id }) => id)).size === good.length ? good : null;
}

/** A named zone; fixed offsets are no zones, for they know no clock changes. */
function isZone(text: string): boolean {
  return /^[A-Za-z]/.test(text) && IANAZone.isValidZone(text);
}

function isRoleList(text: string): boolean {
  const names = text.split(',').map((name) => name.trim());
  return names.every((name) => roles.some((role) => role === name)) && new Set(names).size === names.length;
}

const settingsSchema = z.object({
  SLACK_BOT_TOKEN: secret(
    'SLACK_BOT_TOKEN',
    /^xoxb-[\w-]{5,}$/,
    'a bot token begins with xoxb-; copy it from "OAuth & Permissions" of your Slack app',
  ).optional(),
  SLACK_APP_TOKEN: secret(
    'SLACK_APP_TOKEN',
    /^xapp-[\w-]{5,}$/,
    'an app-level token begins with xapp-; copy it from "Basic Information" of your Slack app',
  ).optional(),
  SLACK_SIGNING_SECRET: secret(
    'SLACK_SIGNING_SECRET',
    /^(?!xox|xapp)[\w-]{8,}$/,
    'it has at least 8 letters and digits and is no token; copy it from "Basic Information" of your Slack app',
  ).optional(),
  SLACK_CLIENT_ID: z
    .string()
    .regex(
      /^\d+\.\d+$/,
      say(
        'SLACK_CLIENT_ID',
        'it is two numbers with a point between; copy it from "Basic Information" of your Slack app',
      ),
    )
    .optional(),
  SLACK_CLIENT_SECRET: secret(
    'SLACK_CLIENT_SECRET',
    /^(?!xox|xapp)[\w-]{8,}$/,
    'it has at least 8 letters and digits and is no token; copy it from "Basic Information" of your Slack app',
  ).optional(),
  SLACK_STATE_SECRET: secret(
    'SLACK_STATE_SECRET',
    /^\S{16,}$/,
    'use 16 characters or more that nobody can guess, such as openssl rand -hex 32 prints',
  ).optional(),
  TOKEN_KEYS: z
    .string()
    .refine((text) => tokenKeysOf(text) !== null, {
      error:
        'TOKEN_KEYS does not look right (its value is not shown): use NAME:KEY, with a comma before each older one; NAME is up to 20 small letters, digits and -, KEY is 32 bytes in base64, such as openssl rand -base64 32 prints.',
    })
    .optional(),
  SLACK_API_URL: z
    .string()
    .refine(
      isApiUrl,
      say(
        'SLACK_API_URL',
        'use an https address, or an http address on this machine such as http://127.0.0.1:3001/api/',
      ),
    )
    .default(slacksOwnApi),
  SLACK_COMMAND: z
    .string()
    .regex(
      /^\/[a-z0-9_-]{1,31}$/,
      say('SLACK_COMMAND', 'use a slash and then 1 to 31 small letters, digits, - or _, such as /artline'),
    )
    .default('/artline'),
  REDIS_URL: z
    .string()
    .refine((text) => readRedisAddress(text) !== null, {
      error: `REDIS_URL is no Redis address (its value is not shown, it may hold a password): use ${redisUrlForms}, or leave it unset for the embedded server.`,
    })
    .optional(),
  REDIS_COPIES: z
    .string()
    .regex(
      /^\d$/,
      say(
        'REDIS_COPIES',
        'use the number of replicas that must have an entry before it counts as recorded, 0 to 9, or leave it unset',
      ),
    )
    .optional(),
  DATA_DIR: z
    .string()
    .refine((text) => !text.includes('\0'), say('DATA_DIR', 'use the path of a folder, such as ./data'))
    .default('./data'),
  PORT: z
    .string()
    .refine(
      (text) => /^\d{1,5}$/.test(text) && Number(text) <= 65_535,
      say('PORT', 'use a whole number from 1 to 65535, or 0 for any free port'),
    )
    .default('3000'),
  HEALTH_PORT: z
    .string()
    .refine(
      (text) => /^\d{1,5}$/.test(text) && Number(text) <= 65_535,
      say('HEALTH_PORT', 'use a whole number from 1 to 65535, or 0 for any free port'),
    )
    .optional(),
  HEALTH_HOST: z
    .string()
    .refine(
      (text) => z.union([z.ipv4(), z.ipv6()]).safeParse(text).success || text === 'localhost',
      say('HEALTH_HOST', 'use an address of this machine such as 127.0.0.1, or 0.0.0.0 for all of them'),
    )
    .default('127.0.0.1'),
  ROLES: z.string().refine(isRoleList, say('ROLES', 'use chat, jobs or chat,jobs')).default('chat,jobs'),
  WARD_TZ: z
    .string()
    .refine(isZone, say('WARD_TZ', 'use a time zone name such as Europe/Berlin, America/New_York or UTC'))
    .default('UTC'),
  LOG_LEVEL: z.enum(logLevels, say('LOG_LEVEL', `use one of ${logLevels.join(', ')}`)).default('info'),
  CLOCK_START: z.iso
    .datetime({
      offset: true,
      ...say(
        'CLOCK_START',
        'use an instant with its offset, such as 2026-01-31T19:00:00Z or 2026-01-31T19:00:00+01:00',
      ),
    })
    .optional(),
  CLOCK_RATE: z
    .string()
    .refine(
      (text) => /^\d+(\.\d+)?$/.test(text) && Number(text) >= 1 && Number(text) <= 3600,
      say('CLOCK_RATE', 'use a number from 1 to 3600 (ward seconds in one real second)'),
    )
    .optional(),
});

/** Every environment variable that is read. */
export const settingNames: readonly string[] = Object.keys(settingsSchema.shape);

type Settings = z.output<typeof settingsSchema>;

/** The raw text of each setting; blank counts as unset, as in compose files that pass empty variables on. */
function rawSettings(env: Readonly<Record<string, string | undefined>>): Record<string, string> {
  const raw: Record<string, string> = {};
  for (const name of settingNames) {
    const value = env[name]?.trim();
    if (value !== undefined && value !== '') raw[name] = value;
  }
  return raw;
}

/** What a bot for many workspaces needs besides the signing secret. */
const ofMany = ['SLACK_CLIENT_ID', 'SLACK_CLIENT_SECRET', 'SLACK_STATE_SECRET', 'TOKEN_KEYS'] as const;
type Has = (name: string) => boolean;
const isMany = (has: Has) => ofMany.some(has);

/** Faults of half a bot for many workspaces, or of one that is for one as well. */
function manyFaults(has: Has): string[] {
  if (!isMany(has)) return [];
  const given = ofMany.filter(has).join(', ');
  if (has('SLACK_BOT_TOKEN'))
    return [
      `SLACK_BOT_TOKEN is for one workspace and ${given} for many: unset SLACK_BOT_TOKEN, or all of ${ofMany.join(', ')}.`,
    ];
  const faults: string[] = [];
  const missing = ['SLACK_SIGNING_SECRET', ...ofMany].filter((name) => !has(name));
  if (missing.length > 0)
    faults.push(`${given} set for many workspaces, but not ${missing.join(', ')}: add what is missing.`);
  if (has('SLACK_APP_TOKEN'))
    faults.push('SLACK_APP_TOKEN is for Socket Mode, and many workspaces are served over HTTP: unset it.');
  return faults;
}

/** Faults that lie in settings not fitting together. Works on raw text, so that it also speaks when a field is bad. */
function pairingFaults(raw: Readonly<Record<string, string>>): string[] {
  const faults: string[] = [];
  const has = (name: string) => raw[name] !== undefined;
  faults.push(...manyFaults(has));
  if (has('SLACK_BOT_TOKEN') && !has('SLACK_APP_TOKEN') && !has('SLACK_SIGNING_SECRET')) {
    faults.push(
      'SLACK_BOT_TOKEN is set alone: add SLACK_APP_TOKEN (Socket Mode) or SLACK_SIGNING_SECRET (HTTP), or unset it for the practice ward.',
    );
  }
  for (const name of ['SLACK_APP_TOKEN', 'SLACK_SIGNING_SECRET']) {
    if (has(name) && !has('SLACK_BOT_TOKEN') && !isMany(has)) {
      faults.push(`${name} is set without SLACK_BOT_TOKEN: add it, or unset ${name} for the practice ward.`);
    }
  }
  const api = parsedUrl(raw['SLACK_API_URL'] ?? slacksOwnApi);
  for (const name of ['CLOCK_START', 'CLOCK_RATE']) {
    if (has(name) && (api === null || !isLoopback(api))) {
      faults.push(
        `${name} is ${shown(raw[name])}, but SLACK_API_URL is not an address on this machine: a real ward's clock is never changed. Unset ${name}, or set SLACK_API_URL to a loopback address such as http://127.0.0.1:3001/api/.`,
      );
    }
  }
  const wantedRoles = raw['ROLES'];
  if (
    wantedRoles !== undefined &&
    isRoleList(wantedRoles) &&
    !wantedRoles.includes(',') &&
    !has('REDIS_URL')
  ) {
    faults.push(
      `ROLES is ${shown(wantedRoles)}, but REDIS_URL is not set: a process with one role needs a Redis it shares with the other. Set REDIS_URL, or leave ROLES unset.`,
    );
  }
  return faults;
}

function accessFrom(settings: Settings): Access {
  const {
    SLACK_BOT_TOKEN: botToken,
    SLACK_APP_TOKEN: appToken,
    SLACK_SIGNING_SECRET: signingSecret,
    SLACK_CLIENT_ID: clientId,
    SLACK_CLIENT_SECRET: clientSecret,
    SLACK_STATE_SECRET: stateSecret,
    TOKEN_KEYS: keys,
  } = settings;
  const tokenKeys = keys === undefined ? null : tokenKeysOf(keys);
  if (signingSecret && clientId && clientSecret && stateSecret && tokenKeys)
    return { mode: 'many', signingSecret, clientId, clientSecret, stateSecret, tokenKeys };
  if (botToken === undefined) return { mode: 'practice' };
  if (appToken !== undefined) return { mode: 'socket', botToken, appToken };
  if (signingSecret !== undefined) return { mode: 'http', botToken, signingSecret };
  throw new Error('a bot token without its partner passed the pairing check');
}

/** Where several servers keep the record, one of them may die at any time: by default a second must have it. */
function copiesWanted({ REDIS_URL: url, REDIS_COPIES: copies }: Settings): number {
  if (copies !== undefined) return Number(copies);
  return url === undefined || readRedisAddress(url)?.kind === 'one' ? 0 : 1;
}

/**
 * Where the operator's routes are: by themselves, and only for this machine unless given. Where nothing else listens on PORT
 * they take it; a practice ward, which is for this machine alone, carries them itself.
 */
function healthFrom(
  { PORT, HEALTH_PORT, HEALTH_HOST: host }: Settings,
  takesRequests: boolean,
  isPractice: boolean,
): Config['health'] {
  if (HEALTH_PORT !== undefined) return { host, port: Number(HEALTH_PORT) };
  if (isPractice) return null;
  const port = Number(PORT);
  if (!takesRequests || port === 0) return { host, port };
  return { host, port: port === 65_535 ? port - 1 : port + 1 };
}

function configFrom(settings: Settings): Config {
  const { SLACK_API_URL: apiUrl, CLOCK_START: start, CLOCK_RATE: rate } = settings;
  const access = accessFrom(settings);
  const own = new Set(roles.filter((role) => settings.ROLES.split(',').some((name) => name.trim() === role)));
  return {
    ...access,
    slackApiUrl: apiUrl.endsWith('/') ? apiUrl : `${apiUrl}/`,
    command: settings.SLACK_COMMAND,
    redisUrl: settings.REDIS_URL ?? null,
    redisCopies: copiesWanted(settings),
    dataDir: path.resolve(settings.DATA_DIR),
    port: Number(settings.PORT),
    health: healthFrom(
      settings,
      (access.mode === 'http' || access.mode === 'many') && own.has('chat'),
      access.mode === 'practice',
    ),
    roles: own,
    wardZone: settings.WARD_TZ,
    logLevel: settings.LOG_LEVEL,
    clock:
      start === undefined && rate === undefined
        ? null
        : { startMs: start === undefined ? null : Date.parse(start), rate: Number(rate ?? '1') },
  };
}

/**
 * The settings of a process from its environment, or every fault in them at once. Secrets are never repeated in a fault.
 * Both an app token and a signing secret: Socket Mode is used.
 */
export function readConfig(env: Readonly<Record<string, string | undefined>>): ConfigReading {
  const raw = rawSettings(env);
  const parsed = settingsSchema.safeParse(raw);
  const problems = [...(parsed.error?.issues.map((issue) => issue.message) ?? []), ...pairingFaults(raw)];
  if (!parsed.success || problems.length > 0) return { ok: false, problems };
  return { ok: true, config: configFrom(parsed.data) };
}
