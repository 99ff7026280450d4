import { afterAll, beforeAll, expect, it } from 'vitest';
import { ina, wardId } from '../support/bot-on-platform.ts';
import { botTests, messagesOf } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();

it('the urgency of a duty and the ward’s words for a finding are set by typing, told to the channel and in the form', async () => {
  const bot = await start({ mode: 'http', redis });
  const policy = async () => (await bot.record.readWardState(wardId)).policy;
  expect((await bot.type(ina, 'policy zero danger')).text).toMatch(
    /^Ward policy changed\. Late zero wakes the clinician as soon as it’s due, at any hour\. I’m telling the channel\./,
  );
  expect((await bot.type(ina, 'policy again cold: take it out & warm it')).text).toContain(
    'When cold comes back: take it out &amp; warm it.',
  );
  expect((await bot.type(ina, 'policy again cold: take it out & warm it')).text).toMatch(
    /^It’s already like that/,
  );
  expect(await policy()).toMatchObject({ dangerFor: ['zero'], againFor: { cold: 'take it out & warm it' } });
  expect((await bot.type(ina, 'policy zero sometimes')).text).toContain('/artline policy zero danger');
  await bot.quiet();
  expect(
    messagesOf(bot, 'notice').filter(({ text }) => text.includes('changed the ward policy')),
  ).toHaveLength(2);
  expect(messagesOf(bot, 'notice')[0]?.text).toMatch(
    /changed the ward policy\. Late zero wakes the clinician as soon as it’s due, at any hour\.$/,
  );
  const form = await bot.type(ina, 'policy');
  expect(form.view?.spec.callback_id).toBe('policy');
  expect(JSON.stringify(form.view?.spec)).toContain('cold: take it out & warm it');
});
