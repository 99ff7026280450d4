import { Queue, type QueueOptions } from 'bullmq';
import { Cluster } from 'ioredis';
import { type Clock, type HurriedClock, within } from '../app/clock.ts';
import type { Alarm, Watch } from '../app/ports.ts';
import {
  canaryJob,
  clusterTimerPrefixes,
  handoverQueue,
  postQueue,
  timerPrefix,
  timerPrefixOf,
  wakeQueue,
} from '../app/timers.ts';
import { connect, type RedisTarget } from './connections.ts';
import { type GatheredAdds, gatheredAdds } from './gathered-adds.ts';
import type { RecordClient } from './script.ts';

/** Events nobody reads are kept short; a decision never rests on them. */
const mostEvents = 100;
/** Jobs added within this of each other make one trip, ms. */
const gatherMs = 5;
/** How long a close waits for Redis, ms. */
const closePatienceMs = 2_000;
/** Wake-ups that failed, kept for the operator. */
const mostFailed = 100;

/** Options of every queue here. What is done is forgotten at once: an id kept would make a later wake-up a silent no-op. */
function queueOptions(client: RecordClient, prefix: string): QueueOptions {
  return {
    connection: client,
    prefix,
    streams: { events: { maxLen: mostEvents } },
    defaultJobOptions: {
      removeOnComplete: true,
      removeOnFail: mostFailed,
      attempts: 3,
      backoff: { type: 'exponential', delay: 500 },
    },
  };
}

/** An alarm that can be let go of. */
export interface BullmqAlarm extends Alarm {
  /** Where its jobs stand: workers must take them from each. */
  prefixes: readonly string[];
  /** Sets wake-ups for `dueMs` (real time) that are only watched for, one under each prefix. */
  setCanary(dueMs: number): Promise<void>;
  close(): Promise<void>;
}

/**
 * Wake-ups on BullMQ: an alarm clock, never the memory. Adding one is best effort; what is lost the sweep finds.
 * The same instant of a ward is one job, however often it is asked for. A hurried clock's changes make waiting delays
 * wrong, so after each the same instants are new jobs.
 */
export function bullmqAlarm(parts: {
  /** Where Redis is. */
  target: RedisTarget;
  clock: Clock | HurriedClock;
  watch: Watch;
  realNow?: () => number;
}): BullmqAlarm {
  const { target, clock, watch, realNow = Date.now } = parts;
  // An adder must not hang where its chat handler waits: it refuses while Redis is away.
  const client = connect(target, 'commands');
  client.on('error', () => undefined);
  const prefixes = client instanceof Cluster ? clusterTimerPrefixes : [timerPrefix];
  const { of, all, close } = queuesOn(client, prefixes);
  const hurried = 'rate' in clock ? clock : null;
  let era = hurried ? `.${realNow().toString(36)}` : '';
  const stopListening = hurried?.onChange(() => {
    era = `.${realNow().toString(36)}`;
  });
  const bestEffort = (what: string, wardId: string, add: () => Promise<unknown>) =>
    add().then(
      () => undefined,
      (cause: unknown) => watch.trouble(what, { wardId }, cause),
    );
  return {
    prefixes,
    wakeAt: (wardId, atMs) =>
      bestEffort('a wake-up could not be set; the sweep will find it', wardId, () => {
        const delay = Math.max(0, Math.ceil((atMs - clock.now()) / (hurried?.rate() ?? 1)));
        return of(wardId).wakeAdds.add(
          'ward',
          { wardId, atMs },
          { jobId: `${wardId}.${Math.floor(atMs)}${era}`, delay },
        );
      }),
    postsWaiting: (wardId, realAtMs, part = 'reminders') =>
      bestEffort('a message could not be called for; the sweep will find it', wardId, () => {
        const { postAdds, handoverAdds } = of(wardId);
        const adds = part === 'reminders' ? postAdds : handoverAdds;
        return realAtMs === undefined || realAtMs <= realNow()
          ? // One waits while one runs: whatever came in between is found by the second.
            adds.add('ward', { wardId }, { deduplication: { id: wardId, keepLastIfActive: true } })
          : adds.add(
              'ward',
              { wardId },
              { jobId: `${wardId}.${Math.ceil(realAtMs)}`, delay: Math.ceil(realAtMs - realNow()) },
            );
      }),
    setCanary(dueMs) {
      const job = { jobId: `canary.${dueMs}`, delay: Math.max(0, dueMs - realNow()) };
      return bestEffort('the canary wake-up could not be set', '', () =>
        Promise.all(all.map(({ wakeAdds }) => wakeAdds.add(canaryJob, { dueMs }, job))),
      );
    },
    async close() {
      stopListening?.();
      await close();
      client.disconnect();
    },
  };
}

/** How jobs are added to the queues under one prefix. */
interface Adds {
  wakeAdds: GatheredAdds;
  postAdds: GatheredAdds;
  handoverAdds: GatheredAdds;
}

/** The queues under each prefix. */
function queuesOn(
  client: RecordClient,
  prefixes: readonly string[],
): { of: (wardId: string) => Adds; all: readonly Adds[]; close: () => Promise<void> } {
  const queues: Queue[] = [];
  const addsTo = (name: string, prefix: string) => {
    const queue = new Queue(name, queueOptions(client, prefix));
    queue.on('error', () => undefined);
    queues.push(queue);
    return gatheredAdds(queue, gatherMs);
  };
  const adds = new Map(
    prefixes.map((prefix) => [
      prefix,
      {
        wakeAdds: addsTo(wakeQueue, prefix),
        postAdds: addsTo(postQueue, prefix),
        handoverAdds: addsTo(handoverQueue, prefix),
      },
    ]),
  );
  return {
    of(wardId) {
      const found = adds.get(timerPrefixOf(wardId, prefixes));
      if (!found) throw new Error(`no queues for ${wardId}`);
      return found;
    },
    all: [...adds.values()],
    async close() {
      // While Redis is away a queue cannot say goodbye; there is nothing to be lost by not waiting for it.
      await within(closePatienceMs, Promise.allSettled(queues.map((queue) => queue.close())));
    },
  };
}
