import { Redis } from 'ioredis';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { ina, teo } from '../support/bot-on-platform.ts';
import { botTests, lastOf, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

const biscuit = 'Biscuit dog 28kg left dorsal pedal 20g manual';
const oneServer = /^What’s recorded now is on one server only/;

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();

it('is told in every answer that what is recorded is on one server only, until it is not', async () => {
  let missing: number | null = null;
  const copies = {
    made: async () => undefined,
    missingSince: () => missing,
    stillMissingSince: async () => missing,
  };
  const bot = await start({ mode: 'socket', redis, copies });
  await place(bot, biscuit);
  expect((await bot.type(ina, 'flush Biscuit')).text).toMatch(/^Recorded/);
  missing = Date.now() - 60_000;
  const answer = (await bot.type(ina, 'zero Biscuit')).text;
  expect(answer).toMatch(oneServer);
  expect(answer).toMatch(/\nRecorded/);
  expect(await bot.checks().copies?.()).toMatchObject({ ok: false });
  missing = null;
  expect((await bot.type(teo, 'due')).text).not.toMatch(oneServer);
});

it('is told in the channel what a dead server took back; nothing is recorded until then', async () => {
  const bot = await start({ mode: 'socket', redis }, { troubles: /the record lost entries/ });
  await place(bot, biscuit);
  expect((await bot.type(ina, 'flush Biscuit')).text).toMatch(/^Recorded/);
  // The server that took over has all but the last entry.
  const server = new Redis(redis.connection);
  const [log = ''] = (await server.keys('*:line:*:log')).values();
  await server.rpop(log);
  server.disconnect();
  expect((await bot.type(ina, 'zero Biscuit')).text).toMatch(
    /^Not recorded: a server failed and the record has lost its last entries/,
  );
  await bot.quiet();
  const told = lastOf(bot, 'notice');
  expect(told.text).toMatch(/^The record has LOST/);
  expect(told.text).toContain('Missing: Biscuit: 1 entry.');
  expect((await bot.type(ina, 'flush Biscuit')).text).toMatch(/^Recorded/);
});
