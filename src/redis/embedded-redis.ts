import { type ChildProcess, spawn } from 'node:child_process';
import { randomBytes } from 'node:crypto';
import {
  chmodSync,
  closeSync,
  mkdirSync,
  openSync,
  readFileSync,
  realpathSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { createServer } from 'node:net';
import path from 'node:path';
import { Redis } from 'ioredis';
import type { Log } from '../observe/log.ts';
import { lockDataDir } from './data-dir-lock.ts';
import {
  connectionInConf,
  type EmbeddedConnection,
  fitsAsSocketPath,
  redisConfText,
} from './embedded-redis-conf.ts';
import { processCommandLine, processIdentity } from './process-identity.ts';
import { findRedisServer } from './redis-server-program.ts';

/** How long a server that was asked to stop may take to write out what it holds, in ms. */
const stopPatienceMs = 10_000;
/** A log of the server longer than this is begun anew at start, in bytes. */
const longestServerLogBytes = 1_000_000;
/** Waits before a server that died is started again, in ms; the last one repeats. */
const restartDelaysMs = [100, 500, 2_000, 5_000];

/** A Redis server that belongs to this process alone. */
export interface EmbeddedRedis {
  /** Spread it into ioredis options. It stays the same when the server is restarted. */
  readonly connection: EmbeddedConnection;
  /** Process id of the server that runs now. */
  readonly pid: number;
  /** Stops the server, waits until all is on disk and it is gone, and gives the data folder free. */
  stop(): Promise<void>;
}

/** What an embedded server needs to know. */
export interface EmbeddedRedisOptions {
  /** Folder of all data of this bot (DATA_DIR); made when missing. The server's files go to its `redis` folder. */
  dataDir: string;
  log: Log;
  /** Names or paths of server programs to try; by default redis-server, then valkey-server. */
  programNames?: readonly string[];
}

const wait = (delayMs: number) => new Promise<void>((resolve) => setTimeout(resolve, delayMs));

async function isGoneWithin(processId: number, patienceMs: number): Promise<boolean> {
  const run = processIdentity(processId);
  const attempts = Math.ceil(patienceMs / 25);
  for (let attempt = 0; attempt < attempts; attempt += 1) {
    if (run === null || processIdentity(processId) !== run) return true;
    await wait(25);
  }
  return false;
}

function signal(processId: number, name: NodeJS.Signals): void {
  try {
    process.kill(processId, name);
  } catch {
    // Already gone, which is what was wanted.
  }
}

async function endProcess(processId: number): Promise<void> {
  // Asked more than once: a server that is just writing a first append-only file lets the question pass.
  for (let waitedMs = 0; waitedMs < stopPatienceMs; waitedMs += 500) {
    signal(processId, 'SIGTERM');
    if (await isGoneWithin(processId, 500)) return;
  }
  // Safe: every answered write is already on disk.
  signal(processId, 'SIGKILL');
  if (await isGoneWithin(processId, stopPatienceMs)) return;
  throw new Error(
    `Redis process ${processId} does not end, not even by SIGKILL: look at that process, then start again.`,
  );
}

function quietClient(connection: EmbeddedConnection, retryStrategy: () => number | null): Redis {
  const client = new Redis({ ...connection, lazyConnect: true, retryStrategy, maxRetriesPerRequest: null });
  client.on('error', () => {});
  return client;
}

/** Process id of the server that answers at `connection` and keeps its files in `folder`; else null. */
async function serverAt(connection: EmbeddedConnection, folder: string): Promise<number | null> {
  const client = quietClient(connection, () => null);
  try {
    await client.connect();
    const [, dir] = (await client.config('GET', 'dir')) as string[];
    if (dir === undefined || realpathSync(dir) !== folder) return null;
    return Number(/^process_id:(\d+)/m.exec(await client.info('server'))?.[1]);
  } catch {
    return null;
  } finally {
    client.disconnect();
  }
}

function readText(file: string): string {
  try {
    return readFileSync(file, 'utf8');
  } catch {
    return '';
  }
}

/** The server an earlier process left running on this folder when it was killed, or null. */
async function findOrphan(folder: string, confFile: string): Promise<number | null> {
  const connection = connectionInConf(readText(confFile));
  const answering = connection === null ? null : await serverAt(connection, folder);
  if (answering !== null) return answering;
  // It may live without answering: still loading, or stuck.
  const written = Number(readText(path.join(folder, 'redis.pid')));
  if (!Number.isInteger(written) || written <= 0) return null;
  return processCommandLine(written)?.includes(confFile) === true ? written : null;
}

function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const server = createServer();
    server.on('error', reject);
    server.listen(0, '127.0.0.1', () => {
      const address = server.address();
      server.close(() => resolve(typeof address === 'object' && address !== null ? address.port : 0));
    });
  });
}

async function portConnection(): Promise<EmbeddedConnection> {
  return { host: '127.0.0.1', port: await freePort(), password: randomBytes(24).toString('base64url') };
}

function prepareFolder(dataDir: string): string {
  const folder = path.join(dataDir, 'redis');
  try {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    chmodSync(folder, 0o700);
    return realpathSync(folder);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    throw new Error(
      `DATA_DIR ${dataDir} cannot be used (${code}): it must be a folder this user may write to; change its owner or set DATA_DIR to another.`,
      { cause: error },
    );
  }
}

interface ServerFiles {
  conf: string;
  log: string;
}

function lastWords(serverLog: string): string {
  return readText(serverLog).trimEnd().split('\n').slice(-5).join('\n');
}

function spawnServer(program: string, files: ServerFiles): ChildProcess {
  const size = statSync(files.log, { throwIfNoEntry: false })?.size ?? 0;
  const logFile = openSync(files.log, size > longestServerLogBytes ? 'w' : 'a', 0o600);
  try {
    // Its own process group: Ctrl-C in a terminal must reach us first, not the server under our feet.
    return spawn(program, [files.conf], { detached: true, stdio: ['ignore', logFile, logFile] });
  } finally {
    closeSync(logFile);
  }
}

/** Waits until the server has loaded its file and answers. */
async function untilReady(child: ChildProcess, connection: EmbeddedConnection, files: ServerFiles, log: Log) {
  const client = quietClient(connection, () => 25);
  const loading = setInterval(
    () => log.info({ serverPid: child.pid }, 'embedded Redis is still loading'),
    10_000,
  );
  try {
    await new Promise<void>((resolve, reject) => {
      client.once('ready', resolve);
      child.once('error', reject);
      child.once('exit', (code) =>
        reject(
          new Error(
            `The embedded Redis ended while starting (code ${code}). Its last words, from ${files.log}:\n${lastWords(files.log)}`,
          ),
        ),
      );
      client.connect().catch(() => {
        // Not up yet: the client tries again by itself.
      });
    });
  } finally {
    clearInterval(loading);
    client.disconnect();
  }
}

/**
 * Starts a real Redis (or Valkey) server for this process: append-only file under `<dataDir>/redis`, written through
 * to disk at every write, reachable by nobody else. A server left running by a process that was killed is stopped
 * cleanly first. When the server dies it is started again on the same connection.
 * @throws DataDirBusyError when a live process uses the folder; Error with a plain sentence when no server can run
 */
export async function startEmbeddedRedis({
  dataDir,
  log,
  programNames,
}: EmbeddedRedisOptions): Promise<EmbeddedRedis> {
  const folder = prepareFolder(dataDir);
  const program = findRedisServer(programNames);
  const lock = lockDataDir(path.dirname(folder));
  const files: ServerFiles = { conf: path.join(folder, 'redis.conf'), log: path.join(folder, 'redis.log') };

  let child: ChildProcess | undefined;
  let connection: EmbeddedConnection;

  const launch = async (wanted: EmbeddedConnection) => {
    if ('path' in wanted) rmSync(wanted.path, { force: true });
    writeFileSync(files.conf, redisConfText(folder, wanted), { mode: 0o600 });
    chmodSync(files.conf, 0o600);
    child = spawnServer(program, files);
    try {
      await untilReady(child, wanted, files, log);
    } catch (error) {
      if (child.pid !== undefined) await endProcess(child.pid);
      throw error;
    }
  };

  /** Some file systems hold no sockets; a loopback port does the same work there. */
  const launchFirst = async (): Promise<EmbeddedConnection> => {
    const socketPath = path.join(folder, 'redis.sock');
    if (fitsAsSocketPath(socketPath)) {
      try {
        await launch({ path: socketPath });
        return { path: socketPath };
      } catch (error) {
        if (!/unix socket/i.test((error as Error).message)) throw error;
      }
    }
    const onPort = await portConnection();
    await launch(onPort);
    return onPort;
  };

  try {
    const orphan = await findOrphan(folder, files.conf);
    if (orphan !== null) {
      log.warn({ serverPid: orphan }, 'stopping the Redis that a killed process left running');
      await endProcess(orphan);
    }
    connection = await launchFirst();
  } catch (error) {
    lock.release();
    throw error;
  }

  let stopping = false;
  let restarts = 0;
  let restarting: Promise<void> = Promise.resolve();

  const restart = async () => {
    while (!stopping) {
      await wait(restartDelaysMs[Math.min(restarts, restartDelaysMs.length - 1)] ?? 0);
      restarts += 1;
      if (stopping) return;
      try {
        await launch(connection);
        log.warn({ serverPid: child?.pid, restarts }, 'embedded Redis is running again');
        watch();
        return;
      } catch (error) {
        log.error({ err: error }, 'embedded Redis could not be started again');
      }
    }
  };
  const watch = () => {
    const watched = child;
    const startedAtMs = performance.now();
    watched?.once('exit', (code, signalName) => {
      if (stopping || watched !== child) return;
      if (performance.now() - startedAtMs > 60_000) restarts = 0;
      log.error({ serverPid: watched.pid, exitCode: code, signal: signalName }, 'embedded Redis died');
      restarting = restart();
    });
  };
  watch();

  // When we go without stop() (an uncaught error), take the server along.
  const goTogether = () => {
    if (child?.pid !== undefined && child.exitCode === null) signal(child.pid, 'SIGTERM');
  };
  process.once('exit', goTogether);

  log.info({ serverPid: child?.pid }, 'embedded Redis is running');
  let stopped: Promise<void> | undefined;
  const stop = async () => {
    stopping = true;
    await restarting;
    process.off('exit', goTogether);
    if (child?.pid !== undefined) await endProcess(child.pid);
    lock.release();
  };
  return {
    connection,
    get pid() {
      return child?.pid ?? 0;
    },
    stop() {
      stopped ??= stop();
      return stopped;
    },
  };
}
