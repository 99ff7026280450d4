import { type HurriedClock, hurriedClock } from '../../src/app/clock.ts';
import type { JobCases } from '../../src/jobs/worker.ts';
import { createLog } from '../../src/observe/log.ts';
import { createMetrics } from '../../src/observe/metrics.ts';
import { practicePage } from '../../src/practice/page-routes.ts';
import type { Platform } from '../../src/practice/platform/platform.ts';
import { startPlatform } from '../../src/practice/platform/start-platform.ts';
import { practiceWardId, practiceWorld } from '../../src/practice/practice-world.ts';
import { untilReady } from '../../src/redis/connections.ts';
import { emptyWard } from '../../src/redis/empty-ward.ts';
import { type Service, startService } from '../../src/service/service.ts';
import { sharedRedis } from '../support/shared-redis.ts';

/** How often, in real time, the ward is looked at. It stands for the wake-ups, which have tests of their own. */
const lookEveryMs = 150;

/** The whole bot on the practice ward, with a real Redis: what a browser is pointed at. */
export interface WholeWard {
  platform: Platform;
  service: Service;
  clock: HurriedClock;
  stop(): Promise<void>;
}

/** Starts it with the ward clock at `startMs`, standing at 1×. */
export async function startWholeWard(startMs: number): Promise<WholeWard> {
  const redis = await sharedRedis();
  const commands = redis.client();
  await untilReady(commands, 3_000);
  const clock = hurriedClock(startMs, 1);
  const log = createLog({ level: 'warn', pretty: false });
  let service: Service | null = null;
  const platform = await startPlatform({
    port: 0,
    clock,
    hurried: clock,
    world: practiceWorld(),
    routes: (practice) =>
      practicePage(practice, {
        clock,
        hurried: clock,
        nextEventAt: async () => (await service?.nextEventAt()) ?? null,
        emptyRecord: async () => {
          await emptyWard(commands, practiceWardId);
          service?.emptied(practiceWardId);
        },
      }),
    deliverTo: 'socket',
  });
  service = await startService({
    roles: new Set(['chat', 'jobs']),
    clock,
    redis: commands,
    redisTarget: redis.connection,
    alarm: { wakeAt: async () => {}, postsWaiting: async () => {} },
    slack: {
      apiUrl: platform.apiUrl,
      serves: { botToken: platform.world.app.botToken },
      reach: { by: 'socket', appToken: platform.world.app.appToken },
    },
    command: '/artline',
    wardZone: 'UTC',
    log,
    metrics: createMetrics({ withProcessMetrics: false }),
    startWorkers: async (cases) => ({ close: lookAgainAndAgain(cases) }),
  });
  const running = service;
  return {
    platform,
    service: running,
    clock,
    async stop() {
      await running.stop();
      await platform.stop();
      await redis.stop();
    },
  };
}

/** Sweeps until the returned function is called, and lets the last sweep end. */
function lookAgainAndAgain(cases: JobCases): () => Promise<void> {
  let stopped = false;
  const looking = (async () => {
    while (!stopped) {
      await cases.sweepWards({ deep: false });
      await new Promise((resolve) => setTimeout(resolve, lookEveryMs));
    }
  })();
  return async () => {
    stopped = true;
    await looking;
  };
}
