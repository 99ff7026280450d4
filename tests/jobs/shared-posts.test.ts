import { Queue } from 'bullmq';
import { expect, onTestFinished, test } from 'vitest';
import { postQueue, timerPrefix } from '../../src/app/timers.ts';
import { startWorkers } from '../../src/jobs/worker.ts';
import { createMetrics } from '../../src/observe/metrics.ts';
import { connect } from '../../src/redis/connections.ts';
import { startTestRedis } from '../support/redis-for-tests.ts';
import { notingWatch } from './ward-night.ts';

const never = 3_600_000;
const wards = 200;

test('several workers share the posts, and do a hundred at once between them', async () => {
  const redis = await startTestRedis();
  onTestFinished(redis.stop);
  const queue = new Queue(postQueue, { connection: redis.connection, prefix: timerPrefix });
  onTestFinished(() => queue.close());
  const ids = Array.from({ length: wards }, (_, index) => `T1.C${index}`);
  await queue.addBulk(ids.map((id) => ({ name: 'ward', data: { wardId: id }, opts: {} })));
  const begun: string[] = [];
  const go = Promise.withResolvers<void>();
  const workers = await startWorkers({
    connect: () => connect(redis.connection, 'jobs'),
    prefixes: [timerPrefix],
    cases: {
      wakeWard: async () => undefined,
      async deliverPosts(wardId) {
        begun.push(wardId);
        await go.promise;
      },
      sweepWards: async () => undefined,
    },
    clock: { now: () => Date.now() },
    sweepEveryMs: never,
    watch: notingWatch(),
    metrics: createMetrics({ withProcessMetrics: false }),
    canary: { everyMs: never, set: async () => undefined, ran: async () => undefined },
  });
  onTestFinished(() => workers.close());
  await expect.poll(() => queue.getWorkersCount(), { timeout: 20_000 }).toBeGreaterThan(1);
  await expect.poll(() => begun.length, { timeout: 20_000 }).toBe(100);
  go.resolve();
  await expect.poll(() => begun.length, { timeout: 20_000 }).toBe(wards);
  expect(new Set(begun).size).toBe(wards);
}, 60_000);
