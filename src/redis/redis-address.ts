import * as z from 'zod';

/** One server of Redis. */
export interface HostPort {
  host: string;
  port: number;
}

interface Login {
  username?: string;
  password?: string;
  /** Encrypted with TLS. */
  tls: boolean;
}

/** Where a Redis of the ward's own is, read from REDIS_URL. */
export type RedisAddress =
  | (Login & HostPort & { kind: 'one'; db: number })
  | (Login & {
      kind: 'sentinels';
      sentinels: HostPort[];
      name: string;
      db: number;
      sentinelPassword?: string;
    })
  | (Login & { kind: 'cluster'; nodes: HostPort[] });

/** Every form of REDIS_URL, as they are told to whoever typed another. */
export const redisUrlForms =
  'redis://host:6379, redis+sentinel://host1:26379,host2:26379,host3:26379/mymaster or redis+cluster://host1:6379,host2:6379,host3:6379 (rediss… for TLS; user:password@ before the hosts)';

const usualPort = 6_379;
const usualSentinelPort = 26_379;

const shape =
  /^(?<tls>rediss|redis)(?:\+(?<kind>sentinel|cluster))?:\/\/(?:(?<login>[^@/?#]*)@)?(?<hosts>[^/?#@]+)(?:\/(?<path>[^?#]*))?(?:\?(?<query>[^#]*))?$/;

const hostShape = /^(?<host>\[[0-9a-fA-F:.]+\]|[A-Za-z0-9._-]+)(?::(?<port>\d{1,5}))?$/;

const wordSchema = z.string().regex(/^[A-Za-z0-9._-]+$/);
const dbSchema = z
  .string()
  .regex(/^\d{1,5}$/)
  .transform(Number);

/** Reads a REDIS_URL; null where it has none of `redisUrlForms`. */
export function readRedisAddress(text: string): RedisAddress | null {
  const parts = shape.exec(text)?.groups;
  if (!parts) return null;
  const { kind, path = '', query = '' } = parts;
  const hosts = hostsIn(parts['hosts'] ?? '', kind === 'sentinel' ? usualSentinelPort : usualPort);
  const login = loginIn(parts['login'] ?? '');
  if (hosts === null || login === null) return null;
  const common = { ...login, tls: parts['tls'] === 'rediss' };
  if (kind === 'cluster')
    return path === '' && query === '' ? { kind: 'cluster', nodes: hosts, ...common } : null;
  if (kind === 'sentinel') return sentinelsIn(hosts, path, query, common);
  const [only] = hosts;
  const db = dbIn(path);
  if (!only || hosts.length > 1 || db === null || query !== '') return null;
  return { kind: 'one', ...only, db, ...common };
}

function sentinelsIn(sentinels: HostPort[], path: string, query: string, common: Login): RedisAddress | null {
  const [name = '', dbText = '', ...more] = path.split('/');
  const db = dbIn(dbText);
  const asked = new URLSearchParams(query);
  const sentinelPassword = asked.get('sentinelPassword') ?? undefined;
  const isKnown = [...asked.keys()].every((key) => key === 'sentinelPassword');
  if (!wordSchema.safeParse(name).success || db === null || more.length > 0 || !isKnown) return null;
  return {
    kind: 'sentinels',
    sentinels,
    name,
    db,
    ...common,
    ...(sentinelPassword === undefined ? {} : { sentinelPassword }),
  };
}

function hostsIn(text: string, port: number): HostPort[] | null {
  const hosts = text.split(',').map((one) => {
    const found = hostShape.exec(one.trim())?.groups;
    const given = Number(found?.['port'] ?? port);
    if (!found || given < 1 || given > 65_535) return null;
    return { host: (found['host'] ?? '').replace(/^\[(.*)\]$/, '$1'), port: given };
  });
  return hosts.every((host) => host !== null) ? hosts : null;
}

function loginIn(text: string): Pick<Login, 'username' | 'password'> | null {
  if (text === '') return {};
  const colon = text.indexOf(':');
  const [user, password] = colon < 0 ? [text, ''] : [text.slice(0, colon), text.slice(colon + 1)];
  try {
    return {
      ...(user === '' ? {} : { username: decodeURIComponent(user) }),
      ...(password === '' ? {} : { password: decodeURIComponent(password) }),
    };
  } catch {
    return null;
  }
}

function dbIn(text: string): number | null {
  if (text === '') return 0;
  const read = dbSchema.safeParse(text);
  return read.success ? read.data : null;
}
