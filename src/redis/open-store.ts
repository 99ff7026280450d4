import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';
import type { Log } from '../observe/log.ts';
import { connect, type RedisTarget, untilReady } from './connections.ts';
import { DataDirBusyError } from './data-dir-lock.ts';
import { startEmbeddedRedis } from './embedded-redis.ts';
import { connectionInConf } from './embedded-redis-conf.ts';
import type { RecordClient } from './script.ts';

/** How long a short command line waits for Redis, ms. */
const patienceMs = 15_000;

/** A connection for a program that ends soon, and what ends with it. */
export interface OpenStore {
  client: RecordClient;
  close(): Promise<void>;
}

/**
 * Opens the Redis of a `redisUrl`, or else the embedded one under `dataDir`: the running one where a bot has it up, a
 * server of our own for so long where none has. `mustExist`: throws where the folder never held a record.
 */
export async function openStore(
  { redisUrl, dataDir }: { redisUrl: string | null; dataDir: string },
  log: Log,
  { mustExist }: { mustExist: boolean },
): Promise<OpenStore> {
  if (redisUrl !== null) return connected({ url: redisUrl }, async () => {});
  const folder = path.join(dataDir, 'redis');
  if (mustExist && !existsSync(folder))
    throw new Error(
      `DATA_DIR ${dataDir} holds no record: set DATA_DIR to the bot's own, or REDIS_URL where its record is on a Redis of yours.`,
    );
  try {
    const embedded = await startEmbeddedRedis({ dataDir, log });
    return await connected(embedded.connection, () => embedded.stop());
  } catch (error) {
    if (!(error instanceof DataDirBusyError)) throw error;
    const running = connectionInConf(readFileSync(path.join(folder, 'redis.conf'), 'utf8'));
    if (running === null) throw error;
    return connected(running, async () => {});
  }
}

async function connected(target: RedisTarget, then: () => Promise<void>): Promise<OpenStore> {
  const client = connect(target, 'background');
  client.on('error', () => {});
  const close = async () => {
    client.disconnect();
    await then();
  };
  try {
    await untilReady(client, patienceMs);
  } catch (error) {
    await close();
    throw error;
  }
  return { client, close };
}
