import { afterAll, beforeAll, expect, it } from 'vitest';
import { hospital, ina } from '../support/bot-on-platform.ts';
import { botTests, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();

it('a ward that calls the command otherwise reads nowhere of one that it cannot type', async () => {
  const world = { ...hospital(), command: '/artline-east' };
  const bot = await start({ mode: 'socket', redis, world });
  const said = [(await bot.type(ina, 'due')).text];
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  for (const words of [
    'flush Biscuit foo',
    'help flush',
    'oncall',
    'flush Biscuit at 10:00',
    'check Biscuit cold',
  ])
    said.push((await bot.type(ina, words)).text);
  expect(said[1]).toContain('Write it like this: /artline-east flush Biscuit 1 mL');
  await bot.type(ina, 'policy');
  await bot.type(ina, 'handover');
  await bot.quiet();
  const told = JSON.stringify([
    bot.platform.calls.map(({ args }) => args),
    bot.platform.ephemerals(ina),
    said,
  ]);
  expect(told.match(/\/artline[a-z-]*/g)).toEqual(expect.arrayContaining(['/artline-east']));
  expect(told.match(/\/artline(?!-east)/g)).toBeNull();
  expect(told).not.toContain('-east-east');
});
