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
  /** Both unless given. */
  roles?: ('chat' | 'jobs')[];
  /** Unless given, sweeps but the first are asked for: what they take isn't mixed with the rest. */
  sweepEveryMs?: number;
  /** Hands over by itself, however many wards do at once. */
  handsOverItself?: boolean;
}

/** What it says of itself: bytes; processor in ms since its start. */
export interface ChildState {
  rss: number;
  heap: number;
  cpuMs: number;
  troubles: number;
}

/** What a sweep took, ms: by the clock and of processor. */
export interface ChildSweep {
  tookMs: number;
  cpuMs: number;
}

/**
 * What its parent may ask for: how it is, the same once its heap is collected, a sweep, or that it forgets wards that were emptied on
 * purpose; `id` comes back with the answer.
 */
export interface Asked {
  id: number;
  what: 'state' | 'collected' | 'sweep' | 'emptied';
  wards?: readonly string[];
}

const { target, platformPort, roles, sweepEveryMs, handsOverItself } = JSON.parse(
  process.argv[2] ?? '{}',
) as ChildTask;
const { app } = practiceWorld();
const clock = { now: () => Date.now() };
const commands = openCommands(target, () => undefined);
await untilReady(commands, 20_000);
const log = createLog({ level: 'silent', pretty: false });
const metrics = createMetrics({ withProcessMetrics: false });
let troubles = 0;
const watch = {
  ...operatorWatch(metrics, log),
  trouble(what: string, ids: object, cause?: unknown) {
    troubles += 1;
    if (process.env['BENCH_TROUBLES'])
      process.stderr.write(`${what} ${JSON.stringify(ids)} ${String(cause)}\n`);
  },
};
const alarm = bullmqAlarm({ target, clock, watch });
const service = await startService({
  roles: new Set(roles ?? ['chat', 'jobs']),
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
  ...(handsOverItself ? {} : { handoverProcess: { redisCopies: 0, logLevel: 'silent', tracesTo: null } }),
  startWorkers: (cases) =>
    startWorkers({
      connect: () => connect(target, 'jobs'),
      prefixes: alarm.prefixes,
      cases,
      clock,
      sweepEveryMs: sweepEveryMs ?? 3_600_000,
      watch,
      metrics,
      canary: { everyMs: 3_600_000, set: async () => undefined, ran: async () => undefined },
    }),
});

function cpuMs(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}

async function answerTo({ what, wards = [] }: Asked): Promise<ChildState | ChildSweep> {
  for (const ward of wards) service.emptied(ward);
  if (what === 'sweep') {
    const [beganAt, before] = [performance.now(), cpuMs()];
    await service.cases.sweepWards({ deep: true });
    return { tookMs: performance.now() - beganAt, cpuMs: cpuMs() - before };
  }
  const { rss } = process.memoryUsage();
  if (what === 'collected') globalThis.gc?.();
  return { rss, heap: process.memoryUsage().heapUsed, cpuMs: cpuMs(), troubles };
}

process.on(
  'message',
  (asked: Asked) => void answerTo(asked).then((answer) => process.send?.({ id: asked.id, answer })),
);
process.on('disconnect', () => process.exit());
process.send?.('ready');
