import { Cluster, type ClusterOptions, Redis, type RedisOptions } from 'ioredis';
import type { EmbeddedConnection } from './embedded-redis-conf.ts';
import { type RedisAddress, readRedisAddress, redisUrlForms } from './redis-address.ts';
import type { RecordClient } from './script.ts';

/** Where Redis is, as plain data that another thread can be given: the embedded server's socket or port, or a REDIS_URL. */
export type RedisTarget = { url: string } | EmbeddedConnection;

/** Options of one connection, as ioredis and BullMQ take them. */
export type ConnectionSettings = Omit<RedisOptions, 'replyMapping'>;

type SetClusterOptions = Omit<ClusterOptions, 'redisOptions'> & {
  redisOptions: Omit<
    ConnectionSettings,
    | 'port'
    | 'host'
    | 'path'
    | 'sentinels'
    | 'retryStrategy'
    | 'enableOfflineQueue'
    | 'readOnly'
    | 'himportFieldsets'
  >;
};

/** Longest wait between two attempts to come back to Redis, ms. */
const longestReconnectMs = 500;
/** A command without an answer is given up after this, ms: the chat platform waits 3 s for its acknowledgement. */
const commandPatienceMs = 2_000;
/** A connection that owes answers and is silent is taken for dead and built again, ms. */
const silentConnectionMs = 4_000;
/** The same where workers wait for jobs, ms: they wait 10 s for one at most. */
const silentWorkerMs = 12_000;
/** How long one sentinel may take to name the master, ms. */
const sentinelPatienceMs = 500;
/** A command that met a dead or moving master is tried again after this, ms. */
const redirectMs = 100;

/** What a connection is for: somebody waits behind it, it works in the background, or workers wait on it for jobs. */
export type Manner = 'commands' | 'background' | 'jobs';

/**
 * How a connection behaves. For commands: what cannot be sent now, or is not answered in 2 s, is refused rather than kept
 * waiting. In the background: it waits for Redis as long as it takes. For jobs: the same, but a server that a cut network hides is
 * given up; the system alone would wait a quarter of an hour for its answer.
 */
export function behaviour(manner: Manner): ConnectionSettings {
  const always = { retryStrategy, connectTimeout: silentConnectionMs };
  if (manner === 'background') return { ...always, maxRetriesPerRequest: null };
  if (manner === 'jobs') return { ...always, maxRetriesPerRequest: null, socketTimeout: silentWorkerMs };
  return {
    ...always,
    enableOfflineQueue: false,
    maxRetriesPerRequest: 1,
    commandTimeout: commandPatienceMs,
    socketTimeout: silentConnectionMs,
  };
}

/** A connection to where Redis is; it comes back by itself, after a fail-over to the new master. */
export function connect(target: RedisTarget, manner: Manner): RecordClient {
  if (!('url' in target)) return new Redis({ ...target, ...behaviour(manner) });
  const address = readRedisAddress(target.url);
  if (address === null) throw new Error(`REDIS_URL is no Redis address: use ${redisUrlForms}.`);
  if (address.kind === 'cluster') return new Cluster(address.nodes, clusterOptions(address, manner));
  return new Redis({ ...reachedAt(address), ...behaviour(manner) });
}

/**
 * A connection for commands. `onError` hears of each failure to connect, which is also what every command says
 * meanwhile.
 */
export function openCommands(target: RedisTarget, onError: (error: Error) => void): RecordClient {
  const client = connect(target, 'commands');
  client.on('error', onError);
  return client;
}

/** Resolves when the connection takes commands; rejects with its last failure after `patienceMs`. */
export async function untilReady(client: RecordClient, patienceMs: number): Promise<void> {
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

function retryStrategy(attempt: number): number {
  return Math.min(attempt * 50, longestReconnectMs);
}

/** Where a single server, or the master that the sentinels name, is reached. */
export function reachedAt(address: Exclude<RedisAddress, { kind: 'cluster' }>): ConnectionSettings {
  const { db } = address;
  const common = { ...login(address), ...(db > 0 ? { db } : {}) };
  if (address.kind === 'one') return { host: address.host, port: address.port, ...common };
  const { sentinels, name, tls, sentinelPassword } = address;
  return {
    ...common,
    sentinels,
    name,
    // A sentinel that hangs is left for the next one.
    sentinelCommandTimeout: sentinelPatienceMs,
    sentinelRetryStrategy: retryStrategy,
    // No failoverDetector: news of a fail-over that comes while it connects ends an ioredis client for good (6.0.0). A
    // silent connection is built anew after `silentConnectionMs`. A master that was deposed while it was away refuses writes: the sentinels know the new one, and nothing was written.
    reconnectOnError: ({ message }) => (message.startsWith('READONLY') ? 2 : false),
    ...(tls ? { enableTLSForSentinelMode: true, sentinelTLS: {} } : {}),
    ...(sentinelPassword === undefined ? {} : { sentinelPassword }),
  };
}

function clusterOptions(address: RedisAddress, manner: Manner): SetClusterOptions {
  const {
    retryStrategy: clusterRetryStrategy,
    enableOfflineQueue = true,
    ...redisOptions
  } = behaviour(manner);
  return {
    redisOptions: { ...redisOptions, ...login(address) },
    clusterRetryStrategy: clusterRetryStrategy as (attempt: number) => number,
    enableOfflineQueue,
    // A slot whose master died is taken over within seconds; who waits behind a command is answered before.
    retryDelayOnFailover: redirectMs,
    retryDelayOnClusterDown: redirectMs,
    slotsRefreshTimeout: commandPatienceMs,
    // A certificate is for a name, which a cluster's own addresses are not looked up for.
    ...(address.tls ? { dnsLookup: (host, found) => found(null, host) } : {}),
  };
}

function login({ username, password, tls }: RedisAddress): ConnectionSettings {
  return {
    ...(username === undefined ? {} : { username }),
    ...(password === undefined ? {} : { password }),
    ...(tls ? { tls: {} } : {}),
  };
}
