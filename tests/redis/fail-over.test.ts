import { randomBytes } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, type TestContext, test } from 'vitest';
import { RecordUnavailable } from '../../src/app/record-unavailable.ts';
import { type Loss, RecordShrunk, unshrinkingRecord } from '../../src/app/unshrinking-record.ts';
import { startWorkers } from '../../src/jobs/worker.ts';
import { createMetrics } from '../../src/observe/metrics.ts';
import { bullmqAlarm } from '../../src/redis/bullmq-alarm.ts';
import { connect, openCommands, untilReady } from '../../src/redis/connections.ts';
import { replicaCopies } from '../../src/redis/copies.ts';
import { redisReady } from '../../src/redis/redis-ready.ts';
import { redisRecord } from '../../src/redis/redis-record.ts';
import { evening, flushed, lineChange, nothing, placed, policy } from '../contract/ward-changes.ts';
import { notingWatch } from '../jobs/ward-night.ts';
import {
  type RedisFleet,
  startCluster,
  startSentinels,
  startSentinelsOnCable,
  until,
} from '../support/redis-fleet.ts';

const wardId = 'T0TEST.C0WARD';

const fleets = [
  ['one master, two replicas and three sentinels', startSentinels],
  ['a cluster of three masters and three replicas', startCluster],
] as const;

/** A record on a fleet as the bot has it. */
async function recordOn(fleet: RedisFleet, { onTestFinished }: TestContext) {
  const client = openCommands({ url: fleet.url }, () => {});
  const waiter = openCommands({ url: fleet.url }, () => {});
  onTestFinished(() => {
    client.disconnect();
    waiter.disconnect();
  });
  await Promise.all([untilReady(client, 10_000), untilReady(waiter, 10_000)]);
  const troubles: string[] = [];
  const copies = replicaCopies({ client: waiter, wanted: 1, trouble: (what) => void troubles.push(what) });
  return { client, copies, troubles, record: redisRecord({ client, defaultPolicy: policy, copies }) };
}

/** The alarm clock on a fleet, and a worker that hears it. */
async function alarmOn({ url }: RedisFleet, { onTestFinished }: TestContext) {
  const clock = { now: () => Date.now() };
  const watch = notingWatch();
  const alarm = bullmqAlarm({ target: { url }, clock, watch });
  onTestFinished(() => alarm.close());
  const woken = new Set<string>();
  const workers = await startWorkers({
    connect: () => connect({ url }, 'background'),
    cases: {
      wakeWard: async (ward) => void woken.add(ward),
      deliverPosts: async () => undefined,
      sweepWards: async () => undefined,
    },
    clock,
    sweepEveryMs: 3_600_000,
    watch,
    metrics: createMetrics({ withProcessMetrics: false }),
    canary: { everyMs: 3_600_000, set: async () => undefined, ran: () => undefined },
  });
  onTestFinished(() => workers.close());
  return {
    /** Sets a wake-up and waits until it came, without any sweep. */
    async wake() {
      const ward = `T0TEST.C${randomBytes(4).toString('hex')}`;
      await until('the wake-up', async () => {
        // Best effort, as it is in the bot, where a sweep tries again.
        if (!woken.has(ward)) await alarm.wakeAt(ward, Date.now() + 100);
        return woken.has(ward);
      });
    },
  };
}

/** Records flushes one after the other, each again until it's taken; acknowledged are those that were confirmed as copied. */
function nurse(
  { record, copies }: Pick<Awaited<ReturnType<typeof recordOn>>, 'record' | 'copies'>,
  line: string,
) {
  let written = 0;
  const acknowledged: string[] = [];
  const refused: unknown[] = [];
  let stopped = false;
  const running = (async () => {
    await record.commit(wardId, { ...nothing, lines: [lineChange(line, [], [placed()])] });
    for (let number = 0; !stopped; number++) {
      const entry = flushed(evening + number * 60_000, `nurse ${number}`);
      while (!stopped) {
        try {
          const stored = await record.readLog(wardId, line);
          const change = {
            ...nothing,
            once: `${line} ${number}`,
            lines: [lineChange(line, stored, [entry])],
          };
          const { is } = await record.commit(wardId, change);
          if (is === 'conflict') continue;
          written += 1;
          if (copies.missingSince() === null) acknowledged.push(entry.by);
          break;
        } catch (error) {
          refused.push(error);
          await new Promise((resolve) => setTimeout(resolve, 50));
        }
      }
      await new Promise((resolve) => setTimeout(resolve, 5));
    }
  })();
  return {
    acknowledged,
    refused,
    written: () => written,
    async stop() {
      stopped = true;
      await running;
    },
  };
}

// At the same time: most of it is waiting for the servers to agree.
describe.concurrent.each(fleets)('on %s', (_, start) => {
  // Each on servers of its own: sentinels wait a while before they depose a second master.
  test.for(['held still', 'killed'] as const)(
    'a master that is %s takes back nothing that was acknowledged, and doubles nothing',
    { timeout: 60_000 },
    async (how, context) => {
      const fleet = await start();
      context.onTestFinished(() => fleet.stop());
      const here = await recordOn(fleet, context);
      expect(await redisReady(here.client)).toEqual({ ok: true });
      const ina = nurse(here, how);
      const wakes = await alarmOn(fleet, context);
      await wakes.wake();
      await until('thirty flushes', async () => ina.acknowledged.length >= 30);
      const old = await fleet.masterOf(`{${wardId}}`);
      if (how === 'killed') await fleet.kill(old);
      else fleet.pause(old);
      await until('another master', async () => (await fleet.masterOf(`{${wardId}}`)) !== old);
      const before = ina.written();
      await until('ten flushes on the new master', async () => ina.written() >= before + 10);
      // It still takes itself for the master, until it hears from the others.
      fleet.resume(old);
      await until('copies again or the end of it', async () => ina.written() >= before + 30);
      await wakes.wake();
      await ina.stop();
      const patient = connect({ url: fleet.url }, 'background');
      context.onTestFinished(() => patient.disconnect());
      const log = await redisRecord({ client: patient, defaultPolicy: policy }).readLog(wardId, how);
      const stored = log.map(({ by }) => by);
      expect(ina.acknowledged.filter((by) => !stored.includes(by))).toEqual([]);
      expect(new Set(stored).size).toBe(stored.length);
      for (const error of ina.refused) expect(error).toBeInstanceOf(RecordUnavailable);
    },
  );
});

/** Whether the sentinels name another master than the one on the cable; one that is busy names none. */
async function tookOver(fleet: RedisFleet & { cable: { port: number } }): Promise<boolean> {
  return fleet.masterOf('').then(
    (port) => port !== fleet.cable.port,
    () => false,
  );
}

describe.concurrent('on a master whose cable is cut and mended, while another takes over', () => {
  test('what it alone took meanwhile was called unconfirmed; once mended the ward is told what is gone', {
    timeout: 90_000,
  }, async (context) => {
    const fleet = await startSentinelsOnCable();
    context.onTestFinished(() => fleet.stop());
    const here = await recordOn(fleet, context);
    const losses: Loss[] = [];
    const record = unshrinkingRecord(here.record, async (loss) => void losses.push(loss));
    const ina = nurse({ ...here, record }, 'cut');
    await until('thirty flushes', async () => ina.acknowledged.length >= 30);
    // The bot still reaches it: it takes writes, and so does the other.
    fleet.cable.cut('peers');
    await until('another master', () => tookOver(fleet));
    const unconfirmed = ina.written();
    await until('a write on the old one', async () => ina.written() > unconfirmed);
    await record.readLine(wardId, 'cut');
    expect(here.copies.missingSince()).not.toBeNull();
    expect(here.troubles).toEqual(['replicas do not confirm what is written']);
    const known = ina.acknowledged.length;
    fleet.cable.mend();
    await until('acknowledgements again', async () => ina.acknowledged.length >= known + 10);
    await ina.stop();
    await expect(record.readLine(wardId, 'cut')).rejects.toThrow(RecordShrunk);
    await until('it to be told', async () => losses.length > 0);
    expect(losses).toMatchObject([{ wardId, lines: [{ id: 'cut' }] }]);
    const stored = (await record.readLog(wardId, 'cut')).map(({ by }) => by);
    expect(ina.acknowledged.filter((by) => !stored.includes(by))).toEqual([]);
    expect(new Set(stored).size).toBe(stored.length);
  });

  test('nothing is called recorded while nobody hears it, and nothing acknowledged is gone after', {
    timeout: 90_000,
  }, async (context) => {
    const fleet = await startSentinelsOnCable();
    context.onTestFinished(() => fleet.stop());
    const here = await recordOn(fleet, context);
    const ina = nurse(here, 'cut off');
    await until('thirty flushes', async () => ina.acknowledged.length >= 30);
    fleet.cable.cut('all');
    await until('a refusal', async () => ina.refused.length > 0);
    const before = ina.written();
    await until('another master', () => tookOver(fleet));
    await until('ten flushes on it', async () => ina.acknowledged.length >= before + 10);
    // It still takes itself for the master, until it hears from the others.
    fleet.cable.mend();
    await until('thirty more', async () => ina.acknowledged.length >= before + 40);
    await ina.stop();
    const stored = (await here.record.readLog(wardId, 'cut off')).map(({ by }) => by);
    expect(ina.acknowledged.filter((by) => !stored.includes(by))).toEqual([]);
    expect(new Set(stored).size).toBe(stored.length);
    for (const error of ina.refused) expect(error).toBeInstanceOf(RecordUnavailable);
  });
});

describe('a master without its replicas', () => {
  let fleet: RedisFleet;
  let master: number;
  beforeAll(async () => {
    fleet = await startSentinels();
    master = await fleet.masterOf('');
  }, 60_000);
  afterAll(() => fleet.stop());

  test('is waited for in a few rounds, however many wait together', async (context) => {
    const { copies } = await recordOn(fleet, context);
    const rounds = async () =>
      Number(/^cmdstat_wait:calls=(\d+)/m.exec(await fleet.server(master).info('commandstats'))?.[1] ?? 0);
    await copies.made(wardId);
    const before = await rounds();
    await Promise.all(Array.from({ length: 100 }, (_, n) => copies.made(`T0TEST.C${n}`)));
    expect((await rounds()) - before).toBeLessThanOrEqual(2);
  });

  test('is not asked for: a replica is not ready, since it takes no writes', async () => {
    const replica = fleet.ports.find((port) => port !== master) ?? 0;
    expect(await redisReady(fleet.server(replica))).toEqual({
      ok: false,
      why: 'Redis answers but takes no writes (READONLY)',
    });
  });

  test('still writes; that it lies on one server only is known, until it does not', async (context) => {
    const here = await recordOn(fleet, context);
    const change = (id: string) => ({ ...nothing, lines: [lineChange(id, [], [placed()])] });
    expect((await here.record.commit(wardId, change('a'))).is).toBe('written');
    expect(here.copies.missingSince()).toBeNull();
    const replicas = fleet.ports.filter((port) => port !== master);
    for (const port of replicas) fleet.pause(port);
    expect((await here.record.commit(wardId, change('b'))).is).toBe('written');
    expect(here.copies.missingSince()).not.toBeNull();
    expect(here.troubles).toEqual(['replicas do not confirm what is written']);
    for (const port of replicas) fleet.resume(port);
    await until('the copies to be there', async () => (await here.copies.stillMissingSince()) === null);
    expect(here.copies.missingSince()).toBeNull();
  });
});

test('a cluster that is half gone is not ready', { timeout: 60_000 }, async (context) => {
  const fleet = await startCluster();
  context.onTestFinished(() => fleet.stop());
  const { client } = await recordOn(fleet, context);
  expect(await redisReady(client)).toEqual({ ok: true });
  // The replicas first, so that nobody can take over.
  for (const port of fleet.ports.slice(3)) await fleet.kill(port);
  await fleet.kill(await fleet.masterOf('{timer}'));
  await until('it to be noticed', async () => !(await redisReady(client)).ok);
});
