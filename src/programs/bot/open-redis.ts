import { mkdirSync } from 'node:fs';
import type { Log } from '../../observe/log.ts';
import type { Metrics } from '../../observe/metrics.ts';
import type { operatorWatch } from '../../observe/operator-watch.ts';
import { assertRedisFit } from '../../redis/assert-redis-fit.ts';
import { connect, openCommands, type RedisTarget, untilReady } from '../../redis/connections.ts';
import { type Copies, replicaCopies } from '../../redis/copies.ts';
import { startEmbeddedRedis } from '../../redis/embedded-redis.ts';
import type { Config } from '../config.ts';
import type { Stop } from './stops.ts';

/** How long a start waits for Redis, ms. */
const redisPatienceMs = 15_000;

/** Redis as a process has it. `copies`: waits for replicas; absent where none must have an entry. */
export interface OpenRedis {
  target: RedisTarget;
  commands: ReturnType<typeof openCommands>;
  copies?: Copies;
}

/** Opens the Redis of the settings, or starts the embedded one; refuses one that could lose what is recorded. */
export async function openRedis(
  config: Config,
  { log, metrics, watch }: { log: Log; metrics: Metrics; watch: ReturnType<typeof operatorWatch> },
  stops: Stop[],
): Promise<OpenRedis> {
  mkdirSync(config.dataDir, { recursive: true });
  const embedded =
    config.redisUrl === null ? await startEmbeddedRedis({ dataDir: config.dataDir, log }) : null;
  if (embedded) stops.push({ what: 'redis', stop: () => embedded.stop() });
  const target: RedisTarget = embedded ? embedded.connection : { url: config.redisUrl ?? '' };
  const commands = openCommands(target, () => metrics.redisUp.set(0));
  commands.on('ready', () => metrics.redisUp.set(1));
  stops.push({ what: 'redis connection', stop: () => commands.disconnect() });
  await untilReady(commands, redisPatienceMs);
  metrics.redisUp.set(1);
  if (!embedded) {
    const { warnings } = await assertRedisFit(commands, { copies: config.redisCopies });
    for (const warning of warnings) log.warn({}, warning);
  }
  if (config.redisUrl === null || config.redisCopies === 0) return { target, commands };
  const waiter = connect(target, 'commands');
  waiter.on('error', () => undefined);
  stops.push({ what: 'redis connection for copies', stop: () => waiter.disconnect() });
  const copies = replicaCopies({
    client: waiter,
    wanted: config.redisCopies,
    trouble: (what, cause) => watch.trouble(what, {}, cause),
  });
  return { target, commands, copies };
}
