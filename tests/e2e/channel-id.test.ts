import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { redisChannelIds } from '../../src/redis/redis-channel-ids.ts';
import { type BotOnPlatform, east, ina, pause, suvi, teo, wardId } from '../support/bot-on-platform.ts';
import { botTests, lastOf, messagesOf, place, within } from '../support/bot-tests.ts';
import { startTestRedis, type TestRedis } from '../support/redis-for-tests.ts';

// The event and what it means as docs.slack.dev has them (channel_id_changed, read 29 November 2026): a private channel that is shared
// with another organisation gets another id for good, and is known by no other from then on.
const shared = 'C0SHAREDEAST';
let redis: TestRedis;
beforeAll(async () => {
  redis = await startTestRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);

async function begin(ending: Parameters<typeof start>[1] = {}): Promise<BotOnPlatform> {
  const bot = await start({ mode: 'http', redis, startMs: at('19:20') }, ending);
  await bot.type(suvi, 'oncall @suvi');
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  await bot.quiet();
  return bot;
}

const waitingIn = (bot: BotOnPlatform) =>
  [...bot.platform.core.workspace.scheduled.values()].map(({ channel }) => channel);
const cardsIn = (bot: BotOnPlatform, channel: string) => messagesOf(bot, 'card', channel).map(({ ts }) => ts);

describe('a channel that gets another id', () => {
  it('keeps its ward: record, standing messages, buttons, reminders and the waiting message go on under the new id', async () => {
    const bot = await begin();
    const [card] = cardsIn(bot, east);
    const { version } = await bot.line('Biscuit');
    await bot.platform.changeChannelId(east, shared);
    await bot.quiet();

    // A button that stood before the change.
    await bot.press(ina, 'done:flush', { message: { ...lastOf(bot, 'card', shared), channel: shared } });
    await bot.quiet();
    expect(cardsIn(bot, shared)).toEqual([card]);
    expect(lastOf(bot, 'card', shared).text).toMatch(/flushed.*19:20/i);
    // Typed there.
    expect((await bot.type(teo, 'zero Biscuit', shared)).text).toMatch(/Biscuit/);
    expect((await bot.line('Biscuit')).version).toBeGreaterThan(version + 1);
    await bot.advanceTo(at('20:31'));
    expect(lastOf(bot, 'nudge', shared).text).toMatch(/Biscuit/);
    expect(await bot.record.wardIds()).toEqual([wardId]);
    expect((await bot.record.readWardState(wardId)).channelShut).toBeNull();
    expect(waitingIn(bot)).toEqual([shared]);
    // Who may press is asked of the channel as it is called today.
    expect((await bot.press(teo, 'done:', within(bot, 'nudge', shared))).text).toMatch(/Biscuit/);
  });

  it('and once more, also for a bot that is started anew', async () => {
    const bot = await begin();
    await bot.platform.changeChannelId(east, shared);
    await bot.platform.changeChannelId(shared, 'C0SHAREDTWO');
    await bot.restart();
    expect((await bot.type(teo, 'zero Biscuit', 'C0SHAREDTWO')).text).toMatch(/Biscuit/);
    await bot.quiet();
    expect(lastOf(bot, 'card', 'C0SHAREDTWO').text).toMatch(/zero/i);
    expect(await bot.record.wardIds()).toEqual([wardId]);
  });

  it('goes on where the process that kept the change died before it did anything else', async () => {
    const bot = await begin();
    await bot.platform.changeChannelId(east, shared, { quietly: true });
    const [team = ''] = wardId.split('.');
    await redisChannelIds(redis.client()).put({ team, old: east, now: shared });
    // This process has read no change yet: the platform's answer makes it look.
    await bot.advanceTo(at('19:31'));
    expect(lastOf(bot, 'nudge', shared).text).toMatch(/Biscuit/);
    expect((await bot.record.readWardState(wardId)).channelShut).toBeNull();
  });

  it('is told again by the platform where the change could not be kept, and nothing is acknowledged before it is', async () => {
    const bot = await begin({ unanswered: true, troubles: /./ });
    await redis.kill();
    const refused = await bot.platform.changeChannelId(east, shared);
    expect(refused?.acked).toBe(false);
    expect(refused?.error).toBe('http_500');
    await redis.startAgain();
    for (;;) {
      const isBack = await bot.record.readWard(wardId).then(
        () => true,
        () => false,
      );
      if (isBack) break;
      await pause(50);
    }
    expect(await redisChannelIds(redis.client()).all()).toEqual([]);
    const again = await bot.platform.redeliver('events_api', 'http_error');
    expect(again.acked).toBe(true);
    expect((await bot.type(teo, 'zero Biscuit', shared)).text).toMatch(/Biscuit/);
  });
});
