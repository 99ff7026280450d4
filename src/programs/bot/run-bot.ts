import { mkdirSync } from 'node:fs';
import path from 'node:path';
import { type Clock, type HurriedClock, hurriedClock, machineClock } from '../../app/clock.ts';
import { startWorkers } from '../../jobs/worker.ts';
import { wakeUpCanary } from '../../observe/canary.ts';
import {
  type HealthHandler,
  healthRoutes,
  passing,
  type ReadinessCheck,
} from '../../observe/health-routes.ts';
import { startHealthServer } from '../../observe/health-server.ts';
import { createLog, type Log } from '../../observe/log.ts';
import { createMetrics } from '../../observe/metrics.ts';
import { operatorWatch } from '../../observe/operator-watch.ts';
import { practicePage } from '../../practice/page-routes.ts';
import type { Platform } from '../../practice/platform/platform.ts';
import { startPlatform } from '../../practice/platform/start-platform.ts';
import { practiceClock } from '../../practice/practice-clock.ts';
import { practiceWardId, practiceWorld } from '../../practice/practice-world.ts';
import { assertRedisFit } from '../../redis/assert-redis-fit.ts';
import { bullmqAlarm } from '../../redis/bullmq-alarm.ts';
import { connect, openCommands, type RedisTarget, untilReady } from '../../redis/connections.ts';
import { replicaCopies } from '../../redis/copies.ts';
import { startEmbeddedRedis } from '../../redis/embedded-redis.ts';
import { emptyWard } from '../../redis/empty-ward.ts';
import { type Service, startService } from '../../service/service.ts';
import type { ServiceParts } from '../../service/service-parts.ts';
import type { Reach } from '../../slack/bolt-app.ts';
import { type Config, readConfig } from '../config.ts';

/** The process it runs in; only the mains hold the real one. */
export interface Host {
  env: Readonly<Record<string, string | undefined>>;
  say(line: string): void;
  complain(line: string): void;
  exit: (code: number) => never;
  onSignal: (listener: () => void) => void;
  onUnhandledRejection: (listener: (reason: unknown) => void) => void;
}

/** How often a wake-up is set only to see it arrive, and how late it may be, ms. */
const canaryTimes = { everyMs: 15_000, graceMs: 5_000 } as const;
const sweepEveryMs = 30_000;
/** A hurried ward is swept more often in real time, so that it is swept often enough in its own. */
const hurriedSweepEveryMs = 2_000;
/** How long a start waits for Redis, ms. */
const redisPatienceMs = 15_000;

/** Starts a whole process from its environment and keeps it until a signal. Faults of the start end it with a sentence. */
export async function runBot(host: Host): Promise<void> {
  const reading = readConfig(host.env);
  if (!reading.ok) {
    for (const problem of reading.problems) host.complain(problem);
    return host.exit(2);
  }
  const stops: Stop[] = [];
  try {
    await start(reading.config, host, stops);
  } catch (error) {
    host.complain(error instanceof Error ? error.message : String(error));
    await stopAll(stops, () => undefined);
    host.exit(1);
  }
}

/** Something started, and how it is stopped; the last started is stopped first. */
interface Stop {
  what: string;
  stop: () => Promise<void> | void;
}

async function stopAll(
  stops: readonly Stop[],
  failed: (what: string, cause: unknown) => void,
): Promise<void> {
  for (const { what, stop } of stops.toReversed()) {
    try {
      await stop();
    } catch (cause) {
      failed(what, cause);
    }
  }
}

async function start(config: Config, host: Host, stops: Stop[]): Promise<void> {
  const log = createLog({ level: config.logLevel, pretty: config.mode === 'practice' });
  let stopping = false;
  host.onSignal(() => {
    if (stopping) return;
    stopping = true;
    void stopAll(stops, (what, err) =>
      log.error({ what, err }, 'something could not be stopped cleanly'),
    ).then(() => host.exit(0));
  });
  // A promise that a library left alone must not end the process that reminders hang on: it is logged, and readiness
  // tells when something is really broken.
  host.onUnhandledRejection((err) => log.error({ err }, 'a promise was rejected and nobody looked'));

  const metrics = createMetrics({ withProcessMetrics: true });
  const watch = operatorWatch(metrics, log);
  mkdirSync(config.dataDir, { recursive: true });

  const embedded =
    config.redisUrl === null ? await startEmbeddedRedis({ dataDir: config.dataDir, log }) : null;
  if (embedded) stops.push({ what: 'redis', stop: () => embedded.stop() });
  const target: RedisTarget = embedded ? embedded.connection : { url: config.redisUrl ?? '' };
  const { clock, hurried } = makeClock(config, stops);
  const commands = openCommands(target, () => metrics.redisUp.set(0));
  commands.on('ready', () => metrics.redisUp.set(1));
  stops.push({ what: 'redis connection', stop: () => commands.disconnect() });
  await untilReady(commands, redisPatienceMs);
  metrics.redisUp.set(1);
  if (!embedded) for (const warning of (await assertRedisFit(commands)).warnings) log.warn({}, warning);

  const waiter = config.redisUrl !== null && config.redisCopies > 0 ? connect(target, 'commands') : null;
  if (waiter) {
    waiter.on('error', () => undefined);
    stops.push({ what: 'redis connection for copies', stop: () => waiter.disconnect() });
  }

  const health: { handler: HealthHandler | null; service: Service | null } = { handler: null, service: null };
  const routes: HealthHandler = (request, response) => health.handler?.(request, response) ?? false;
  const platform =
    config.mode === 'practice'
      ? await startPractice(
          config,
          clock,
          hurried,
          routes,
          stops,
          async () => (await health.service?.nextEventAt()) ?? null,
          async () => {
            await emptyWard(commands, practiceWardId);
            health.service?.emptied(practiceWardId);
          },
        )
      : null;

  const alarm = bullmqAlarm({ target, clock: hurried ?? clock, watch });
  stops.push({ what: 'alarm', stop: () => alarm.close() });
  const canary = wakeUpCanary({ ...canaryTimes, now: () => Date.now() });
  const service = await startService({
    roles: config.roles,
    clock: hurried ?? clock,
    redis: commands,
    redisTarget: target,
    ...(waiter
      ? {
          copies: replicaCopies({
            client: waiter,
            wanted: config.redisCopies,
            trouble: (what, cause) => watch.trouble(what, {}, cause),
          }),
        }
      : {}),
    alarm,
    slack: {
      apiUrl: platform?.apiUrl ?? config.slackApiUrl,
      serves: servesOf(config),
      reach: reachOf(config),
    },
    command: config.command,
    wardZone: config.wardZone,
    log,
    metrics,
    startWorkers: (cases) =>
      startWorkers({
        connect: () => connect(target, 'background'),
        cases,
        clock: hurried ?? clock,
        sweepEveryMs: hurried ? hurriedSweepEveryMs : sweepEveryMs,
        watch,
        metrics,
        canary: {
          everyMs: canaryTimes.everyMs,
          set: (dueMs) => alarm.setCanary(dueMs),
          ran: (dueMs, ranAtMs) => canary.ran(dueMs, ranAtMs),
        },
      }),
  });
  stops.push({ what: 'service', stop: () => service.stop() });
  health.service = service;
  if (config.roles.has('jobs')) sweepWhenHurried(hurried, service, log, stops);

  const checks: Record<string, ReadinessCheck> = {
    ...service.checks,
    ...(config.roles.has('jobs') ? { wakeUps: canary.check } : {}),
  };
  metrics.askReadiness(() => passing(checks));
  health.handler = healthRoutes({ checks, registry: metrics.registry });
  if (config.health) {
    const server = await startHealthServer({ handler: routes, ...config.health });
    stops.push({ what: 'health routes', stop: () => server.stop() });
  }
  if (platform) greet(host, platform);
  log.info({ mode: config.mode, role: [...config.roles].join('.') }, 'started');
}

function makeClock(config: Config, stops: Stop[]): { clock: Clock; hurried: HurriedClock | null } {
  const startMs = config.clock?.startMs ?? Date.now();
  const rate = config.clock?.rate ?? 1;
  if (config.mode === 'practice') {
    const kept = practiceClock(path.join(config.dataDir, 'practice', 'clock.json'), { startMs, rate });
    stops.push({ what: 'practice clock', stop: () => kept.stop() });
    return { clock: kept.clock, hurried: kept.clock };
  }
  if (config.clock === null) return { clock: machineClock, hurried: null };
  const hurried = hurriedClock(startMs, rate);
  return { clock: hurried, hurried };
}

async function startPractice(
  config: Config,
  clock: Clock,
  hurried: HurriedClock | null,
  routes: HealthHandler,
  stops: Stop[],
  nextEventAt: () => Promise<number | null>,
  emptyRecord: () => Promise<void>,
): Promise<Platform> {
  const platform = await startPlatform({
    port: config.port,
    clock,
    world: practiceWorld({ zone: config.wardZone, command: config.command }),
    statePath: path.join(config.dataDir, 'practice', 'messages.jsonl'),
    ...(hurried ? { hurried } : {}),
    routes: (practice) => {
      const page = practicePage(practice, {
        clock,
        ...(hurried ? { hurried } : {}),
        nextEventAt,
        emptyRecord,
      });
      return (request, response) => routes(request, response) || page(request, response);
    },
    deliverTo: 'socket',
  });
  stops.push({ what: 'practice ward', stop: () => platform.stop() });
  return platform;
}

/**
 * A jump or another rate makes every delay in the job queue wrong at once: the sweep sets them anew from the record.
 * One sweep at a time; a change during it asks for one more.
 */
function sweepWhenHurried(hurried: HurriedClock | null, service: Service, log: Log, stops: Stop[]): void {
  if (!hurried) return;
  let running: Promise<void> | null = null;
  let again = false;
  const sweep = () => {
    if (running) {
      again = true;
      return;
    }
    running = service.cases
      .sweepWards({ deep: false })
      .catch((err: unknown) => log.error({ err }, 'the sweep after a change of the clock failed'))
      .finally(() => {
        running = null;
        if (again) {
          again = false;
          sweep();
        }
      });
  };
  const stopListening = hurried.onChange(sweep);
  stops.push({
    what: 'sweep on clock changes',
    stop: async () => {
      stopListening();
      again = false;
      await running;
    },
  });
}

/** The one workspace of a token, or many. */
function servesOf(config: Config): ServiceParts['slack']['serves'] {
  if (config.mode === 'practice') return { botToken: practiceWorld().app.botToken };
  return config.mode === 'many' ? config : { botToken: config.botToken };
}

function reachOf(config: Config): Reach {
  switch (config.mode) {
    case 'practice':
      return { by: 'socket', appToken: practiceWorld().app.appToken };
    case 'socket':
      return { by: 'socket', appToken: config.appToken };
    case 'http':
    case 'many':
      return {
        by: 'http',
        signingSecret: config.signingSecret,
        port: config.port,
      };
  }
}

function greet(host: Host, platform: Platform): void {
  host.say('');
  host.say(`The practice ward is open at http://localhost:${platform.port}`);
  host.say(
    'Nothing in it is real. First, on the nurse’s phone: press the big /artline button, then “Register a line”.',
  );
  host.say('Then press “Jump to next event” and see who is told. Ctrl-C stops it; what was recorded stays.');
  host.say('');
}
