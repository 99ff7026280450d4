import { Queue, Worker, type WorkerOptions } from 'bullmq';
import { forBullmq, postQueue, queueOptions, timerPrefix, wakeQueue } from '../src/redis/bullmq-alarm.ts';
import type { StartWorkers } from '../src/run-bot.ts';
import { post } from './post.ts';
import { startSweep } from './sweep.ts';
import { wake } from './wake.ts';

/** Name of the wake-up that is set only to see it arrive. */
const canaryJob = 'canary';
/** How long a close waits for what runs, ms. */
const closePatienceMs = 5_000;

/** Starts the workers of one process: wake-ups, posts, and the sweep that needs neither. */
export const startWorkers: StartWorkers = async ({
  connection,
  cases,
  clock,
  sweepEveryMs,
  watch,
  metrics,
  canary,
}) => {
  const options: WorkerOptions = {
    connection: forBullmq(connection),
    prefix: timerPrefix,
    // A killed worker's jobs are begun again after two looks, 5 to 10 s; a stall never fails a job for good.
    lockDuration: 5_000,
    stalledInterval: 5_000,
    maxStalledCount: 5,
  };
  const wakes = new Worker(
    wakeQueue,
    async ({ name, data }) => {
      if (name === canaryJob) return canary.ran((data as { dueMs: number }).dueMs, Date.now());
      return wake(data, {
        wakeWard: cases.wakeWard,
        now: () => clock.now(),
        rate: () => ('rate' in clock ? clock.rate() : 1),
        late: (seconds) => metrics.wakeLatenessSeconds.observe(seconds),
      });
    },
    { ...options, concurrency: 20 },
  );
  const posts = new Worker(postQueue, ({ data }) => post(data, cases), { ...options, concurrency: 10 });
  for (const worker of [wakes, posts]) {
    worker.on('error', () => metrics.redisUp.set(0));
    worker.on('failed', (job, cause) => {
      watch.trouble('a job failed; the sweep takes over', { queue: worker.name, job: job?.id ?? '' }, cause);
    });
  }

  const queue = new Queue(wakeQueue, queueOptions(connection));
  queue.on('error', () => undefined);
  const sing = async () => {
    const dueMs = Date.now() + canary.everyMs;
    try {
      await queue.add(canaryJob, { dueMs }, { delay: canary.everyMs, jobId: `canary.${dueMs}` });
    } catch (cause) {
      watch.trouble('the canary wake-up could not be set', {}, cause);
    }
  };
  await sing();
  const singing = setInterval(() => void sing(), canary.everyMs);
  const sweep = startSweep({ sweepWards: cases.sweepWards, everyMs: sweepEveryMs, trouble: watch.trouble });

  return {
    async close() {
      clearInterval(singing);
      await sweep.stop();
      const patience = new Promise<void>((resolve) => setTimeout(resolve, closePatienceMs).unref());
      await Promise.race([Promise.all([wakes.close(), posts.close()]), patience]);
      await queue.close();
    },
  };
};
