import { type ChildProcess, spawn } from 'node:child_process';
import { randomBytes } from 'node:crypto';
import { chmodSync, closeSync, mkdirSync, openSync, readFileSync, realpathSync, statSync } from 'node:fs';
import { createServer } from 'node:net';
import path from 'node:path';
import { Redis } from 'ioredis';
import type { Log } from '../observe/log.ts';
import { connectionInConf, type EmbeddedConnection } from './embedded-redis-conf.ts';
import { processCommandLine, processIdentity } from './process-identity.ts';

/** How long a server that was asked to stop may take to write out what it holds, in ms. */
const stopPatienceMs = 10_000;
/** A log of the server longer than this is begun anew at start, in bytes. */
const longestServerLogBytes = 1_000_000;
/** Waits before a server that died is started again, in ms; the last one repeats. */
export const restartDelaysMs = [100, 500, 2_000, 5_000];
export const wait = (delayMs: number) => new Promise<void>((resolve) => setTimeout(resolve, delayMs));

async function isGoneWithin(processId: number, patienceMs: number): Promise<boolean> {
  const run = processIdentity(processId);
  const attempts = Math.ceil(patienceMs / 25);
  for (let attempt = 0; attempt < attempts; attempt += 1) {
    if (run === null || processIdentity(processId) !== run) return true;
    await wait(25);
  }
  return false;
}

export function signal(processId: number, name: NodeJS.Signals): void {
  try {
    process.kill(processId, name);
  } catch {
    // Already gone, which is what was wanted.
  }
}

export async function endProcess(processId: number): Promise<void> {
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
export async function findOrphan(folder: string, confFile: string): Promise<number | null> {
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

export async function portConnection(): Promise<EmbeddedConnection> {
  return { host: '127.0.0.1', port: await freePort(), password: randomBytes(24).toString('base64url') };
}

export function prepareFolder(dataDir: string): string {
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

export interface ServerFiles {
  conf: string;
  log: string;
}

function lastWords(serverLog: string): string {
  return readText(serverLog).trimEnd().split('\n').slice(-5).join('\n');
}

export function spawnServer(program: string, files: ServerFiles): ChildProcess {
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
export async function untilReady(
  child: ChildProcess,
  connection: EmbeddedConnection,
  files: ServerFiles,
  log: Log,
) {
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
