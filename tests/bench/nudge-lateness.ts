import { type ConnectionOptions, Queue, Worker } from 'bullmq';
import type { JobDeps } from '../../src/app/app-deps.ts';
import type { WardRecord } from '../../src/app/ports.ts';
import { wakeWard } from '../../src/app/wake-ward.ts';
import { startWorkers } from '../../src/jobs/worker.ts';
import { createMetrics } from '../../src/observe/metrics.ts';
import { bullmqAlarm } from '../../src/redis/bullmq-alarm.ts';
import { connect } from '../../src/redis/connections.ts';
import { redisRecord } from '../../src/redis/redis-record.ts';
import type { TestRedis } from '../support/redis-for-tests.ts';
import { benchDeps, caredForLine, fillWard, policyBetweenShifts, silentWatch } from './bench-ward.ts';
import { type Measured, ms, percentile } from './measured.ts';

const wards = 1_000;
const linesAWard = 10;
const settleMs = 3_000;
const never = 3_600_000;

/**
 * How late 1,000 nudges are that fall due at one instant among 10,000 active lines (until the message is in the
 * outbox, durably), against 1,000 delayed BullMQ jobs at one instant whose processor does nothing.
 */
export async function nudgeLateness(redis: TestRedis): Promise<Measured[]> {
  const raw = await rawLateness(redis);
  const ours = await ourLateness(redis);
  const row = (what: string, share: number, aim: string): Measured => ({
    what,
    ours: ms(percentile(ours, share)),
    raw: ms(percentile(raw, share)),
    ratio: percentile(ours, share) / percentile(raw, share),
    aim,
  });
  return [
    row('lateness of 1,000 nudges at once among 10,000 lines, p50', 0.5, ''),
    row('the same, p99', 0.99, '≤ 1.2'),
  ];
}

async function rawLateness(redis: TestRedis): Promise<number[]> {
  const connection = { ...redis.connection, maxRetriesPerRequest: null } as ConnectionOptions;
  const queue = new Queue('raw', { connection, prefix: '{raw}' });
  const dueAt = Date.now() + settleMs + 2_000;
  await queue.addBulk(
    Array.from({ length: wards }, (_, index) => ({
      name: 'raw',
      data: { index },
      opts: { delay: dueAt - Date.now(), removeOnComplete: true },
    })),
  );
  const late: number[] = [];
  const worker = new Worker('raw', async () => void late.push(Date.now() - dueAt), {
    connection,
    prefix: '{raw}',
    concurrency: 20,
  });
  while (late.length < wards) await new Promise((resolve) => setTimeout(resolve, 50));
  await worker.close();
  await queue.close();
  return late;
}

async function ourLateness(redis: TestRedis): Promise<number[]> {
  const policy = policyBetweenShifts(Date.now());
  const plain = redisRecord({ client: redis.client(), defaultPolicy: policy });
  const clock = { now: () => Date.now() };
  const ids = Array.from({ length: wards }, (_, index) => `T0BENCH.C${index}`);
  // The ward's first line is due for its flush at one instant; the others owe nothing for hours.
  const fillMs = 25_000;
  const dueAt = Date.now() + fillMs;
  const placedAt = dueAt - policy.flushEveryMin * 60_000;
  for (let start = 0; start < wards; start += 50) {
    await Promise.all(
      ids.slice(start, start + 50).map((wardId) =>
        fillWard(
          plain,
          wardId,
          Array.from({ length: linesAWard }, (_, line) =>
            caredForLine(`l${line}`, placedAt, line === 0 ? 'manual' : 'continuous'),
          ),
          Date.now(),
          policy,
        ),
      ),
    );
  }
  const late: number[] = [];
  const record: WardRecord = {
    ...plain,
    async commit(wardId, change) {
      const committed = await plain.commit(wardId, change);
      if (committed.is === 'written' && change.posts.length > 0) late.push(Date.now() - dueAt);
      return committed;
    },
  };
  const alarm = bullmqAlarm({ target: redis.connection, clock, watch: silentWatch });
  await new Promise((resolve) => setTimeout(resolve, 500));
  for (let start = 0; start < wards; start += 50) {
    await Promise.all(ids.slice(start, start + 50).map((wardId) => alarm.wakeAt(wardId, dueAt)));
  }
  if (Date.now() > dueAt - settleMs)
    throw new Error('the wards took too long to fill for this machine; give them more time');
  // Nothing is sent: only what a wake-up writes is measured.
  const messenger = {} as JobDeps['messenger'];
  const deps: JobDeps = { ...benchDeps(record, clock, alarm), messenger, realNow: Date.now };
  const workers = await startWorkers({
    connect: () => connect(redis.connection, 'jobs'),
    prefixes: alarm.prefixes,
    cases: {
      wakeWard: (wardId) => wakeWard(deps, wardId),
      deliverPosts: async () => undefined,
      sweepWards: async () => undefined,
    },
    clock,
    sweepEveryMs: never,
    watch: silentWatch,
    metrics: createMetrics({ withProcessMetrics: false }),
    canary: { everyMs: never, set: async () => undefined, ran: async () => undefined },
  });
  while (late.length < wards) await new Promise((resolve) => setTimeout(resolve, 50));
  await workers.close();
  await alarm.close();
  return late;
}
