import { Worker, type WorkerOptions } from 'bullmq';
import { canaryJob, postQueue, timerPrefix, wakeQueue } from '../src/app/timers.ts';
import type { StartWorkers } from '../src/run-bot.ts';
import { post } from './post.ts';
import { startSweep } from './sweep.ts';
import { wake } from './wake.ts';

/** Wards looked at together: each waits for Redis' disk most of its time. */
const wakesAtOnce = 100;
/** Wards sent to together: each waits for the platform most of its time. */
const postsAtOnce = 100;
/** How long a close waits for what runs, ms. */
const closePatienceMs = 5_000;

/** Starts the workers of one process: wake-ups, posts, and the sweep that needs neither. */
export const startWorkers: StartWorkers = async ({
  connect,
  cases,
  clock,
  sweepEveryMs,
  watch,
  metrics,
  canary,
}) => {
  const connections = [connect(), connect()] as const;
  const options: Omit<WorkerOptions, 'connection'> = {
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
    { ...options, connection: connections[0], concurrency: wakesAtOnce },
  );
  const posts = new Worker(postQueue, ({ data }) => post(data, cases), {
    ...options,
    connection: connections[1],
    concurrency: postsAtOnce,
  });
  for (const worker of [wakes, posts]) {
    // The worker connects anew by itself; the record's own connection tells the operator that Redis is away.
    worker.on('error', () => undefined);
    worker.on('failed', (job, cause) => {
      watch.trouble('a job failed; the sweep takes over', { queue: worker.name, job: job?.id ?? '' }, cause);
    });
  }

  const sing = () => canary.set(Date.now() + canary.everyMs);
  await sing();
  const singing = setInterval(() => void sing(), canary.everyMs);
  const sweep = startSweep({
    sweepWards: cases.sweepWards,
    everyMs: sweepEveryMs,
    trouble: (...told) => watch.trouble(...told),
  });

  return {
    async close() {
      clearInterval(singing);
      const patience = new Promise<void>((resolve) => setTimeout(resolve, closePatienceMs).unref());
      await Promise.race([Promise.all([sweep.stop(), wakes.close(), posts.close()]), patience]);
      for (const connection of connections) connection.disconnect();
    },
  };
};
