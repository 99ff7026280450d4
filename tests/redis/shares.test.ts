import { afterAll, beforeAll, expect, it } from 'vitest';
import { redisHeartbeat } from '../../src/redis/heartbeat.ts';
import { giveShareBack, takeShare } from '../../src/redis/shares.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());

it('processes that sweep share the wards; one that died or left is not counted', async () => {
  const client = redis.client();
  const take = (own: string, nowMs: number) => takeShare(client, own, { nowMs, forMs: 75_000 });
  expect(await take('b', 1_000)).toEqual({ index: 0, of: 1 });
  expect(await take('a', 2_000)).toEqual({ index: 0, of: 2 });
  expect(await take('c', 3_000)).toEqual({ index: 2, of: 3 });
  // Said again it counts on; b said nothing and has run out.
  expect(await take('a', 50_000)).toEqual({ index: 0, of: 3 });
  expect(await take('c', 76_001)).toEqual({ index: 1, of: 2 });
  await giveShareBack(client, 'a');
  expect(await take('c', 77_000)).toEqual({ index: 0, of: 1 });
});

it('a sign of life takes back nothing of what is still to be told, and an older program’s is read', async () => {
  const client = redis.client();
  const heart = redisHeartbeat(client);
  const untold = [{ wardId: 'T0TEST.C0WARD', from: 1, to: 2, sinceMs: 3 }];
  await client.set('{timer}:heartbeat', JSON.stringify({ realMs: 5, wardMs: 6, untold }));
  expect(await heart.last()).toEqual({ realMs: 5, wardMs: 6 });
  expect(await heart.unnotified()).toEqual(untold);
  await heart.beat({ realMs: 7, wardMs: 8 }, untold);
  await heart.beat({ realMs: 9, wardMs: 10 });
  expect(await heart.last()).toEqual({ realMs: 9, wardMs: 10 });
  expect(await heart.unnotified()).toEqual(untold);
  await heart.beat({ realMs: 11, wardMs: 12 }, []);
  expect(await heart.unnotified()).toEqual([]);
});
