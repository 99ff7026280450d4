import path from 'node:path';
import { readRedisAddress } from '../redis/redis-address.ts';
import {
  type logLevels,
  type Role,
  roles,
  type Settings,
  settingNames,
  settingsSchema,
  tokenKeysOf,
} from './settings.ts';
import { pairingFaults } from './settings-that-clash.ts';

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
  /** Where a collector of traces is, and the bot's name there; null: there are no traces. */
  tracesTo: { endpoint: string; service: string } | null;
  /** A hurried ward clock: start in ms since the epoch (null: now) and ward ms per real ms. Null on a real ward. */
  clock: { startMs: number | null; rate: number } | null;
};

/** Settings, or every fault found in them, one plain sentence each. */
export type ConfigReading = { ok: true; config: Config } | { ok: false; problems: string[] };

/** The raw text of each setting; blank counts as unset, as in compose files that pass empty variables on. */
function rawSettings(env: Readonly<Record<string, string | undefined>>): Record<string, string> {
  const raw: Record<string, string> = {};
  for (const name of settingNames) {
    const value = env[name]?.trim();
    if (value !== undefined && value !== '') raw[name] = value;
  }
  return raw;
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

function tracesTo({ OTEL_EXPORTER_OTLP_ENDPOINT: endpoint, OTEL_SERVICE_NAME: service }: Settings) {
  return endpoint === undefined ? null : { endpoint, service };
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
    tracesTo: tracesTo(settings),
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
