import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { east, ina, outsider, tearoom, teo } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, lastOf, place, within } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

const biscuit = 'Biscuit dog 28kg left dorsal pedal 20g manual';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();

describe('somebody who is not in the ward’s channel', () => {
  it.each(['socket', 'http'] as const)(
    'is told so, and shown and recorded nothing, whatever they type there; help is for everybody (%s)',
    async (mode) => {
      const bot = await start({ mode, redis });
      await place(bot, biscuit);
      const before = await bot.line('Biscuit');
      for (const words of [
        'flush Biscuit',
        'due',
        'round',
        'flsh Bisquit',
        'oncall @suvi',
        'place Mochi',
        '',
      ]) {
        const seen = bot.platform.ephemerals(outsider).length;
        await bot.platform.slash({ user: outsider, text: words, channel: east, lookingIn: true });
        const said = await bot.platform.until('an answer', () => bot.platform.ephemerals(outsider).at(seen));
        expect(said.text).toMatch(/^You are not in this ward’s channel|I don’t know “/);
        expect(JSON.stringify(said)).not.toContain('Biscuit');
      }
      expect((await bot.line('Biscuit')).version).toBe(before.version);
      const seen = bot.platform.ephemerals(outsider).length;
      await bot.platform.slash({ user: outsider, text: 'help zero', channel: east, lookingIn: true });
      const help = await bot.platform.until('help', () => bot.platform.ephemerals(outsider).at(seen));
      expect(help.text).toMatch(/zero/i);
    },
  );
});

describe('where the platform does not tell who is in a channel', () => {
  it('what is typed or pressed in the channel itself is believed; from elsewhere it is not, and it is said what to do', async () => {
    const bot = await start(
      { mode: 'socket', redis },
      { troubles: /who is in a channel could not be asked|slack: / },
    );
    bot.platform.fault({
      method: 'conversations.members',
      kind: 'platformError',
      error: 'fetch_members_failed',
      times: 1_000,
    });
    await place(bot, biscuit);
    expect((await bot.type(ina, 'zero Biscuit')).text).toMatch(/^Recorded/);
    expect((await bot.press(teo, 'done:flush', within(bot, 'card'))).text).toMatch(/^Recorded/);

    const card = lastOf(bot, 'card');
    const elsewhere = await bot.platform.say({ user: outsider, channel: tearoom, text: 'look' });
    await bot.platform.press({
      user: outsider,
      channel: tearoom,
      messageTs: elsewhere.ts,
      stale: card.blocks!,
      actionId: actionsOf(card)[0] ?? '',
    });
    const told = await bot.platform.until('the refusal', () => bot.platform.ephemerals(outsider).at(-1));
    expect(told.text).toBe(
      'I can’t check right now whether you are in this ward’s channel, so nothing was recorded. Type it in the ward’s channel itself, or try again in a minute.',
    );
  });
});

describe('a button that cannot be read', () => {
  it.each(['socket', 'http'] as const)('is answered, and the operator told (%s)', async (mode) => {
    const bot = await start({ mode, redis }, { troubles: /a button could not be read/ });
    await place(bot, biscuit);
    const { ts } = lastOf(bot, 'card');
    const broken = [
      {
        type: 'actions',
        block_id: 'old',
        elements: [
          {
            type: 'button',
            action_id: 'done:flush',
            text: { type: 'plain_text', text: 'Flushed' },
            value: '{"v":0}',
          },
        ],
      },
    ];
    await bot.platform.press({ user: ina, messageTs: ts, stale: broken, actionId: 'done:flush' });
    const told = await bot.platform.until('an answer', () =>
      bot.platform.ephemerals(ina).find(({ text }) => text.startsWith('I can’t read this button')),
    );
    expect(told.text).toContain('so nothing was recorded');
    expect(bot.troubles).toContain('a button could not be read');
  });
});
