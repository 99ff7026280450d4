// The whole bot in a process of its own, as its parent asks for it: so that memory and processor are this process' alone.
import { startWorkers } from '../../src/jobs/worker.ts';
import { createLog } from '../../src/observe/log.ts';
import { createMetrics } from '../../src/observe/metrics.ts';
import { operatorWatch } from '../../src/observe/operator-watch.ts';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import { bullmqAlarm } from '../../src/redis/bullmq-alarm.ts';
import { connect, openCommands, type RedisTarget, untilReady } from '../../src/redis/connections.ts';
import { startService } from '../../src/service/service.ts';
import { freePort } from '../support/free-ports.ts';

/** What the process is told at its start, as JSON. */
export interface ChildTask {
  target: RedisTarget;
  platformPort: number;
  sweepEveryMs: number;
}

/** What it says of itself: bytes; processor in ms since its start. */
export interface ChildState {
  rss: number;
  /** What its heap holds once collected. */
  heap: number;
  cpuMs: number;
  troubles: number;
}

const { target, platformPort, sweepEveryMs } = JSON.parse(process.argv[2] ?? '{}') as ChildTask;
const { app } = practiceWorld();
const clock = { now: () => Date.now() };
const commands = openCommands(target, () => undefined);
await untilReady(commands, 20_000);
const log = createLog({ level: 'silent', pretty: false });
const metrics = createMetrics({ withProcessMetrics: false });
let troubles = 0;
const watch = { ...operatorWatch(metrics, log), trouble: () => void troubles++ };
const alarm = bullmqAlarm({ target, clock, watch });
await startService({
  roles: new Set(['chat', 'jobs']),
  clock,
  redis: commands,
  redisTarget: target,
  alarm,
  slack: {
    apiUrl: `http://127.0.0.1:${platformPort}/api/`,
    serves: { botToken: app.botToken },
    reach: { by: 'http', signingSecret: 'bench-signing-secret-0123456789', port: await freePort() },
  },
  command: '/artline',
  wardZone: 'UTC',
  log,
  metrics,
  startWorkers: (cases) =>
    startWorkers({
      connect: () => connect(target, 'jobs'),
      prefixes: alarm.prefixes,
      cases,
      clock,
      sweepEveryMs,
      watch,
      metrics,
      canary: { everyMs: 3_600_000, set: async () => undefined, ran: async () => undefined },
    }),
});
process.on('message', () => {
  const { rss } = process.memoryUsage();
  const { user, system } = process.cpuUsage();
  globalThis.gc?.();
  const state: ChildState = {
    rss,
    heap: process.memoryUsage().heapUsed,
    cpuMs: (user + system) / 1000,
    troubles,
  };
  process.send?.(state);
});
process.on('disconnect', () => process.exit());
process.send?.('ready');
