import { Queue } from 'bullmq';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { postQueue, timerPrefix, timerPrefixOf, wakeQueue } from '../../src/app/timers.ts';
import { startWorkers } from '../../src/jobs/worker.ts';
import { createMetrics } from '../../src/observe/metrics.ts';
import { bullmqAlarm } from '../../src/redis/bullmq-alarm.ts';
import { redisCanaries } from '../../src/redis/canaries.ts';
import { connect, openCommands, untilReady } from '../../src/redis/connections.ts';
import { redisReady } from '../../src/redis/redis-ready.ts';
import { notingWatch } from '../jobs/ward-night.ts';
import { type RedisFleet, startCluster, until } from '../support/redis-fleet.ts';

const never = 3_600_000;
const wards = Array.from({ length: 60 }, (_, number) => `T0TEST.C${number}`);

let fleet: RedisFleet;
beforeAll(async () => {
  fleet = await startCluster();
}, 60_000);
afterAll(() => fleet.stop());

/** The alarm as a process has it, and a way to start workers as one has them. */
async function alarmed() {
  const target = { url: fleet.url };
  const clock = { now: () => Date.now() };
  const watch = notingWatch();
  const commands = openCommands(target, () => undefined);
  onTestFinished(() => commands.disconnect());
  await untilReady(commands, 10_000);
  const alarm = bullmqAlarm({ target, clock, watch });
  onTestFinished(() => alarm.close());
  const canaries = redisCanaries(commands, alarm.prefixes);
  const woken: string[] = [];
  const delivered: string[] = [];
  const work = async (prefixes: readonly string[]) => {
    const workers = await startWorkers({
      connect: () => connect(target, 'jobs'),
      prefixes,
      cases: {
        wakeWard: async (ward) => void woken.push(ward),
        deliverPosts: async (ward) => void delivered.push(ward),
        sweepWards: async () => undefined,
      },
      clock,
      sweepEveryMs: never,
      watch,
      metrics: createMetrics({ withProcessMetrics: false }),
      canary: { everyMs: never, set: async () => undefined, ran: (...run) => canaries.ran(...run) },
    });
    onTestFinished(() => workers.close());
  };
  return { target, commands, alarm, canaries, woken, delivered, watch, work };
}

test('the queue’s keys lie evenly on the masters of a cluster, and every wake-up and call arrives', async () => {
  const { commands, alarm, canaries, woken, delivered, watch, work } = await alarmed();
  // Redis itself says which slot a key has.
  const slots = await Promise.all(
    alarm.prefixes.map(async (prefix) => Number(await commands.call('CLUSTER', 'KEYSLOT', `${prefix}:wake`))),
  );
  const sixths = slots.map((slot) => Math.floor((slot * 6) / 16_384));
  expect(sixths.toSorted((a, b) => a - b)).toEqual([0, 1, 2, 3, 4, 5]);

  const dueMs = Date.now() + 500;
  for (const ward of wards) void alarm.wakeAt(ward, dueMs);
  await Promise.all(wards.map((ward) => alarm.postsWaiting(ward, dueMs)));
  await alarm.setCanary(dueMs);
  for (const port of fleet.ports.slice(0, 3)) {
    const jobs = await fleet.server(port).keys(`{timer*:${wakeQueue}:T0TEST.C*`);
    // A third of the wards is 20; how many fall to a master is this hash's luck.
    expect(jobs.length).toBeGreaterThan(10);
    expect(jobs.length).toBeLessThan(30);
  }
  await work(alarm.prefixes);
  await until('all to arrive', async () => woken.length >= wards.length && delivered.length >= wards.length);
  expect(woken.toSorted()).toEqual(wards.toSorted());
  expect(delivered.toSorted()).toEqual(wards.toSorted());
  await until('a canary of each part', async () => !(await canaries.last()).includes(null));
  expect((await canaries.last()).map((run) => run?.dueMs)).toEqual(alarm.prefixes.map(() => dueMs));
  expect(watch.troubles).toEqual([]);
});

test('what an older program left in its one slot is done too', async () => {
  const { target, alarm, woken, delivered, work } = await alarmed();
  const elsewhere = wards.filter((ward) => timerPrefixOf(ward, alarm.prefixes) !== timerPrefix);
  const connection = connect(target, 'background');
  onTestFinished(() => connection.disconnect());
  const [wakes, posts] = [wakeQueue, postQueue].map(
    (name) => new Queue(name, { connection, prefix: timerPrefix }),
  ) as [Queue, Queue];
  onTestFinished(async () => void (await Promise.all([wakes.close(), posts.close()])));
  const atMs = Date.now() + 200;
  for (const wardId of elsewhere) {
    await wakes.add('ward', { wardId, atMs }, { jobId: `${wardId}.${atMs}`, delay: 200 });
    await posts.add('ward', { wardId }, { deduplication: { id: wardId, keepLastIfActive: true } });
  }
  await work(alarm.prefixes);
  await until(
    'all to arrive',
    async () => woken.length >= elsewhere.length && delivered.length >= elsewhere.length,
  );
  expect(woken.toSorted()).toEqual(elsewhere.toSorted());
  expect(delivered.toSorted()).toEqual(elsewhere.toSorted());
});

// Last, since nothing comes back from it.
test('a cluster that is half gone is not ready', { timeout: 150_000 }, async () => {
  const { commands } = await alarmed();
  expect(await redisReady(commands)).toEqual({ ok: true });
  // The replicas first, so that nobody can take over.
  for (const port of fleet.ports.slice(3)) await fleet.kill(port);
  await fleet.kill(await fleet.masterOf(timerPrefix));
  await until('it to be noticed', async () => !(await redisReady(commands)).ok);
});
