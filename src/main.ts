import { mkdirSync } from 'node:fs';
import path from 'node:path';
import { startWorkers } from '../jobs/worker.ts';
import { type HurriedClock, hurriedClock, machineClock } from './app/clock.ts';
import { type Config, readConfig } from './config.ts';
import { wakeUpCanary } from './observe/canary.ts';
import {
  type HealthHandler,
  healthCustomRoutes,
  healthRoutes,
  type ReadinessCheck,
} from './observe/health-routes.ts';
import { startHealthServer } from './observe/health-server.ts';
import { createLog, type Log } from './observe/log.ts';
import { createMetrics } from './observe/metrics.ts';
import { operatorWatch } from './observe/operator-watch.ts';
import type { Platform } from './practice/platform/platform.ts';
import { startPlatform } from './practice/platform/start-platform.ts';
import { practiceClock } from './practice/practice-clock.ts';
import { practiceWorld } from './practice/practice-world.ts';
import { assertRedisFit } from './redis/assert-redis-fit.ts';
import { bullmqAlarm } from './redis/bullmq-alarm.ts';
import { openConnections } from './redis/connections.ts';
import { startEmbeddedRedis } from './redis/embedded-redis.ts';
import { type Service, startService } from './service.ts';
import type { Reach } from './slack/bolt-app.ts';

/** How long a canary wake-up may be late before the process calls itself not ready, ms. */
const canary = { everyMs: 15_000, graceMs: 5_000 } as const;
const sweepEveryMs = 30_000;
/** A hurried ward is swept more often in real time, so that it is swept as often in ward time as may be. */
const hurriedSweepEveryMs = 2_000;

const say = (line: string) => process.stdout.write(`${line}\n`);

/** Everything that was started, in the order in which it is stopped: the last first. */
const stops: { what: string; stop: () => Promise<void> | void }[] = [];

async function main(): Promise<void> {
  const reading = readConfig(process.env);
  if (!reading.ok) {
    for (const problem of reading.problems) process.stderr.write(`${problem}\n`);
    process.exit(2);
  }
  const { config } = reading;
  const log = createLog({ level: config.logLevel, pretty: config.mode === 'practice' });
  stopOnSignals(log);
  // One failed promise in a library must not end a process that others' reminders hang on; it is logged, and a
  // supervisor restarts the process when readiness fails.
  process.on('unhandledRejection', (reason) =>
    log.error({ err: reason }, 'a promise was rejected and nobody looked'),
  );

  const metrics = createMetrics({ withProcessMetrics: true });
  const watch = operatorWatch(metrics, log);
  mkdirSync(config.dataDir, { recursive: true });
  const { clock, hurried } = makeClock(config);

  const embedded =
    config.redisUrl === null ? await startEmbeddedRedis({ dataDir: config.dataDir, log }) : null;
  if (embedded) stops.push({ what: 'redis', stop: () => embedded.stop() });
  const connections = await openConnections(embedded ? embedded.connection : { url: config.redisUrl ?? '' });
  stops.push({ what: 'connections', stop: () => connections.close() });
  if (!embedded)
    for (const warning of (await assertRedisFit(connections.commands)).warnings) log.warn({}, warning);

  const health: { handler: HealthHandler | null } = { handler: null };
  const routes: HealthHandler = (request, response) => health.handler?.(request, response) ?? false;
  let service: Service | null = null;
  const platform =
    config.mode === 'practice'
      ? await startPractice(
          config,
          clock,
          hurried,
          routes,
          async () => (await service?.nextEventAt()) ?? null,
        )
      : null;

  const alarm = bullmqAlarm({ connection: connections.worker, clock: hurried ?? clock, watch });
  stops.push({ what: 'alarm', stop: () => alarm.close() });
  const bird = wakeUpCanary({ ...canary, now: () => Date.now() });
  service = await startService({
    roles: config.roles,
    clock,
    redis: connections.commands,
    alarm,
    slack: {
      apiUrl: platform?.apiUrl ?? config.slackApiUrl,
      botToken: config.mode === 'practice' ? practiceTokens.botToken : config.botToken,
      reach: reachOf(config, routes),
    },
    command: config.command,
    wardZone: config.wardZone,
    log,
    metrics,
    startWorkers: (cases) =>
      startWorkers({
        connection: connections.worker,
        cases,
        clock: hurried ?? clock,
        sweepEveryMs: hurried ? hurriedSweepEveryMs : sweepEveryMs,
        watch,
        metrics,
        canary: bird,
      }),
  });
  const running = service;
  stops.push({ what: 'service', stop: () => running.stop() });
  // A jump or another rate makes every delay in the queue wrong at once: the sweep sets them anew from the record.
  hurried?.onChange(
    () =>
      void running.cases
        .sweepWards({ deep: false })
        .catch((err: unknown) => log.error({ err }, 'the sweep after a change of the clock failed')),
  );

  const checks: Record<string, ReadinessCheck> = {
    ...service.checks,
    ...(config.roles.has('jobs') ? { wakeUps: bird.check } : {}),
  };
  health.handler = healthRoutes({ checks, registry: metrics.registry });
  if (config.mode === 'socket' || (config.mode === 'http' && !config.roles.has('chat'))) {
    const server = await startHealthServer({ handler: routes, port: config.port });
    stops.push({ what: 'health', stop: () => server.stop() });
  }
  greet(config, platform);
  log.info({ mode: config.mode, roles: [...config.roles] }, 'started');
}

const practiceTokens = practiceWorld().app;

function makeClock(config: Config): { clock: typeof machineClock; hurried: HurriedClock | null } {
  const startMs = config.clock?.startMs ?? Date.now();
  const rate = config.clock?.rate ?? 1;
  if (config.mode === 'practice') {
    const kept = practiceClock(path.join(config.dataDir, 'practice', 'clock.json'), { startMs, rate });
    stops.push({ what: 'clock', stop: () => kept.stop() });
    return { clock: kept.clock, hurried: kept.clock };
  }
  if (config.clock === null) return { clock: machineClock, hurried: null };
  const hurried = hurriedClock(startMs, rate);
  return { clock: hurried, hurried };
}

async function startPractice(
  config: Config,
  clock: typeof machineClock,
  hurried: HurriedClock | null,
  routes: HealthHandler,
  nextEventAt: () => Promise<number | null>,
): Promise<Platform> {
  const platform = await startPlatform({
    port: config.port,
    clock,
    world: practiceWorld({ zone: config.wardZone, command: config.command }),
    statePath: path.join(config.dataDir, 'practice', 'messages.jsonl'),
    ...(hurried ? { hurried } : {}),
    extraRoutes: routes,
    nextEventAt,
    deliverTo: 'socket',
  });
  stops.push({ what: 'practice ward', stop: () => platform.stop() });
  return platform;
}

function reachOf(config: Config, routes: HealthHandler): Reach {
  switch (config.mode) {
    case 'practice':
      return { by: 'socket', appToken: practiceTokens.appToken };
    case 'socket':
      return { by: 'socket', appToken: config.appToken };
    case 'http':
      return {
        by: 'http',
        signingSecret: config.signingSecret,
        port: config.port,
        routes: healthCustomRoutes(routes),
      };
  }
}

function greet(config: Config, platform: Platform | null): void {
  if (!platform) return;
  say('');
  say(`The practice ward is open at http://localhost:${platform.port}`);
  say(
    'Nothing in it is real. First: on the nurse’s phone press the big /artline button, then “Register a line”.',
  );
  say(
    'Let a flush come due (60× or “Jump to next event”), and watch who is told. Ctrl-C stops it; what was recorded stays.',
  );
  say('');
}

function stopOnSignals(log: Log): void {
  let stopping = false;
  const stop = (code: number) => async () => {
    if (stopping) return;
    stopping = true;
    for (const { what, stop: end } of stops.toReversed()) {
      try {
        await end();
      } catch (err) {
        log.error({ what, err }, 'something could not be stopped cleanly');
      }
    }
    process.exit(code);
  };
  process.once('SIGINT', stop(0));
  process.once('SIGTERM', stop(0));
}

main().catch(async (error: unknown) => {
  process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
  for (const { stop } of stops.toReversed()) await Promise.resolve(stop()).catch(() => undefined);
  process.exit(1);
});
