import { afterAll, beforeAll, expect, it } from 'vitest';
import { east } from '../support/bot-on-platform.ts';
import { botTests, lastOf, messagesOf, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();

it('asks for what is due when the bot is invited again after it was taken out of the channel', async () => {
  const startMs = Date.parse('2026-11-24T19:20:00Z');
  const bot = await start(
    { mode: 'socket', redis, startMs },
    { troubles: /last word|speaks when the bot is dead/ },
  );
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  const channel = bot.platform.core.workspace.conversation(east)!;
  const own = bot.platform.world.app.botUserId;
  channel.memberIds.splice(channel.memberIds.indexOf(own), 1);
  bot.clock.jumpTo(startMs + 10 * 60_000);
  await bot.look();
  expect(messagesOf(bot, 'nudge')).toEqual([]);

  await bot.platform.join({ user: own, channel: east });
  await bot.quiet();
  expect(lastOf(bot, 'nudge').text).toMatch(/^Due now.*zero and level, fast-flush test/);
});
