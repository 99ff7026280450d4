import type { ChildProcess } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { Cluster, Redis } from 'ioredis';
import type { EmbeddedConnection } from '../../src/redis/embedded-redis-conf.ts';
import { findRedisServer } from '../../src/redis/redis-server-program.ts';
import { freePorts } from './free-ports.ts';
import { endServer, startServer } from './server-processes.ts';

/** A real server for one test file: written through to disk, on a socket of its own, gone with its folder at the end. */
export interface TestRedis {
  connection: EmbeddedConnection;
  /** A client that waits for the server; closed with the server. */
  client: () => Redis;
  /** Ends the server at once, as a power cut would end it for its clients. */
  kill: () => Promise<void>;
  /** Holds the server still, as a hung machine would, or lets it go on. */
  pause: () => void;
  resume: () => void;
  /** Starts it again on what it has on disk. */
  startAgain: () => Promise<void>;
  stop: () => Promise<void>;
}

const arguments_ = [
  ['--save', ''],
  ['--appendonly', 'yes'],
  ['--appendfsync', 'always'],
  ['--maxmemory-policy', 'noeviction'],
  ['--hz', '100'],
  ['--loglevel', 'warning'],
].flat();

/** Starts a server; throws with a plain sentence when this machine has none. `extra` are further arguments of it. */
export async function startTestRedis(extra: readonly string[] = []): Promise<TestRedis> {
  const program = findRedisServer();
  const folder = mkdtempSync(path.join(os.tmpdir(), 'dicrotic-redis-'));
  const connection = { path: path.join(folder, 's') };
  const clients = new Set<Redis>();
  let child: ChildProcess;

  const start = async () => {
    const common = ['--dir', folder, '--port', '0', '--unixsocket', connection.path];
    child = startServer(program, [...common, ...arguments_, ...extra]);
    await untilAnswered(child, new Redis({ ...connection, lazyConnect: true, retryStrategy: () => 20 }));
  };
  await start();

  return {
    connection,
    client() {
      const client = new Redis({ ...connection, retryStrategy: () => 20 });
      client.on('error', () => {});
      clients.add(client);
      return client;
    },
    kill: () => endServer(child),
    pause: () => void child.kill('SIGSTOP'),
    resume: () => void child.kill('SIGCONT'),
    startAgain: start,
    async stop() {
      for (const client of clients) client.disconnect();
      await endServer(child);
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** A cluster of one server that holds all slots: it refuses what a larger one would refuse too. */
export async function startTestCluster(): Promise<{ client: Cluster; stop(): Promise<void> }> {
  const program = findRedisServer();
  const folder = mkdtempSync(path.join(os.tmpdir(), 'dicrotic-cluster-'));
  const [port = 0, busPort = 0] = await freePorts(2);
  const clustered = [
    '--cluster-enabled',
    'yes',
    '--cluster-port',
    String(busPort),
    '--cluster-announce-ip',
    '127.0.0.1',
  ];
  const child = startServer(program, [
    '--dir',
    folder,
    '--port',
    String(port),
    '--bind',
    '127.0.0.1',
    ...clustered,
    ...arguments_,
  ]);
  const setUp = new Redis({
    host: '127.0.0.1',
    port,
    lazyConnect: true,
    retryStrategy: () => 20,
    enableReadyCheck: false,
  });
  await untilAnswered(child, setUp, async () => {
    await setUp.call('CLUSTER', 'ADDSLOTS', ...Array.from({ length: 16_384 }, (_, slot) => String(slot)));
    while (!String(await setUp.call('CLUSTER', 'INFO')).includes('cluster_state:ok')) await setUp.ping();
  });
  const client = new Cluster([{ host: '127.0.0.1', port }]);
  return {
    client,
    async stop() {
      client.disconnect();
      await endServer(child);
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

async function untilAnswered(child: ChildProcess, client: Redis, then = async () => {}): Promise<void> {
  client.on('error', () => {});
  try {
    await new Promise<void>((resolve, reject) => {
      child.once('error', reject);
      child.once('exit', (code) => reject(new Error(`redis-server ended with code ${code} while starting`)));
      client.once('ready', resolve);
      client.connect().catch(() => {
        // Not up yet: the client tries again by itself.
      });
    });
    await then();
  } finally {
    client.disconnect();
  }
}
