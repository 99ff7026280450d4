import { describe, expect, onTestFinished, test } from 'vitest';
import { openCommands, untilReady } from '../../src/redis/connections.ts';
import { takeTurn } from '../../src/redis/turn.ts';
import { sharedRedis } from '../support/shared-redis.ts';

async function client() {
  const redis = await sharedRedis();
  const commands = openCommands(redis.connection, () => undefined);
  onTestFinished(async () => {
    commands.disconnect();
    await redis.stop();
  });
  await untilReady(commands, 5_000);
  return commands;
}

describe('a turn', () => {
  test('is one process’s until it runs out, and then another’s', async () => {
    const redis = await client();
    expect(await takeTurn(redis, 'one', 60_000)).toBe(true);
    expect(await takeTurn(redis, 'other', 60_000)).toBe(false);
    expect(await takeTurn(redis, 'one', 150)).toBe(true);
    await expect.poll(() => takeTurn(redis, 'other', 60_000), { timeout: 5_000 }).toBe(true);
    expect(await takeTurn(redis, 'one', 60_000)).toBe(false);
  });
});
