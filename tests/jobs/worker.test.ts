import { Queue } from 'bullmq';
import { beforeAll, describe, expect, onTestFinished, test } from 'vitest';
import { type HurriedClock, hurriedClock } from '../../src/app/clock.ts';
import { deliverEverywhere } from '../../src/app/deliver-everywhere.ts';
import { deliverPosts } from '../../src/app/deliver-posts.ts';
import type { Alarm, WardRecord } from '../../src/app/ports.ts';
import { sweepWards } from '../../src/app/sweep-wards.ts';
import { postQueue, timerPrefix, wakeQueue } from '../../src/app/timers.ts';
import { wakeWard } from '../../src/app/wake-ward.ts';
import { startWorkers } from '../../src/jobs/worker.ts';
import { createMetrics } from '../../src/observe/metrics.ts';
import { type BullmqAlarm, bullmqAlarm } from '../../src/redis/bullmq-alarm.ts';
import { connect } from '../../src/redis/connections.ts';
import { redisRecord } from '../../src/redis/redis-record.ts';
import { policy } from '../contract/ward-changes.ts';
import { minute } from '../support/line-builder.ts';
import { memoryRecord } from '../support/memory-record.ts';
import { startTestRedis, type TestRedis } from '../support/redis-for-tests.ts';
import {
  beginNight,
  begins,
  ends,
  nightDeps,
  notingMessenger,
  notingWatch,
  stepsTaken,
  toldTooSoon,
  wardId,
} from './ward-night.ts';

/** An hour of the ward's night passes in a second. */
const rate = 3_600;
const never = 3_600_000;

/** What the night brings when somebody looks at the ward at each instant the record asks for, without any timer. */
async function stepsOfQuietNight(): Promise<Set<string>> {
  const clock = hurriedClock(begins, 1, () => 0);
  const record = memoryRecord(policy);
  const silent: Alarm = { wakeAt: async () => undefined, postsWaiting: async () => undefined };
  const deps = nightDeps({
    record,
    clock,
    alarm: silent,
    messenger: notingMessenger(),
    watch: notingWatch(),
  });
  await beginNight(deps);
  for (;;) {
    const next = await record.nextWake(wardId);
    if (next === null || next > ends) return new Set(await stepsTaken(record));
    clock.jumpTo(next);
    await wakeWard(deps, wardId);
  }
}

interface Fault {
  /** Real ms from one sweep to the next; none by default, so that only wake-ups can bring anything. */
  sweepEveryMs?: number;
  workers?: number;
  /** An alarm that goes wrong. */
  alarm?: (right: BullmqAlarm, queue: Queue, clock: HurriedClock) => Alarm;
  /** Done again and again while the night passes. */
  meanwhile?: (redis: TestRedis) => Promise<void>;
}

const extra = (queue: Queue, data: { wardId: string; atMs: number }, delay: number, name: string) =>
  queue.add('ward', data, {
    delay: Math.max(0, delay),
    jobId: `${data.wardId}.${data.atMs}.${name}`,
    removeOnComplete: true,
  });

/** Whole milliseconds of real time from now to an instant of the hurried ward. */
const realDelay = (clock: HurriedClock, atMs: number) => Math.ceil((atMs - clock.now()) / rate);

const faults: [string, Fault][] = [
  ['arrive as they should', {}],
  ['arrive at two workers', { workers: 2 }],
  [
    'come three times each',
    {
      workers: 2,
      alarm: (right, queue, clock) => ({
        postsWaiting: (...asked) => right.postsWaiting(...asked),
        async wakeAt(ward, atMs) {
          await right.wakeAt(ward, atMs);
          for (const copy of ['b', 'c'])
            await extra(queue, { wardId: ward, atMs }, realDelay(clock, atMs), copy);
        },
      }),
    },
  ],
  [
    'come seven minutes too early as well',
    {
      alarm: (right, queue, clock) => ({
        postsWaiting: (...asked) => right.postsWaiting(...asked),
        async wakeAt(ward, atMs) {
          await extra(
            queue,
            { wardId: ward, atMs: atMs - 7 * minute },
            realDelay(clock, atMs - 7 * minute),
            'early',
          );
          await right.wakeAt(ward, atMs);
        },
      }),
    },
  ],
  [
    'come four minutes too late',
    {
      alarm: (right) => ({
        postsWaiting: (...asked) => right.postsWaiting(...asked),
        wakeAt: (ward, atMs) => right.wakeAt(ward, atMs + 4 * minute),
      }),
    },
  ],
  [
    'are never set',
    {
      sweepEveryMs: 50,
      alarm: () => ({ postsWaiting: async () => undefined, wakeAt: async () => undefined }),
    },
  ],
  [
    'are lost with all keys of the job queue, again and again',
    {
      sweepEveryMs: 50,
      meanwhile: async (redis) => {
        const client = redis.client();
        const keys = await client.keys(`${timerPrefix}:*`);
        if (keys.length > 0) await client.del(...keys);
        client.disconnect();
      },
    },
  ],
];

// At the same time, each on a Redis of its own: most of a night is waiting.
describe.concurrent('a night whose wake-ups', () => {
  let expected: Set<string>;
  beforeAll(async () => {
    expected = await stepsOfQuietNight();
  });

  test('is worth looking at', () => {
    const reached = [...expected].map((step) => step.split(' ').at(-1));
    expect(new Set(reached)).toEqual(new Set(['ward', 'nurse', 'clinician']));
    expect(expected.size).toBeGreaterThan(15);
  });

  test.for(faults)(
    '%s tells everyone all that is due, once',
    async ([, fault], { onTestFinished, expect }) => {
      const redis = await startTestRedis();
      onTestFinished(redis.stop);
      const { record, messenger } = await passNight(redis, fault);
      const steps = await stepsTaken(record);
      expect(new Set(steps)).toEqual(expected);
      expect(await toldTooSoon(record)).toEqual([]);
      const keys = messenger.sent.map(({ key }) => key);
      expect(keys.length).toBe(new Set(keys).size);
      const asked = messenger.sent
        .filter(({ kind }) => kind === 'nudge')
        .flatMap(({ asked: duties }) =>
          duties.map(({ lineId, kind, dueAt }) => `${lineId} ${kind} ${dueAt} ward`),
        );
      expect(new Set(asked)).toEqual(new Set([...expected].filter((step) => step.endsWith('ward'))));
    },
  );
});

/** Lets the night pass with real workers on a real Redis. */
async function passNight(
  redis: TestRedis,
  { sweepEveryMs = never, workers = 1, alarm: spoilt, meanwhile }: Fault,
) {
  const client = redis.client();
  const clock = hurriedClock(begins, rate);
  const record: WardRecord = redisRecord({ client, defaultPolicy: policy, laneGapMs: 5 });
  const watch = notingWatch();
  const right = bullmqAlarm({ target: redis.connection, clock, watch });
  const queue = new Queue(wakeQueue, { connection: redis.connection, prefix: timerPrefix });
  const alarm = spoilt ? spoilt(right, queue, clock) : right;
  const messenger = notingMessenger();
  const deps = nightDeps({ record, clock, alarm, messenger, watch });
  await beginNight(deps);
  const metrics = createMetrics({ withProcessMetrics: false });
  const running = await Promise.all(
    Array.from({ length: workers }, () =>
      startWorkers({
        connect: () => connect(redis.connection, 'jobs'),
        prefixes: right.prefixes,
        cases: {
          wakeWard: (ward) => wakeWard(deps, ward),
          deliverPosts: (ward) => deliverPosts(deps, ward),
          async sweepWards(sweep) {
            await sweepWards(deps, sweep);
            await deliverEverywhere(deps);
          },
        },
        clock,
        sweepEveryMs,
        watch,
        metrics,
        canary: { everyMs: never, set: (dueMs) => right.setCanary(dueMs), ran: async () => undefined },
      }),
    ),
  );
  while (clock.now() < ends) {
    await meanwhile?.(redis);
    await new Promise((resolve) => setTimeout(resolve, 30));
  }
  await Promise.all(running.map((one) => one.close()));
  await deliverPosts(
    { ...deps, alarm: { wakeAt: async () => undefined, postsWaiting: async () => undefined } },
    wardId,
  );
  await Promise.all([right.close(), queue.close()]);
  return { record, messenger, watch };
}

describe('workers', () => {
  test('hear of a canary wake-up, and close while Redis is away', async () => {
    const redis = await startTestRedis();
    onTestFinished(redis.stop);
    const watch = notingWatch();
    const real = hurriedClock(begins, 1);
    const alarm = bullmqAlarm({ target: redis.connection, clock: real, watch });
    onTestFinished(() => alarm.close());
    let heard: (dueMs: number) => void = () => undefined;
    const sung = new Promise<number>((resolve) => {
      heard = resolve;
    });
    let set = 0;
    const workers = await startWorkers({
      connect: () => connect(redis.connection, 'jobs'),
      prefixes: alarm.prefixes,
      cases: {
        wakeWard: async () => undefined,
        deliverPosts: async () => undefined,
        sweepWards: async () => undefined,
      },
      clock: real,
      sweepEveryMs: never,
      watch,
      metrics: createMetrics({ withProcessMetrics: false }),
      canary: {
        everyMs: 200,
        async set(dueMs) {
          set ||= dueMs;
          await alarm.setCanary(dueMs);
        },
        ran: async (_prefix, { dueMs }) => heard(dueMs),
      },
    });
    expect(await sung).toBe(set);
    await redis.kill();
    await workers.close();
  });

  test('go on with the next sweep when one failed, and never run two at once', async () => {
    const redis = await startTestRedis();
    onTestFinished(redis.stop);
    const watch = notingWatch();
    const real = hurriedClock(begins, 1);
    const sweeps: boolean[] = [];
    let at = 0;
    let together = 0;
    const workers = await startWorkers({
      connect: () => connect(redis.connection, 'jobs'),
      prefixes: [timerPrefix],
      cases: {
        wakeWard: async () => undefined,
        deliverPosts: async () => undefined,
        async sweepWards({ deep }) {
          sweeps.push(deep);
          together = Math.max(together, ++at);
          await new Promise((resolve) => setTimeout(resolve, 20));
          at -= 1;
          if (sweeps.length < 4) throw new Error('no Redis');
        },
      },
      clock: real,
      sweepEveryMs: 5,
      watch,
      metrics: createMetrics({ withProcessMetrics: false }),
      canary: { everyMs: never, set: async () => undefined, ran: async () => undefined },
    });
    while (sweeps.length < 6) await new Promise((resolve) => setTimeout(resolve, 5));
    await workers.close();
    expect(together).toBe(1);
    expect(sweeps.slice(0, 3)).toEqual([true, true, true]);
    expect(watch.troubles.filter((trouble) => trouble.includes('no Redis')).length).toBe(3);
  });
});

describe('an alarm whose Redis does not answer', () => {
  test.each(['killed', 'hung'])('keeps nobody waiting, and tells the operator: %s', async (how) => {
    const redis = await startTestRedis();
    onTestFinished(redis.stop);
    const watch = notingWatch();
    const real = hurriedClock(begins, 1);
    const alarm = bullmqAlarm({ target: redis.connection, clock: real, watch });
    onTestFinished(() => alarm.close());
    await alarm.wakeAt(wardId, begins + minute);
    await alarm.postsWaiting(wardId);
    expect(watch.troubles).toEqual([]);
    if (how === 'hung') redis.pause();
    else await redis.kill();
    await alarm.wakeAt(wardId, begins + 2 * minute);
    await alarm.postsWaiting(wardId);
    await alarm.postsWaiting(wardId, Date.now() + 5_000);
    await alarm.setCanary(Date.now());
    redis.resume();
    expect(watch.troubles.length).toBe(4);
  });
});

describe('an alarm', () => {
  test('sets one wake-up for one instant of a ward, however often it is asked', async () => {
    const redis = await startTestRedis();
    onTestFinished(redis.stop);
    const real = hurriedClock(begins, 1);
    const alarm = bullmqAlarm({ target: redis.connection, clock: real, watch: notingWatch() });
    onTestFinished(() => alarm.close());
    const wakes = new Queue(wakeQueue, { connection: redis.connection, prefix: timerPrefix });
    const posts = new Queue(postQueue, { connection: redis.connection, prefix: timerPrefix });
    onTestFinished(async () => {
      await Promise.all([wakes.close(), posts.close()]);
    });
    for (const ward of ['T1.C1', 'T1.C2']) {
      for (const atMs of [begins + minute, begins + minute, begins + 2 * minute])
        await alarm.wakeAt(ward, atMs);
    }
    const waiting = await wakes.getDelayed();
    expect(waiting.map(({ data }) => `${data.wardId} ${data.atMs - begins}`).toSorted()).toEqual([
      'T1.C1 120000',
      'T1.C1 60000',
      'T1.C2 120000',
      'T1.C2 60000',
    ]);
    // The ward's clock is set ahead: what was a minute away is now half a minute away, and is set again for then.
    real.jumpTo(begins + minute / 2);
    await alarm.wakeAt('T1.C1', begins + minute);
    const delays = (await wakes.getDelayed()).filter(
      ({ data }) => data.wardId === 'T1.C1' && data.atMs === begins + minute,
    );
    expect(delays.map(({ delay }) => Math.round(delay / 10_000)).toSorted((a, b) => a - b)).toEqual([3, 6]);

    const soon = Date.now() + 60_000;
    for (const realAtMs of [undefined, undefined, soon, soon]) await alarm.postsWaiting('T1.C1', realAtMs);
    expect(await posts.getJobCountByTypes('waiting')).toBe(1);
    expect(await posts.getJobCountByTypes('delayed')).toBe(1);
  });
});
