import type { Redis } from 'ioredis';
import { afterAll, beforeAll, describe, expect, onTestFinished, test } from 'vitest';
import type { WardRecord } from '../../src/app/ports.ts';
import { RecordUnavailable } from '../../src/app/record-unavailable.ts';
import { placingOf } from '../../src/domain/animal/animal.ts';
import { foldLine } from '../../src/domain/fold/fold-line.ts';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { foldWard } from '../../src/domain/ward/ward-state.ts';
import { openCommands, untilReady } from '../../src/redis/connections.ts';
import { wardKeys } from '../../src/redis/keys.ts';
import { redisRecord } from '../../src/redis/redis-record.ts';
import {
  card,
  evening,
  flushed,
  lineChange,
  nothing,
  onCall,
  placed,
  policy,
  realNow,
  wardChange,
} from '../contract/ward-changes.ts';
import { startTestRedis, type TestRedis } from '../support/redis-for-tests.ts';

const wardId = 'T01.C0123';
const keys = wardKeys(wardId);
const log = [placed(), flushed(evening + 60_000)];
const wardLog = [onCall('vera')];

let redis: TestRedis;
let client: Redis;
let record: WardRecord;
beforeAll(async () => {
  redis = await startTestRedis();
  client = redis.client();
  record = redisRecord({ client, defaultPolicy: policy });
});
afterAll(() => redis.stop());

const oneLine = () => ({
  ...nothing,
  lines: [lineChange('a', [], log)],
  ward: wardChange(wardId, [], wardLog),
});

describe('snapshots', () => {
  const right = { line: foldLine('a', log), ward: foldWard(wardId, policy, wardLog) };
  const wrong = { ...right.line, nurse: 'nobody' };

  test.each([
    ['gone', null],
    ['of another fold', JSON.stringify({ f: 0, v: 2, s: wrong })],
    ['of a shorter log', JSON.stringify({ f: 1, v: 1, s: wrong })],
    ['of a longer log', JSON.stringify({ f: 1, v: 3, s: wrong })],
    ['empty', JSON.stringify({ f: 1, v: 2 })],
    ['null', 'null'],
    ['torn', '{"f":1,"v":2,"s":{"nur'],
  ])('that are %s are made again from the logs, and kept', async (_, text) => {
    await client.flushall();
    await record.commit(wardId, oneLine());
    const kept = await client.mget(keys.line('a'), keys.ward);
    for (const key of [keys.line('a'), keys.ward]) {
      await (text === null ? client.del(key) : client.set(key, text));
    }
    expect(await record.readWard(wardId)).toEqual({ ward: right.ward, lines: [right.line] });
    expect(await record.readLine(wardId, 'a')).toEqual(right.line);
    expect((await client.mget(keys.line('a'), keys.ward)).map((one) => JSON.parse(one ?? ''))).toEqual(
      kept.map((one) => JSON.parse(one ?? '')),
    );
  });

  test('do not hold on to a default policy that was changed since', async () => {
    await client.flushall();
    await record.commit(wardId, oneLine());
    const moved = redisRecord({ client, defaultPolicy: defaultPolicy('America/New_York') });
    expect((await moved.readWardState(wardId)).policy.shifts.zone).toBe('America/New_York');
    expect((await moved.readWard(wardId)).ward.onCallSet?.user).toBe('vera');
  });
});

describe('a log with a foreign entry', () => {
  test.each([
    ['readLog', () => record.readLog(wardId, 'a')],
    ['readLine', () => record.readLine(wardId, 'a')],
    ['readWard', () => record.readWard(wardId)],
  ])('is refused by %s, with ward, line and entry', async (_, read) => {
    await client.flushall();
    await record.commit(wardId, oneLine());
    await client.rpush(keys.lineLog('a'), '["fl",1]');
    await expect(read()).rejects.toThrow('ward T01.C0123, line a: entry 3');
  });

  test('of a ward is refused with ward and entry', async () => {
    await client.flushall();
    await record.commit(wardId, oneLine());
    await client.rpush(keys.wardLog, 'nonsense');
    await expect(record.readWardState(wardId)).rejects.toThrow('ward T01.C0123: entry 2');
  });
});

describe('a once key', () => {
  test('holds over midnight and is forgotten two days later', async () => {
    await client.flushall();
    const dayMs = 86_400_000;
    const at = (realMs: number) => redisRecord({ client, defaultPolicy: policy, realNow: () => realMs });
    const change = { ...nothing, once: 'press' };
    const justBefore = 20_000 * dayMs - 1;
    expect(await at(justBefore).commit(wardId, change)).toMatchObject({ is: 'written' });
    expect(await at(justBefore + 1).commit(wardId, change)).toEqual({ is: 'already' });
    expect(await at(justBefore + dayMs).commit(wardId, change)).toEqual({ is: 'already' });
    expect(await at(justBefore + 1 + dayMs).commit(wardId, change)).toMatchObject({ is: 'written' });
    const kept = await client.ttl(keys.once(19_999));
    expect(kept).toBeGreaterThan(47 * 3_600);
    expect(kept).toBeLessThanOrEqual(48 * 3_600);
  });
});

describe('a ward id', () => {
  test.each(['', '{x}', 'T01 C0123', 'a}b'])('that would break its hash tag is refused: "%s"', async (id) => {
    await expect(record.readWard(id)).rejects.toThrow('ward id');
    await expect(record.commit(id, nothing)).rejects.toThrow('ward id');
  });
});

describe('whose the lines are', () => {
  const known = async () =>
    (await record.readPlacings(wardId)).toSorted((a, b) => (a.line < b.line ? -1 : 1));

  test.each([
    ['nothing kept', async () => client.del(keys.placings)],
    ['kept in another form', async () => client.hset(keys.placings, 'a', '["of another version"]')],
    ['kept by a version that did not know of it', async () => client.hdel(keys.placings, '#', 'b')],
  ])('is found from the logs again with %s, lines off the list too', async (_, harm) => {
    await client.flushall();
    const lines = [lineChange('a', [], log, false), lineChange('b', [], [placed()])];
    await record.commit(wardId, { ...nothing, lines });
    const right = [placingOf(foldLine('a', log)), placingOf(foldLine('b', [placed()]))];
    expect(await known()).toEqual(right);
    await harm();
    expect(await known()).toEqual(right);
    await expect
      .poll(() => client.hkeys(keys.placings).then((all) => all.toSorted()))
      .toEqual(['#', 'a', 'b']);
    expect(await known()).toEqual(right);
  });
});

describe('of a ward that the record did not know before', () => {
  const scans = async () =>
    Number(/^cmdstat_scan:calls=(\d+)/m.exec(await client.info('commandstats'))?.[1] ?? 0);

  test('whose the lines are is known without a look at every key', async () => {
    await client.flushall();
    const fresh = redisRecord({ client, defaultPolicy: policy });
    const before = await scans();
    await fresh.commit(wardId, { ...nothing, lines: [lineChange('a', [], log, false)] });
    expect(await fresh.readPlacings(wardId)).toEqual([placingOf(foldLine('a', log))]);
    expect((await scans()) - before).toBe(0);
  });

  test('nothing is taken for granted where it has lines all the same', async () => {
    await client.flushall();
    await redisRecord({ client, defaultPolicy: policy }).commit(wardId, oneLine());
    // The set of wards was lost, and with it what an older version knew.
    await client.del('wards', keys.placings);
    const fresh = redisRecord({ client, defaultPolicy: policy });
    await fresh.commit(wardId, { ...nothing, lines: [lineChange('b', [], [placed()])] });
    expect((await fresh.readPlacings(wardId)).map(({ line }) => line).toSorted()).toEqual(['a', 'b']);
  });
});

describe('a server that is killed', () => {
  test('keeps every entry it acknowledged, and no change by half', async () => {
    const server = await startTestRedis();
    onTestFinished(server.stop);
    const writer = redisRecord({ client: server.client(), defaultPolicy: policy });
    const ids = ['a', 'b', 'c', 'd'];
    for (const id of ids) {
      await writer.commit(wardId, { ...nothing, lines: [lineChange(id, [], [placed()])] });
    }
    const acknowledged = new Map(ids.map((id) => [id, 1]));
    let ended = false;
    const writing = ids.map(async (id) => {
      for (let entries = [placed()]; !ended; ) {
        const entry = flushed(evening + entries.length);
        const post = card(id, { key: `5.${id}.${entries.length}` });
        try {
          await writer.commit(wardId, {
            lines: [lineChange(id, entries, [entry])],
            wakes: { [id]: evening + entries.length },
            posts: [post],
          });
        } catch {
          return;
        }
        entries = [...entries, entry];
        acknowledged.set(id, entries.length);
      }
    });
    const total = () => [...acknowledged.values()].reduce((sum, count) => sum + count, 0);
    while (total() < 200) await new Promise((resolve) => setTimeout(resolve, 1));
    await server.kill();
    ended = true;
    await server.startAgain();
    await Promise.all(writing);

    const reader = redisRecord({ client: server.client(), defaultPolicy: policy });
    for (const id of ids) {
      const stored = await reader.readLog(wardId, id);
      const known = acknowledged.get(id) ?? 0;
      // The one that was on its way may be there too, though nobody was told so.
      expect([known, known + 1]).toContain(stored.length);
      expect(stored.map(({ at }) => at)).toEqual(stored.map((_, index) => evening + index));
      expect(await reader.readLine(wardId, id)).toEqual(foldLine(id, stored));
      const keptPosts = await Promise.all(
        stored.slice(1).map((_, index) => reader.readPost(wardId, `5.${id}.${index + 1}`)),
      );
      expect(keptPosts).not.toContain(null);
      expect(await reader.readPost(wardId, `5.${id}.${stored.length}`)).toBeNull();
    }
    const latest = await Promise.all(ids.map(async (id) => (await reader.readLog(wardId, id)).length - 1));
    expect(await reader.nextWake(wardId)).toBe(evening + Math.min(...latest));
  });
});

describe('a Redis that cannot be reached', () => {
  const calls: [string, (to: WardRecord) => Promise<unknown>][] = [
    ['readWard', (to) => to.readWard(wardId)],
    ['readLines', (to) => to.readLines(wardId, ['a'])],
    ['readPlacings', (to) => to.readPlacings(wardId)],
    ['readLog', (to) => to.readLog(wardId, 'a')],
    ['commit', (to) => to.commit(wardId, oneLine())],
    ['wardIds', (to) => to.wardIds()],
    ['nextWake', (to) => to.nextWake(wardId)],
    ['repairWakes', (to) => to.repairWakes(wardId, {})],
    ['takePost', (to) => to.takePost(wardId, realNow)],
    ['postDone', (to) => to.postDone(wardId, 'x', null, true)],
    ['readPost', (to) => to.readPost(wardId, 'x')],
  ];

  test('refuses every call as unavailable, and serves again when Redis is back', async () => {
    const server = await startTestRedis();
    onTestFinished(server.stop);
    const commands = openCommands(server.connection, () => {});
    onTestFinished(() => commands.disconnect());
    await untilReady(commands, 10_000);
    const there = redisRecord({ client: commands, defaultPolicy: policy });
    await there.commit(wardId, oneLine());
    await server.kill();
    for (const [name, call] of calls) {
      await expect(call(there), name).rejects.toBeInstanceOf(RecordUnavailable);
    }
    await server.startAgain();
    await untilReady(commands, 10_000);
    expect(await there.readLog(wardId, 'a')).toEqual(log);
    // The ward set is written again on the new connection, whatever the other Redis knew.
    await commands.del('wards');
    const more = { ...nothing, lines: [lineChange('b', [], [placed()])] };
    expect(await there.commit(wardId, more)).toMatchObject({ is: 'written' });
    expect(await there.wardIds()).toEqual([wardId]);
  });

  test('refuses a call that is not answered, and says that it may be written', async () => {
    const server = await startTestRedis();
    onTestFinished(server.stop);
    const commands = openCommands(server.connection, () => {});
    onTestFinished(() => commands.disconnect());
    await untilReady(commands, 10_000);
    const there = redisRecord({ client: commands, defaultPolicy: policy });
    await there.commit(wardId, nothing);
    server.pause();
    const refused = await there
      .commit(wardId, { ...oneLine(), once: 'press' })
      .catch((error: unknown) => error);
    server.resume();
    expect(refused).toBeInstanceOf(RecordUnavailable);
    expect(refused).toMatchObject({ mayBeWritten: true });
    const patient = redisRecord({ client: server.client(), defaultPolicy: policy });
    // It was: recording it again with the same key is answered so, and the log holds it once.
    expect(await patient.commit(wardId, { ...oneLine(), once: 'press' })).toEqual({ is: 'already' });
    expect((await patient.readLog(wardId, 'a')).length).toBe(log.length);
  });

  test('says of a change that never left that it is not written', async () => {
    const server = await startTestRedis();
    onTestFinished(server.stop);
    const commands = openCommands(
      { path: `${(server.connection as { path: string }).path}-nowhere` },
      () => {},
    );
    onTestFinished(() => commands.disconnect());
    const there = redisRecord({ client: commands, defaultPolicy: policy });
    await expect(there.commit(wardId, oneLine())).rejects.toMatchObject({
      name: 'RecordUnavailable',
      mayBeWritten: false,
    });
    await expect(untilReady(commands, 200)).rejects.toThrow('ENOENT');
  });

  test.each([
    ['is full', 'CONFIG SET maxmemory 1'],
    ['has become a replica', 'REPLICAOF 127.0.0.1 1'],
    ['cannot reach its replicas', 'CONFIG SET min-replicas-to-write 1'],
  ])('refuses to write when it %s, and says that nothing is written', async (_, command) => {
    const server = await startTestRedis();
    onTestFinished(server.stop);
    const plain = server.client();
    const there = redisRecord({ client: plain, defaultPolicy: policy });
    await there.commit(wardId, nothing);
    const [name = '', ...words] = command.split(' ');
    await plain.call(name, ...words);
    await expect(there.commit(wardId, oneLine())).rejects.toMatchObject({
      name: 'RecordUnavailable',
      mayBeWritten: false,
    });
  });

  test('passes a refusal that is a bug of ours as it is', async () => {
    await client.flushall();
    await client.set(keys.lineLog('a'), 'no list');
    const refused = await record.readLog(wardId, 'a').catch((error: unknown) => error);
    expect(refused).not.toBeInstanceOf(RecordUnavailable);
    expect(String(refused)).toContain('WRONGTYPE');
  });
});
