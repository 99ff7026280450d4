import { afterAll, beforeAll, expect, it } from 'vitest';
import { type BotOnPlatform, east, ina } from '../support/bot-on-platform.ts';
import { botTests, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();

const startMs = Date.parse('2026-11-24T19:20:00Z');

function waiting(bot: BotOnPlatform) {
  return [...bot.platform.core.workspace.scheduled.values()].map(({ channel, postAt, message }) => ({
    channel,
    postAt,
    text: message.text,
  }));
}

it('waits in the platform’s own scheduler as soon as the first line is in, before any sweep pushes it ahead', async () => {
  const bot = await start({ mode: 'socket', redis, startMs });
  await bot.sweep();
  expect(waiting(bot)).toEqual([]);
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  await bot.platform.until('the message to wait', () => waiting(bot).length > 0);
  await place(bot, 'Mochi cat 4kg left dorsal pedal 24g manual');
  expect(waiting(bot)).toEqual([
    {
      channel: east,
      postAt: startMs / 1000 + 15 * 60,
      text: expect.stringMatching(/^REMINDERS MAY BE DOWN/),
    },
  ]);
  const scheduledTimes = bot.platform.calls.filter(({ method }) => method === 'chat.scheduleMessage').length;
  expect(scheduledTimes).toBe(1);
});

it('waits though the jobs are dead: the process that takes commands leaves it', async () => {
  const bot = await start({ mode: 'socket', redis, startMs, roles: ['chat'] });
  const form = await bot.type(ina, 'place Biscuit dog 28kg left dorsal pedal 20g manual');
  expect(form.view?.spec.callback_id).toBe('place');
  await bot.submit(ina);
  await bot.platform.until('the message to wait', () => waiting(bot).length === 1);
});
