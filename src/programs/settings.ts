import { IANAZone } from 'luxon';
import * as z from 'zod';
import { readRedisAddress, redisUrlForms } from '../redis/redis-address.ts';

/** How much is logged. */
export const logLevels = ['silent', 'fatal', 'error', 'warn', 'info', 'debug', 'trace'] as const;

/** The work a process may carry: answering the chat, or wake-ups and posts. */
export const roles = ['chat', 'jobs'] as const;

/** Work a process carries. */
export type Role = (typeof roles)[number];

/** The base of Slack’s own Web API. */
export const slacksOwnApi = 'https://slack.com/api/';

/** A value as it may be shown in a message: short, on one line. */
export function shown(value: unknown): string {
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

export function isLoopback(url: URL): boolean {
  return url.hostname === 'localhost' || url.hostname === '[::1]' || /^127(\.\d{1,3}){3}$/.test(url.hostname);
}

export function parsedUrl(text: string): URL | null {
  return URL.canParse(text) ? new URL(text) : null;
}

function isApiUrl(text: string): boolean {
  const url = parsedUrl(text);
  if (url === null || url.username !== '' || url.password !== '' || url.search !== '' || url.hash !== '')
    return false;
  return url.protocol === 'https:' || (url.protocol === 'http:' && isLoopback(url));
}

/** Keys by name, the first of which seals; null where one is no key, or two have one name. */
export function tokenKeysOf(text: string): { id: string; key: Uint8Array }[] | null {
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

export function isRoleList(text: string): boolean {
  const names = text.split(',').map((name) => name.trim());
  return names.every((name) => roles.some((role) => role === name)) && new Set(names).size === names.length;
}

/** Each setting as its environment variable has it, with what is said of a bad one. */
export const settingsSchema = z.object({
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
  OTEL_EXPORTER_OTLP_ENDPOINT: z
    .string()
    .refine((text) => /^https?:$/.test(parsedUrl(text)?.protocol ?? ''), {
      error:
        'OTEL_EXPORTER_OTLP_ENDPOINT is no address (its value is not shown, it may hold a password): use one such as http://127.0.0.1:4318, or leave it unset for no traces.',
    })
    .optional(),
  OTEL_SERVICE_NAME: z
    .string()
    .regex(
      /^[\w.-]{1,60}$/,
      say('OTEL_SERVICE_NAME', 'use up to 60 letters, digits, points, - or _, such as dicrotic'),
    )
    .default('dicrotic'),
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

/** The settings as text, each checked by itself. */
export type Settings = z.output<typeof settingsSchema>;
