import { afterAll, beforeAll, expect, it } from 'vitest';
import { defaultPolicy, type WardPolicy } from '../../src/domain/policy/ward-policy.ts';
import type { WardEntry } from '../../src/domain/ward/ward-entry.ts';
import { foldWard } from '../../src/domain/ward/ward-state.ts';
import { redisRecord } from '../../src/redis/redis-record.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

const policy = defaultPolicy('Europe/London');
const set = (itsPolicy: WardPolicy): WardEntry =>
  ({
    kind: 'policySet',
    at: 1_000,
    told: 1_000,
    by: 'vera',
    via: 'form',
    body: { policy: itsPolicy },
  }) as WardEntry;

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());

async function begun(wardId: string, entries: WardEntry[]) {
  const record = redisRecord({ client: redis.client(), defaultPolicy: defaultPolicy('UTC') });
  const after = foldWard(wardId, policy, entries);
  await record.commit(wardId, { lines: [], ward: { expected: 0, entries, after }, wakes: {}, posts: [] });
  return record;
}

it('a ward that did not change is not parsed again, and wards that agree on their shifts share what is known of them', async () => {
  const record = await begun('T0TEST.C0ONE', [set(policy)]);
  await begun('T0TEST.C0TWO', [set({ ...policy, flushEveryMin: 30 })]);
  const first = await record.readWardState('T0TEST.C0ONE');
  expect(await record.readWardState('T0TEST.C0ONE')).toBe(first);
  const other = await record.readWardState('T0TEST.C0TWO');
  expect(other.policy.shifts).toBe(first.policy.shifts);
  expect([first.policy.flushEveryMin, other.policy.flushEveryMin]).toEqual([60, 30]);
  // It is read by many: nobody may change it.
  expect(() => first.policy.clinicians.push('somebody')).toThrow(TypeError);
});

it('but one that changed is read as it is, with its new policy, also where its snapshot was left behind', async () => {
  const wardId = 'T0TEST.C0NEW';
  const record = await begun(wardId, [set(policy)]);
  const before = await record.readWardState(wardId);
  const entries = [set(policy), set({ ...policy, flushEveryMin: 45 })];
  const after = foldWard(wardId, policy, entries);
  await record.commit(wardId, {
    lines: [],
    ward: { expected: 1, entries: entries.slice(1), after },
    wakes: {},
    posts: [],
  });
  expect((await record.readWardState(wardId)).policy.flushEveryMin).toBe(45);
  expect(before.policy.flushEveryMin).toBe(60);
  const client = redis.client();
  await client.rpush(`{${wardId}}:log`, (await client.lindex(`{${wardId}}:log`, 0))!);
  expect(await record.readWardState(wardId)).toMatchObject({ version: 3, policy: { flushEveryMin: 60 } });
});
