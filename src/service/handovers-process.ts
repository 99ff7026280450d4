// The process that hands over where many wards do at once, as `handovers-beside.ts` starts it.
import os from 'node:os';
import type { PartBehind } from '../app/app-deps.ts';
import type { Watch } from '../app/ports.ts';
import { createLog } from '../observe/log.ts';
import { createMetrics } from '../observe/metrics.ts';
import { openTraces } from '../observe/traces.ts';
import { bullmqAlarm } from '../redis/bullmq-alarm.ts';
import { connect, openCommands, type RedisTarget, untilReady } from '../redis/connections.ts';
import { replicaCopies } from '../redis/copies.ts';
import type { HandoverTask, SaidByProcess, ToldToProcess } from './handovers-beside.ts';
import { type Service, startService } from './service.ts';

/** How far behind its parent it stands, in steps of the system, of which 19 is the last. */
const behindBy = 10;
/** How long it waits for Redis at its start, ms. */
const redisPatienceMs = 15_000;

os.setPriority(Math.min(19, os.getPriority() + behindBy));
// A stop that's sent to all processes at once is the parent's to carry out.
for (const signal of ['SIGINT', 'SIGTERM'] as const) process.on(signal, () => undefined);
// Killed with its parent: whatever was being sent is looked for before it's sent again.
process.on('disconnect', () => process.exit());

const say = (said: SaidByProcess) => void process.send?.(said, undefined, undefined, () => undefined);
/** The number of the latest ask of each part of each ward. */
const numbers = new Map<string, number>();
const over = (part: PartBehind, wardId: string) => {
  const key = `${part} ${wardId}`;
  const number = numbers.get(key);
  numbers.delete(key);
  if (number !== undefined) say({ what: 'over', part, wardId, number });
};
let begun: Promise<Begun> | null = null;

process.on('message', (told: ToldToProcess) => {
  if (told.what === 'begin') {
    begun = begin(told.task);
    begun.catch((cause: unknown) => {
      watch.trouble('the process that hands over could not start', {}, cause);
      setImmediate(() => process.exit(1));
    });
  } else if (told.what === 'ask') {
    const { part, wardId, number } = told;
    numbers.set(`${part} ${wardId}`, number);
    void begun?.then(
      ({ behind }) => behind[part].ask(wardId),
      () => undefined,
    );
  } else void Promise.resolve(begun?.then(({ stop }) => stop())).finally(() => process.exit());
});

/** What it sees goes to the parent, which counts it and writes it down. */
const watched =
  (call: keyof Watch) =>
  (...args: unknown[]) =>
    say({ what: 'watched', call, args: args.map(plainly) });
const watch: Watch = {
  entryAccepted: watched('entryAccepted'),
  conflict: watched('conflict'),
  notified: watched('notified'),
  posted: watched('posted'),
  repaired: watched('repaired'),
  trouble: watched('trouble'),
};

/** An error may hold what can't be sent. */
function plainly(value: unknown): unknown {
  if (!(value instanceof Error)) return value;
  return Object.assign(new Error(value.message), { name: value.name, stack: value.stack });
}

interface Begun {
  behind: Service['behind'];
  stop: () => Promise<void>;
}

async function begin(told: HandoverTask): Promise<Begun> {
  const { redisTarget, redisCopies, logLevel, tracesTo, ...task } = told;
  const log = createLog({ level: logLevel, pretty: false });
  const redis = openCommands(redisTarget, () => undefined);
  await untilReady(redis, redisPatienceMs);
  const clock = { now: () => Date.now() };
  const alarm = bullmqAlarm({ target: redisTarget, clock, watch });
  const traces = await openTraces(tracesTo, log);
  const service = await startService({
    ...task,
    // Nobody but its parent asks it for anything.
    roles: new Set(),
    clock,
    redis,
    redisTarget,
    ...copiesOn(redisTarget, redisCopies),
    alarm,
    slack: { ...task.slack, reach: { by: 'http', signingSecret: '', port: 0 } },
    log,
    metrics: createMetrics({ withProcessMetrics: false }),
    traces,
    watch,
    behindOver: over,
    startWorkers: async () => ({ close: async () => undefined }),
  });
  return {
    behind: service.behind,
    async stop() {
      await service.stop();
      await alarm.close();
      await traces.stop();
    },
  };
}

function copiesOn(target: RedisTarget, wanted: number) {
  if (wanted === 0) return {};
  const client = connect(target, 'commands');
  client.on('error', () => undefined);
  return {
    copies: replicaCopies({ client, wanted, trouble: (what, cause) => watch.trouble(what, {}, cause) }),
  };
}
