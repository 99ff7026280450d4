import { type JobCases, startWorkers, type WorkerParts } from '../../jobs/worker.ts';
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
import { openTraces } from '../../observe/traces.ts';
import type { Platform } from '../../practice/platform/platform.ts';
import { type BullmqAlarm, bullmqAlarm } from '../../redis/bullmq-alarm.ts';
import { redisCanaries } from '../../redis/canaries.ts';
import { connect, type RedisTarget } from '../../redis/connections.ts';
import { type Service, startService } from '../../service/service.ts';
import { type Config, readConfig } from '../config.ts';
import { openRedis } from './open-redis.ts';
import { startPractice } from './practice-ward.ts';
import { reachOf, servesOf } from './slack-access.ts';
import { type Stop, stopAll } from './stops.ts';
import { sweepWhenHurried, type WardClock, wardClock } from './ward-clock.ts';

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

async function start(config: Config, host: Host, stops: Stop[]): Promise<void> {
  const log = createLog({ level: config.logLevel, pretty: config.mode === 'practice' });
  stopOnSignal(host, log, stops);
  const metrics = createMetrics({ withProcessMetrics: true });
  const traces = await openTraces(config.tracesTo, log);
  stops.push({ what: 'traces', stop: () => traces.stop() });
  const watch = operatorWatch(metrics, log);
  const { target, commands, ...copies } = await openRedis(config, { log, metrics, watch }, stops);
  const ward = wardClock(config, stops);
  const clock = ward.hurried ?? ward.clock;

  let health: HealthHandler | null = null;
  let service: Service | null = null;
  const routes: HealthHandler = (request, response) => health?.(request, response) ?? false;
  const platform =
    config.mode === 'practice'
      ? await startPractice(config, ward, { routes, commands, service: () => service }, stops)
      : null;

  const alarm = bullmqAlarm({ target, clock, watch });
  stops.push({ what: 'alarm', stop: () => alarm.close() });
  const canaries = redisCanaries(commands, alarm.prefixes);
  const started = await startService({
    roles: config.roles,
    clock,
    redis: commands,
    redisTarget: target,
    ...copies,
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
    traces,
    ...handoverProcessOf(config),
    startWorkers: workersOn(target, ward, { alarm, canaries, watch, metrics }),
  });
  service = started;
  stops.push({ what: 'service', stop: () => started.stop() });
  if (config.roles.has('jobs')) sweepWhenHurried(ward.hurried, started, log, stops);

  const checks: Record<string, ReadinessCheck> = {
    ...started.checks,
    ...(config.roles.has('jobs')
      ? { wakeUps: wakeUpCanary({ ...canaryTimes, now: () => Date.now(), last: () => canaries.last() }) }
      : {}),
  };
  metrics.askReadiness(() => passing(checks));
  health = healthRoutes({ checks, registry: metrics.registry });
  await showHealth(config, routes, stops);
  if (platform) greet(host, platform);
  log.info({ mode: config.mode, role: [...config.roles].join('.') }, 'started');
}

/** A practice ward is one, and its clock can't be shared. */
function handoverProcessOf({ mode, clock, redisUrl, redisCopies, logLevel, tracesTo }: Config) {
  if (mode === 'practice' || clock) return {};
  return { handoverProcess: { redisCopies: redisUrl === null ? 0 : redisCopies, logLevel, tracesTo } };
}

/** Shows the health routes where a port was given for them. */
async function showHealth({ health }: Config, handler: HealthHandler, stops: Stop[]): Promise<void> {
  if (!health) return;
  const server = await startHealthServer({ handler, ...health });
  stops.push({ what: 'health routes', stop: () => server.stop() });
}

type WorkersOf = Pick<WorkerParts, 'watch' | 'metrics'> & {
  alarm: BullmqAlarm;
  canaries: ReturnType<typeof redisCanaries>;
};

/** Starts the workers, each on a connection of its own. */
function workersOn(
  target: RedisTarget,
  { clock, hurried }: WardClock,
  { alarm, canaries, ...parts }: WorkersOf,
) {
  return (cases: JobCases) =>
    startWorkers({
      ...parts,
      connect: () => connect(target, 'jobs'),
      prefixes: alarm.prefixes,
      cases,
      clock: hurried ?? clock,
      sweepEveryMs: hurried ? hurriedSweepEveryMs : sweepEveryMs,
      canary: {
        everyMs: canaryTimes.everyMs,
        set: (dueMs) => alarm.setCanary(dueMs),
        ran: (prefix, run) => canaries.ran(prefix, run),
      },
    });
}

/** Ends the process in good order on a signal, and keeps it up when a library drops a promise. */
function stopOnSignal(host: Host, log: Log, stops: readonly Stop[]): void {
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
