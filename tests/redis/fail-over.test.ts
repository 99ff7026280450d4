import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { RecordUnavailable } from '../../src/app/record-unavailable.ts';
import { type Loss, RecordShrunk, unshrinkingRecord } from '../../src/app/unshrinking-record.ts';
import { assertRedisFit } from '../../src/redis/assert-redis-fit.ts';
import { connect } from '../../src/redis/connections.ts';
import { redisReady } from '../../src/redis/redis-ready.ts';
import { redisRecord } from '../../src/redis/redis-record.ts';
import { lineChange, nothing, placed, policy } from '../contract/ward-changes.ts';
import {
  type RedisFleet,
  startCluster,
  startClusterOnCables,
  startSentinels,
  startSentinelsOnCable,
  until,
} from '../support/redis-fleet.ts';
import { alarmOn, nurse, recordOn, wardId } from './on-fleet.ts';

const fleets = [
  ['one master, two replicas and three sentinels', startSentinels],
  ['a cluster of three masters and three replicas', startCluster],
] as const;

// At the same time: most of it is waiting for the servers to agree.
describe.concurrent.each(fleets)('on %s', (_, start) => {
  // Each on servers of its own: sentinels wait a while before they depose a second master.
  test.for(['held still', 'killed'] as const)(
    'a master that is %s takes back nothing that was acknowledged, and doubles nothing',
    { timeout: 150_000 },
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
    timeout: 180_000,
  }, async (context) => {
    const fleet = await startSentinelsOnCable();
    context.onTestFinished(() => fleet.stop());
    // On both replicas: what one of them alone confirmed is lost where the other takes over (a known gap in the hazard log).
    const here = await recordOn(fleet, context, 2);
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
    timeout: 180_000,
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

describe.concurrent('on a cluster, of which one master is cut off and mended, while another takes over', () => {
  test('from everybody: nothing is called recorded while nobody hears it, and nothing acknowledged is gone after', {
    timeout: 180_000,
  }, async (context) => {
    const fleet = await startClusterOnCables();
    context.onTestFinished(() => fleet.stop());
    const here = await recordOn(fleet, context);
    const ina = nurse(here, 'cut off');
    const wakes = await alarmOn(fleet, context);
    await until('thirty flushes', async () => ina.acknowledged.length >= 30);
    const old = await fleet.masterOf(`{${wardId}}`);
    await fleet.cutOff(old, 'all');
    await until('a refusal', async () => ina.refused.length > 0);
    const before = ina.written();
    await until('another master', async () => (await fleet.masterOf(`{${wardId}}`)) !== old);
    // The one that took over has no replica, so nobody is told that these are safe.
    await until('ten flushes on it', async () => ina.written() >= before + 10);
    await wakes.wake();
    const known = ina.acknowledged.length;
    // It still takes itself for the master, until it hears from the others.
    fleet.mend();
    await until('acknowledgements again', async () => ina.acknowledged.length >= known + 30);
    await wakes.wake();
    await ina.stop();
    const stored = (await here.record.readLog(wardId, 'cut off')).map(({ by }) => by);
    expect(ina.acknowledged.filter((by) => !stored.includes(by))).toEqual([]);
    expect(new Set(stored).size).toBe(stored.length);
    for (const error of ina.refused) expect(error).toBeInstanceOf(RecordUnavailable);
  });

  test('from the other servers: what it alone took was called unconfirmed, and the ward is told what is gone', {
    timeout: 180_000,
  }, async (context) => {
    const fleet = await startClusterOnCables();
    context.onTestFinished(() => fleet.stop());
    const here = await recordOn(fleet, context);
    const losses: Loss[] = [];
    const record = unshrinkingRecord(here.record, async (loss) => void losses.push(loss));
    const ina = nurse({ ...here, record }, 'cut');
    await until('thirty flushes', async () => ina.acknowledged.length >= 30);
    const old = await fleet.masterOf(`{${wardId}}`);
    await fleet.cutOff(old, 'peers');
    // It takes writes until it misses the others for longer than a server may be silent.
    await until('a write that nobody confirms', async () => ina.written() > ina.acknowledged.length);
    await ina.stop();
    expect(here.copies.missingSince()).not.toBeNull();
    expect(here.troubles).toEqual(['replicas do not confirm what is written']);
    await until('another master', async () => (await fleet.masterOf(`{${wardId}}`)) !== old);
    fleet.mend();
    await until('it to be noticed', async () =>
      record.readLine(wardId, 'cut').then(
        () => false,
        (error: unknown) => error instanceof RecordShrunk,
      ),
    );
    await until('it to be told', async () => losses.length > 0);
    expect(losses).toMatchObject([{ wardId, lines: [{ id: 'cut' }] }]);
    await until('copies again', async () => (await here.copies.stillMissingSince()) === null);
    const stored = (await record.readLog(wardId, 'cut')).map(({ by }) => by);
    expect(ina.acknowledged.filter((by) => !stored.includes(by))).toEqual([]);
    expect(new Set(stored).size).toBe(stored.length);
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

  test('is warned of at a start while it has them and nobody waits for them', async () => {
    const client = fleet.server(master);
    await expect
      .poll(async () => (await assertRedisFit(client, { copies: 0 })).warnings, { timeout: 20_000 })
      .toEqual([expect.stringMatching(/^This Redis has replicas \(2\), but .*Set REDIS_COPIES=1\.$/)]);
    expect((await assertRedisFit(client, { copies: 1 })).warnings).toEqual([]);
  });

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
