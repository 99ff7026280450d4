import type { ChildProcess } from 'node:child_process';
import { chmodSync, rmSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import type { Log } from '../observe/log.ts';
import { lockDataDir } from './data-dir-lock.ts';
import { type EmbeddedConnection, fitsAsSocketPath, redisConfText } from './embedded-redis-conf.ts';
import { findRedisServer } from './redis-server-program.ts';
import {
  endProcess,
  findOrphan,
  portConnection,
  prepareFolder,
  restartDelaysMs,
  type ServerFiles,
  signal,
  spawnServer,
  untilReady,
  wait,
} from './server-process.ts';

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
  const server = serverIn(folder, program, log);
  let connection: EmbeddedConnection;
  try {
    const orphan = await findOrphan(folder, server.files.conf);
    if (orphan !== null) {
      log.warn({ serverPid: orphan }, 'stopping the Redis that a killed process left running');
      await endProcess(orphan);
    }
    connection = await launchFirst(folder, server);
  } catch (error) {
    lock.release();
    throw error;
  }
  const upkeep = keepRunning(server, connection, log);
  // When we go without stop() (an uncaught error), take the server along.
  const goTogether = () => {
    const { child } = server;
    if (child?.pid !== undefined && child.exitCode === null) signal(child.pid, 'SIGTERM');
  };
  process.once('exit', goTogether);

  log.info({ serverPid: server.child?.pid }, 'embedded Redis is running');
  let stopped: Promise<void> | undefined;
  const stop = async () => {
    await upkeep.stop();
    process.off('exit', goTogether);
    if (server.child?.pid !== undefined) await endProcess(server.child.pid);
    lock.release();
  };
  return {
    connection,
    get pid() {
      return server.child?.pid ?? 0;
    },
    stop() {
      stopped ??= stop();
      return stopped;
    },
  };
}

/** The server's program and files, and the process that runs now, or ran last. */
interface Server {
  files: ServerFiles;
  child: ChildProcess | undefined;
  /** Starts it and waits until it answers there. */
  launch(wanted: EmbeddedConnection): Promise<void>;
}

function serverIn(folder: string, program: string, log: Log): Server {
  const files: ServerFiles = { conf: path.join(folder, 'redis.conf'), log: path.join(folder, 'redis.log') };
  const server: Server = {
    files,
    child: undefined,
    async launch(wanted) {
      if ('path' in wanted) rmSync(wanted.path, { force: true });
      writeFileSync(files.conf, redisConfText(folder, wanted), { mode: 0o600 });
      chmodSync(files.conf, 0o600);
      const child = spawnServer(program, files);
      server.child = child;
      try {
        await untilReady(child, wanted, files, log);
      } catch (error) {
        if (child.pid !== undefined) await endProcess(child.pid);
        throw error;
      }
    },
  };
  return server;
}

/** Some file systems hold no sockets; a loopback port does the same work there. */
async function launchFirst(folder: string, server: Server): Promise<EmbeddedConnection> {
  const socketPath = path.join(folder, 'redis.sock');
  if (fitsAsSocketPath(socketPath)) {
    try {
      await server.launch({ path: socketPath });
      return { path: socketPath };
    } catch (error) {
      if (!/unix socket/i.test((error as Error).message)) throw error;
    }
  }
  const onPort = await portConnection();
  await server.launch(onPort);
  return onPort;
}

/** Starts the server again on the same connection whenever it dies; once stopped, no more. */
function keepRunning(server: Server, connection: EmbeddedConnection, log: Log): { stop(): Promise<void> } {
  let stopping = false;
  let restarts = 0;
  let restarting: Promise<void> = Promise.resolve();

  const restart = async () => {
    while (!stopping) {
      await wait(restartDelaysMs[Math.min(restarts, restartDelaysMs.length - 1)] ?? 0);
      restarts += 1;
      if (stopping) return;
      try {
        await server.launch(connection);
        log.warn({ serverPid: server.child?.pid, restarts }, 'embedded Redis is running again');
        watch();
        return;
      } catch (error) {
        log.error({ err: error }, 'embedded Redis could not be started again');
      }
    }
  };
  const watch = () => {
    const watched = server.child;
    const startedAtMs = performance.now();
    watched?.once('exit', (code, signalName) => {
      if (stopping || watched !== server.child) return;
      if (performance.now() - startedAtMs > 60_000) restarts = 0;
      log.error({ serverPid: watched.pid, exitCode: code, signal: signalName }, 'embedded Redis died');
      restarting = restart();
    });
  };
  watch();
  return {
    async stop() {
      stopping = true;
      await restarting;
    },
  };
}
