import { mkdtempSync, rmSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { Redis } from 'ioredis';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { assertRedisFit as assertFit } from '../../src/redis/assert-redis-fit.ts';
import { type EmbeddedRedis, startEmbeddedRedis } from '../../src/redis/embedded-redis.ts';

const dataDir = mkdtempSync(path.join(os.tmpdir(), 'dic-'));
let server: EmbeddedRedis;
let client: Redis;

beforeAll(async () => {
  server = await startEmbeddedRedis({ dataDir, log: { debug() {}, info() {}, warn() {}, error() {} } });
  client = new Redis(server.connection);
});

beforeEach(async () => {
  await client.config('SET', 'maxmemory-policy', 'noeviction');
  await client.config('SET', 'appendonly', 'yes');
  await client.config('SET', 'appendfsync', 'always');
});

afterAll(async () => {
  client.disconnect();
  await server.stop();
  rmSync(dataDir, { recursive: true, force: true });
});

const assertRedisFit = (of: Redis) => assertFit(of, { copies: 0 });

/** A managed service: INFO answers, CONFIG is forbidden. */
function withoutConfig(changeInfo: (info: string) => string = (info) => info) {
  return {
    config: () => Promise.reject(new Error("ERR unknown command 'CONFIG'")),
    info: async (section: string) => changeInfo(await client.info(section)),
  } as unknown as Redis;
}

describe('assertRedisFit', () => {
  test('finds nothing to say about our own embedded server', async () => {
    expect(await assertRedisFit(client)).toEqual({ warnings: [] });
  });

  // Policies as listed in redis.conf of Redis 7.0.
  test.each([
    'allkeys-lru',
    'allkeys-lfu',
    'allkeys-random',
    'volatile-lru',
    'volatile-lfu',
    'volatile-random',
    'volatile-ttl',
  ])('refuses maxmemory-policy %s and says how to change it', async (policy) => {
    await client.config('SET', 'maxmemory-policy', policy);
    await expect(assertRedisFit(client)).rejects.toThrow(
      `This Redis has maxmemory-policy ${policy} and may throw entries of the record away when memory runs short; only noeviction is allowed. Run "CONFIG SET maxmemory-policy noeviction"`,
    );
  });

  test('refuses a wrong policy also where CONFIG is forbidden', async () => {
    await client.config('SET', 'maxmemory-policy', 'allkeys-lru');
    await expect(assertRedisFit(withoutConfig())).rejects.toThrow('maxmemory-policy allkeys-lru');
  });

  test('warns when there is no append-only file', async () => {
    await client.config('SET', 'appendonly', 'no');
    const { warnings } = await assertRedisFit(client);
    expect(warnings).toEqual([expect.stringContaining('keeps no append-only file')]);
  });

  test('warns when a write is answered before it is on disk', async () => {
    await client.config('SET', 'appendfsync', 'everysec');
    const { warnings } = await assertRedisFit(client);
    expect(warnings).toEqual([expect.stringContaining('appendfsync everysec')]);
  });

  test('warns of what it cannot ask where CONFIG is forbidden', async () => {
    const { warnings } = await assertRedisFit(withoutConfig());
    expect(warnings).toEqual([expect.stringContaining('does not tell its appendfsync setting')]);
  });

  test('warns, and does not refuse, where even the policy is not told', async () => {
    const silent = withoutConfig((info) => info.replace(/^maxmemory_policy.*$/m, ''));
    const { warnings } = await assertRedisFit(silent);
    expect(warnings[0]).toContain('does not tell its maxmemory-policy');
  });
});
