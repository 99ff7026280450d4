import { mkdtempSync, rmSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { type HurriedClock, hurriedClock } from '../../app/clock.ts';
import type { JobCases } from '../../jobs/worker.ts';
import { createLog } from '../../observe/log.ts';
import { createMetrics } from '../../observe/metrics.ts';
import type { Platform } from '../../practice/platform/platform.ts';
import { startPlatform } from '../../practice/platform/start-platform.ts';
import { practiceWorld } from '../../practice/practice-world.ts';
import { openCommands, untilReady } from '../../redis/connections.ts';
import { startEmbeddedRedis } from '../../redis/embedded-redis.ts';
import { type Service, startService } from '../../service/service.ts';

/** A ward of its own for one scene: the bot as it is, a Redis of its own, the chat stand-in, a clock that is set ahead. */
export interface DemoWard {
  platform: Platform;
  clock: HurriedClock;
  service: Service;
  /** Sets the clock to `atMs` and lets the bot do and send all that is owed by then. */
  goTo(atMs: number): Promise<void>;
  stop(): Promise<void>;
}

/**
 * The clock is set from event to event, so no timer fits it: wake-ups are stepped in this process instead of being left
 * to the job queue, and messages are not spaced a second apart. All else is what runs on a ward.
 */
export async function startDemoWard(startMs: number): Promise<DemoWard> {
  const dataDir = mkdtempSync(path.join(os.tmpdir(), 'dicrotic-demo-'));
  const log = createLog({ level: 'warn', pretty: true });
  const redis = await startEmbeddedRedis({ dataDir, log });
  const commands = openCommands(redis.connection, () => undefined);
  await untilReady(commands, 5_000);
  const clock = hurriedClock(startMs, 1);
  const platform = await startPlatform({
    port: 0,
    clock,
    hurried: clock,
    world: practiceWorld(),
    rateLimit: null,
    deliverTo: 'socket',
  });
  const stepped: { cases: JobCases | null } = { cases: null };
  const service = await startService({
    roles: new Set(['chat', 'jobs']),
    clock,
    redis: commands,
    redisTarget: redis.connection,
    alarm: { wakeAt: async () => undefined, postsWaiting: async () => undefined },
    laneGapMs: 0,
    slack: {
      apiUrl: platform.apiUrl,
      serves: { botToken: platform.world.app.botToken },
      reach: { by: 'socket', appToken: platform.world.app.appToken },
    },
    command: '/artline',
    wardZone: 'UTC',
    log,
    metrics: createMetrics({ withProcessMetrics: false }),
    startWorkers: async (cases) => {
      stepped.cases = cases;
      return { close: async () => undefined };
    },
  });
  return {
    platform,
    clock,
    service,
    async goTo(atMs) {
      clock.jumpTo(atMs);
      await stepped.cases?.sweepWards({ deep: false });
      await service.idle();
    },
    async stop() {
      await service.stop();
      await platform.stop();
      commands.disconnect();
      await redis.stop();
      rmSync(dataDir, { recursive: true, force: true });
    },
  };
}
