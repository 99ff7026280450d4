import { type ConnectionOptions, type Processor, Worker, type WorkerOptions } from 'bullmq';
import { type Clock, type HurriedClock, within } from '../app/clock.ts';
import type { Watch } from '../app/ports.ts';
import { canaryJob, handoverQueue, postQueue, wakeQueue } from '../app/timers.ts';
import type { Metrics } from '../observe/metrics.ts';
import { post } from './post.ts';
import { startSweep } from './sweep.ts';
import { wake } from './wake.ts';

/** Wards looked at together: each waits for Redis' disk most of its time. */
const wakesAtOnce = 100;
/** Wards sent to together: each waits for the platform most of its time. */
const postsAtOnce = 100;
/** Wards whose handovers are called for together: each only asks for them to be sent behind the rest. */
const handoversAtOnce = 20;
/**
 * Workers that share the posts. Each takes as many as it may do at once before it begins the first, one trip to Redis after another,
 * and while wards are being looked at a trip takes long: with one worker every message of a burst stood still until it had a hundred.
 */
const postWorkers = 5;
/** How long a close waits for what runs, ms. */
const closePatienceMs = 5_000;

const options: Omit<WorkerOptions, 'connection'> = {
  // A killed worker's jobs are begun again after two looks, 5 to 10 s; a stall never fails a job for good.
  lockDuration: 5_000,
  stalledInterval: 5_000,
  maxStalledCount: 5,
  // A cluster that fails over refuses what it's asked for; the next look finds the new master.
  runRetryDelay: 1_000,
};

/** What jobs do: the use cases they call. */
export interface JobCases {
  wakeWard: (wardId: string) => Promise<void>;
  deliverPosts: (wardId: string) => Promise<void>;
  sweepWards: (sweep: { deep: boolean }) => Promise<void>;
}

/** What the workers of a process need. */
export interface WorkerParts {
  /** A connection for the workers of one queue, which end it. Each adds one of its own to wait on. */
  connect: () => ConnectionOptions & { disconnect(): void };
  /** Where the jobs stand, as the alarm says. */
  prefixes: readonly string[];
  cases: JobCases;
  clock: Clock | HurriedClock;
  sweepEveryMs: number;
  watch: Watch;
  metrics: Metrics;
  canary: {
    everyMs: number;
    set: (dueMs: number) => Promise<void>;
    ran: (prefix: string, run: { dueMs: number; ranAtMs: number }) => Promise<void>;
  };
}

/** Starts the workers of one process: wake-ups, posts, and the sweep that needs neither. */
export async function startWorkers(parts: WorkerParts): Promise<{ close(): Promise<void> }> {
  const { cases, sweepEveryMs, watch, canary } = parts;
  const { workers, connections } = workersOf(parts);
  for (const worker of workers) {
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
    trouble: (...details) => watch.trouble(...details),
  });

  return {
    async close() {
      clearInterval(singing);
      await within(closePatienceMs, Promise.all([sweep.stop(), ...workers.map((worker) => worker.close())]));
      for (const connection of connections) connection.disconnect();
    },
  };
}

/** Workers for each queue under each prefix; those of one queue share a connection and how much they do at once. */
function workersOf({ connect, prefixes, cases, clock, metrics, canary }: WorkerParts) {
  const wakeUp =
    (prefix: string): Processor =>
    async ({ name, data }) => {
      if (name === canaryJob)
        return canary.ran(prefix, { dueMs: (data as { dueMs: number }).dueMs, ranAtMs: Date.now() });
      return wake(data, {
        wakeWard: cases.wakeWard,
        now: () => clock.now(),
        rate: () => ('rate' in clock ? clock.rate() : 1),
        late: (seconds) => metrics.wakeLatenessSeconds.observe(seconds),
      });
    };
  const send: Processor = ({ data }) => post(data, cases);
  const connections: ReturnType<typeof connect>[] = [];
  const take = (queue: string, processor: (prefix: string) => Processor, atOnce: number, sharedBy = 1) => {
    const connection = connect();
    connections.push(connection);
    const each = Math.ceil(sharedBy / prefixes.length);
    const concurrency = Math.ceil(atOnce / prefixes.length / each);
    return prefixes.flatMap((prefix) =>
      Array.from(
        { length: each },
        () => new Worker(queue, processor(prefix), { ...options, prefix, connection, concurrency }),
      ),
    );
  };
  const workers = [
    ...take(wakeQueue, wakeUp, wakesAtOnce),
    ...take(postQueue, () => send, postsAtOnce, postWorkers),
    ...take(handoverQueue, () => send, handoversAtOnce),
  ];
  return { workers, connections };
}
