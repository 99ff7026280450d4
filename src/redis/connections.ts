import { Redis, type RedisOptions } from 'ioredis';
import type { EmbeddedConnection } from './embedded-redis-conf.ts';

/** Where Redis is: the embedded server's socket or port, or a REDIS_URL. */
export type RedisTarget = { url: string } | EmbeddedConnection;

/** Options of one connection, as ioredis and BullMQ take them. */
export type ConnectionSettings = Omit<RedisOptions, 'replyMapping'>;

/** Longest wait between two attempts to come back to Redis, ms. */
const longestReconnectMs = 500;
/** A command without an answer is given up after this, ms: the chat platform waits 3 s for its acknowledgement. */
const commandPatienceMs = 2_000;
/** A connection that owes answers and is silent is taken for dead and built again, ms. */
const silentConnectionMs = 4_000;

/**
 * Options of connections that somebody waits behind: what cannot be sent now, or is not answered in 2 s, is refused
 * rather than kept waiting.
 */
export function commandOptions(target: RedisTarget): ConnectionSettings {
  return {
    ...reachedAt(target),
    retryStrategy,
    enableOfflineQueue: false,
    maxRetriesPerRequest: 1,
    commandTimeout: commandPatienceMs,
    socketTimeout: silentConnectionMs,
    connectTimeout: silentConnectionMs,
  };
}

/** Options of connections that work in the background: they wait for Redis as long as it takes. */
export function workerOptions(target: RedisTarget): ConnectionSettings {
  return {
    ...reachedAt(target),
    retryStrategy,
    maxRetriesPerRequest: null,
    connectTimeout: silentConnectionMs,
  };
}

/**
 * A connection for commands; it comes back by itself. `onError` hears of each failure to connect, which is also what
 * every command says meanwhile.
 */
export function openCommands(target: RedisTarget, onError: (error: Error) => void): Redis {
  const client = new Redis(commandOptions(target));
  client.on('error', onError);
  return client;
}

/** Resolves when the connection takes commands; rejects with its last failure after `patienceMs`. */
export async function untilReady(client: Redis, patienceMs: number): Promise<void> {
  if (client.status === 'ready') return;
  await new Promise<void>((resolve, reject) => {
    let last: Error | undefined;
    const hear = (error: Error) => {
      last = error;
    };
    const ready = () => {
      clearTimeout(timer);
      client.off('error', hear);
      resolve();
    };
    const timer = setTimeout(() => {
      client.off('error', hear);
      client.off('ready', ready);
      reject(
        last ??
          new Error(`Redis did not answer within ${patienceMs} ms: check that it runs and can be reached.`),
      );
    }, patienceMs);
    client.on('error', hear);
    client.once('ready', ready);
  });
}

/** How a connection reaches Redis, as plain data that another thread can be given. */
export function reachOf({ options }: Redis): Record<string, unknown> {
  const { host, port, path, username, password, db, tls } = options;
  const given = { host, port, path, username, password, db, tls };
  return Object.fromEntries(
    Object.entries(given).filter(([, value]) => value !== undefined && value !== null),
  );
}

function retryStrategy(attempt: number): number {
  return Math.min(attempt * 50, longestReconnectMs);
}

function reachedAt(target: RedisTarget): ConnectionSettings {
  if (!('url' in target)) return target;
  const url = new URL(target.url);
  const db = Number(url.pathname.slice(1) || '0');
  return {
    host: url.hostname.replace(/^\[(.*)\]$/, '$1'),
    port: Number(url.port || '6379'),
    ...(url.username === '' ? {} : { username: decodeURIComponent(url.username) }),
    ...(url.password === '' ? {} : { password: decodeURIComponent(url.password) }),
    ...(Number.isInteger(db) && db > 0 ? { db } : {}),
    ...(url.protocol === 'rediss:' ? { tls: {} } : {}),
  };
}
