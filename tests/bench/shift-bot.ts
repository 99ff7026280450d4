import { type ChildProcess, fork } from 'node:child_process';
import { once } from 'node:events';
import { startWorkers } from '../../src/jobs/worker.ts';
import { createLog } from '../../src/observe/log.ts';
import { createMetrics } from '../../src/observe/metrics.ts';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import { bullmqAlarm } from '../../src/redis/bullmq-alarm.ts';
import { connect } from '../../src/redis/connections.ts';
import { startService } from '../../src/service/service.ts';
import { freePort } from '../support/free-ports.ts';
import type { TestRedis } from '../support/redis-for-tests.ts';
import { silentWatch } from './bench-ward.ts';
import type { ChildTask } from './bot-child.ts';
import type { nudgeStages } from './nudge-stages.ts';

/** `BENCH_ROLES=split`: the jobs run in a process of their own, and this one takes commands alone. */
const isSplit = process.env['BENCH_ROLES'] === 'split';
/** `BENCH_HANDOVERS_IN=bot`: whatever runs the jobs hands over by itself, however many wards do. */
const handsOverItself = process.env['BENCH_HANDOVERS_IN'] === 'bot';
export const signingSecret = 'bench-signing-secret-0123456789';

/** What was measured, as the rows say it. */
export const shape = `${isSplit ? 'chat and jobs apart' : 'chat and jobs together'}, handovers ${
  handsOverItself ? 'with the jobs' : 'in another process'
}`;

/** A bot that takes commands in this process; its jobs run here as well unless they are split off. */
export async function startShiftBot(
  redis: TestRedis,
  platformPort: number,
  stages: ReturnType<typeof nudgeStages>,
): Promise<{ port: number; stop: () => Promise<void> }> {
  const port = await freePort();
  const clock = { now: () => Date.now() };
  const alarm = bullmqAlarm({ target: redis.connection, clock, watch: silentWatch });
  const metrics = createMetrics({ withProcessMetrics: false });
  const jobs = isSplit
    ? await startJobs({
        target: redis.connection,
        platformPort,
        roles: ['jobs'],
        sweepEveryMs: 30_000,
        handsOverItself,
      })
    : null;
  const service = await startService({
    roles: new Set(isSplit ? ['chat'] : ['chat', 'jobs']),
    clock,
    redis: redis.client(),
    redisTarget: redis.connection,
    alarm,
    slack: {
      apiUrl: `http://127.0.0.1:${platformPort}/api/`,
      serves: { botToken: practiceWorld().app.botToken },
      reach: { by: 'http', signingSecret, port },
    },
    command: '/artline',
    wardZone: 'UTC',
    log: createLog({ level: 'silent', pretty: false }),
    metrics,
    ...(handsOverItself ? {} : { handoverProcess: { redisCopies: 0, logLevel: 'silent', tracesTo: null } }),
    startWorkers: (cases) =>
      startWorkers({
        connect: () => connect(redis.connection, 'jobs'),
        prefixes: alarm.prefixes,
        cases: stages.around(cases),
        clock,
        sweepEveryMs: 30_000,
        watch: silentWatch,
        metrics,
        canary: { everyMs: 3_600_000, set: async () => undefined, ran: async () => undefined },
      }),
  });
  return {
    port,
    async stop() {
      jobs?.kill('SIGKILL');
      await service.stop();
      await alarm.close();
    },
  };
}

async function startJobs(task: ChildTask): Promise<ChildProcess> {
  const child = fork(new URL('./bot-child.ts', import.meta.url), [JSON.stringify(task)]);
  await once(child, 'message');
  return child;
}
