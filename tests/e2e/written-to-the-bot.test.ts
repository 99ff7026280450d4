import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { StoredMessage } from '../../src/practice/platform/message.ts';
import { type BotOnPlatform, east, ina, outsider } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();

const startMs = Date.parse('2026-11-24T19:20:00Z');

/** What the bot answers by direct message to what `user` writes there. */
async function answerTo(bot: BotOnPlatform, user: string, text: string): Promise<StoredMessage> {
  const before = bot.platform.messages(user).length;
  await bot.platform.writeToBot({ user, text });
  return bot.platform.until(`an answer to “${text}”`, () =>
    bot.platform
      .messages(user)
      .slice(before)
      .find((one) => one.bot_id !== undefined),
  );
}

describe('a direct message to the bot', () => {
  it('“done” with one duty open is asked back with the button that records it', async () => {
    const bot = await start({ mode: 'http', redis, startMs });
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    bot.clock.jumpTo(startMs + 5 * 60_000);
    await bot.type(ina, 'zero Biscuit');
    await bot.type(ina, 'test Biscuit normal');
    const before = (await bot.line('Biscuit')).version;
    bot.clock.jumpTo(startMs + 61 * 60_000);
    const asked = await answerTo(bot, ina, 'all done!');
    expect(asked.text).toMatch(
      /^Not recorded yet: I don’t record from messages\. Is it this\? Press it\. .*Biscuit.*Flush/,
    );
    expect((await bot.line('Biscuit')).version).toBe(before);
    const dm = `D${ina.slice(1)}`;
    const told = await bot.press(ina, 'done:', { message: asked }, { channel: dm });
    expect(told.text).toMatch(/Biscuit/);
    expect((await bot.line('Biscuit')).latestAt).toBe(startMs + 61 * 60_000);
  });

  it('“taken out” opens the form of the only line that is in; with two it asks which', async () => {
    const bot = await start({ mode: 'http', redis, startMs });
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    const one = await answerTo(bot, ina, 'line taken out');
    expect(one.text).toBe(
      'Not recorded yet: I don’t record from messages. Is Biscuit (left dorsal pedal) out? Press it and say how.',
    );
    const dm = `D${ina.slice(1)}`;
    const form = await bot.press(ina, 'open:remove', { message: one }, { channel: dm });
    expect(form.view?.spec.callback_id).toBe('tell:remove');
    await place(bot, 'Mochi cat 4kg left dorsal pedal 24g manual');
    const two = await answerTo(bot, ina, 'Mochi pulled');
    expect(two.text).toContain('Which line is out? Biscuit (left dorsal pedal); Mochi (left dorsal pedal).');
    expect((await bot.line('Mochi')).removed).toBeNull();
  });

  it('anything else is answered with what the bot can do there, and once only', async () => {
    const bot = await start({ mode: 'http', redis, startMs });
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    const answer = await answerTo(bot, ina, 'hello?');
    expect(answer.text).toBe(
      `Not recorded: I don’t record from messages. To record or ask something, type /artline in <#${east}>. Here I send you what’s late, with its buttons; Home shows your lines and what’s due.`,
    );
    expect(actionsOf(answer)).toEqual(['open:mine', 'open:help']);
    const said = bot.platform.messages(ina).length;
    await bot.platform.redeliver('events_api');
    expect((await answerTo(bot, ina, 'flush Biscuit 2 mL')).text).toContain(
      `Type it in <#${east}> as /artline flush Biscuit 2 mL.`,
    );
    expect(bot.platform.messages(ina)).toHaveLength(said + 2);
    expect((await answerTo(bot, outsider, 'done')).text).toMatch(/aren’t in any ward channel I look after/);
  });
});

it('answers whoever names it in the channel, to them alone', async () => {
  const bot = await start({ mode: 'http', redis, startMs });
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  const inChannel = bot.platform.messages(east).length;
  await bot.platform.writeToBot({ user: ina, text: 'what now?', channel: east });
  const said = await bot.platform.until('an answer', () =>
    bot.platform
      .ephemerals(ina)
      .find(({ text }) => text.startsWith('Not recorded: I don’t record from messages')),
  );
  expect(said.text).toBe(
    'Not recorded: I don’t record from messages. To record or ask something, type /artline here. The cards and reminders here have their buttons.',
  );
  expect(bot.platform.messages(east)).toHaveLength(inChannel + 1);
});
