import { afterAll, describe, expect, test } from 'vitest';
import { redisRecord } from '../../src/redis/redis-record.ts';
import { startTestCluster, startTestRedis } from '../support/redis-for-tests.ts';
import { policy } from './ward-changes.ts';
import { wardRecordContract } from './ward-record.contract.ts';

describe('the record on Redis', () => {
  let stop = async () => {};
  afterAll(() => stop());

  wardRecordContract(async () => {
    const redis = await startTestRedis();
    stop = redis.stop;
    return redisRecord({ client: redis.client(), defaultPolicy: policy });
  });
});

describe('the record on a Redis Cluster', () => {
  let cluster: Awaited<ReturnType<typeof startTestCluster>>;
  afterAll(() => cluster.stop());

  wardRecordContract(async () => {
    cluster = await startTestCluster();
    return redisRecord({ client: cluster.client, defaultPolicy: policy });
  });

  // The server itself refuses a script that is given keys of two slots; this also sees the keys no script was given.
  test('keeps every key of a ward under the ward hash tag', async () => {
    const keys = await Promise.all(cluster.client.nodes('master').map((node) => node.keys('*')));
    const strays = keys.flat().filter((key) => !/^\{T01\.C\d{4}\}:/.test(key));
    expect(strays).toEqual(['wards']);
  });
});
