import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type BotOnPlatform, east, ina, suvi, wardId } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, lastOf, messagesOf, place, within } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();

const jorn = 'U0LEADJORN';
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);
const told = /can’t be posted in|speaks when the bot is dead/;

/** A ward with one line, a lead and a clinician on call, at 19:20; over HTTP, since time is moved on by much. */
async function begin(more: { onCall?: boolean; lead?: boolean } = {}): Promise<BotOnPlatform> {
  const { onCall = true, lead = true } = more;
  const bot = await start({ mode: 'http', redis, startMs: at('19:20') }, { troubles: told });
  if (onCall) await bot.type(suvi, 'oncall @suvi');
  if (lead) {
    await bot.type(suvi, 'policy');
    await bot.submit(suvi, { lead: jorn });
  }
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  await bot.quiet();
  return bot;
}

/** Waits until the ward is known to be shut, or open again, for this reason; then for what that brings. */
async function seen(bot: BotOnPlatform, why: string | null): Promise<void> {
  await expect.poll(async () => (await bot.record.readWardState(wardId)).channelShut?.why ?? null).toBe(why);
  await bot.sweep();
}

const shutTo = (bot: BotOnPlatform, user: string) =>
  messagesOf(bot, 'notice', user)
    .map(({ text }) => text)
    .filter((text) => text.includes(`<#${east}>`) && /post there|been back/.test(text));

describe('a channel that is archived', () => {
  it('has lead and clinician told once by direct message, rewritten as things change, and the nurse reminded there', async () => {
    const bot = await begin();
    await bot.platform.archive(east);
    await seen(bot, 'archived');
    for (const user of [jorn, suvi])
      expect(shutTo(bot, user)).toEqual([
        `<#${east}> is archived: I can’t post there since 19:20. Unarchive it, and invite me if I’m not in it. Until then nurses are reminded by direct message. Due now: Biscuit (left dorsal pedal): zero and level, fast-flush test, now, with Ina Brandvold.`,
      ]);
    await bot.advanceTo(at('19:31'));
    expect(messagesOf(bot, 'nudge')).toEqual([]);
    expect(lastOf(bot, 'nudge', ina).text).toMatch(
      /^Due now.*zero and level.*Sent to you, since I can’t post in/,
    );
    expect(shutTo(bot, jorn)).toEqual([expect.stringMatching(/Due now: Biscuit.*with Ina Brandvold\.$/)]);

    // A press there is taken though nobody can say who is in the channel.
    const flushed = await bot.press(ina, 'done:', within(bot, 'nudge', ina));
    expect(flushed.text).toMatch(/Biscuit/);
  });

  it('brings all that stands in it right once it is back, and nothing that was lost is left out', async () => {
    const bot = await begin();
    await bot.platform.archive(east);
    await seen(bot, 'archived');
    bot.clock.jumpTo(at('19:25'));
    const before = lastOf(bot, 'card').text;
    await bot.press(ina, 'done:flush', within(bot, 'card'));
    await bot.quiet();
    expect(lastOf(bot, 'card').text).toBe(before);
    await bot.platform.unarchive(east);
    await seen(bot, null);
    expect(lastOf(bot, 'card').text).toMatch(/flushed.*19:25/i);
    for (const user of [jorn, suvi])
      expect(shutTo(bot, user)).toEqual([expect.stringMatching(/has been back since 19:25/)]);
  });

  it('is found out by the first message that is refused, where the event is lost; back by being looked at', async () => {
    const bot = await begin();
    await bot.platform.archive(east, { quietly: true });
    await bot.advanceTo(at('19:31'));
    expect(messagesOf(bot, 'nudge')).toEqual([]);
    expect(lastOf(bot, 'nudge', ina).text).toMatch(/^Due now/);
    expect(shutTo(bot, jorn)).toHaveLength(1);
    await bot.platform.unarchive(east, { quietly: true });
    for (let looks = 0; looks < 30; looks++) bot.slowly();
    await bot.sweep();
    expect(shutTo(bot, jorn)).toEqual([expect.stringMatching(/been back/)]);
    await bot.advanceTo(at('20:31'));
    expect(lastOf(bot, 'nudge').text).toMatch(/^Due now/);
  });
});

describe('what stood in a channel when it was archived', () => {
  it('is left alone until it is back, then is all as it should be: card, visit, handover, cries for somebody on call', async () => {
    const bot = await start({ mode: 'http', redis, startMs: at('18:30') }, { troubles: told });
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await place(bot, 'Mochi cat 4kg right dorsal pedal 24g manual');
    await bot.advanceTo(at('20:10'));
    await bot.quiet();
    const before = bot.platform.messages(east).map(({ text }) => text);
    expect(lastOf(bot, 'handover').text).toContain('On call: NOBODY');
    expect(lastOf(bot, 'notice').text).toContain('NOBODY IS ON CALL');
    await bot.platform.archive(east);
    // Ends only if nothing goes on trying: a visit, a handover and a card wait for one lane.
    await seen(bot, 'archived');

    bot.clock.jumpTo(at('20:12'));
    const visit = within(bot, 'nudge');
    await bot.press(ina, 'done:', visit);
    await bot.quiet();
    expect(bot.platform.messages(east).map(({ text }) => text)).toEqual(before);
    const looks = () => bot.platform.calls.filter(({ method }) => method === 'conversations.info').length;
    const looked = looks();
    await bot.advanceTo(at('20:35'));
    expect(looks() - looked).toBeLessThan(20);

    await bot.platform.unarchive(east);
    await seen(bot, null);
    await bot.type(suvi, 'oncall @suvi');
    await bot.quiet();
    expect(lastOf(bot, 'handover').text).toContain('On call since 20:35: Dr Suvi Aaltola');
    const [biscuit, mochi] = messagesOf(bot, 'card').map(({ text }) => text);
    expect(biscuit).toContain('Zero 20:12');
    expect(mochi).toContain('Not zeroed');
    const cries = messagesOf(bot, 'notice').map(({ text }) => text);
    expect(cries.filter((text) => text.includes('NOBODY IS ON CALL'))).toEqual([]);
    const visits = messagesOf(bot, 'nudge');
    expect(visits.find(({ ts }) => ts === visit.message.ts)?.text).not.toMatch(/^Due now.*Biscuit/);
  });
});

it('goes on in a channel that is renamed: messages and buttons know it by its id', async () => {
  const bot = await begin();
  await bot.platform.rename(east, 'icu-west');
  expect((await bot.press(ina, 'done:flush', within(bot, 'card'))).text).toMatch(/Biscuit/);
  await bot.quiet();
  expect(lastOf(bot, 'card').text).toMatch(/flushed.*19:20/i);
  expect((await bot.type(ina, 'due')).text).toMatch(/Biscuit/);
  expect((await bot.record.readWardState(wardId)).channelShut).toBeNull();
});

describe('a channel without the bot', () => {
  it('waits for the bot to be invited, also where unarchiving left it outside', async () => {
    const bot = await begin();
    const own = bot.platform.world.app.botUserId;
    await bot.platform.archive(east);
    await seen(bot, 'archived');
    await bot.platform.unarchive(east, { withoutApp: true });
    await seen(bot, 'removed');
    expect(shutTo(bot, jorn)).toEqual([
      expect.stringMatching(/^I was taken out of .* Invite me back there\./),
    ]);
    await bot.platform.join({ user: own, channel: east });
    await seen(bot, null);
    expect(shutTo(bot, jorn)).toEqual([expect.stringMatching(/been back/)]);
  });

  it('is told of as deleted or without it where it is private, and deleted', async () => {
    const bot = await begin();
    bot.platform.makePrivate(east);
    await bot.platform.takeOut({ user: bot.platform.world.app.botUserId, channel: east });
    await seen(bot, 'not found');
    expect(shutTo(bot, jorn)).toEqual([expect.stringMatching(/was deleted, or I was taken out of it/)]);
    await bot.platform.removeChannel(east);
    await bot.advanceTo(at('19:31'));
    expect(lastOf(bot, 'nudge', ina).text).toMatch(/^Due now/);
  });
});

describe('with nobody on call while the channel is shut', () => {
  it('cries it out to whoever leads the nurses, else to the nurse', async () => {
    const bot = await begin({ onCall: false, lead: false });
    await bot.platform.archive(east);
    await bot.advanceTo(at('20:45'));
    const cried = messagesOf(bot, 'notice', ina).map(({ text }) => text);
    expect(cried.filter((text) => text.startsWith('NOBODY IS ON CALL'))).not.toEqual([]);
    expect(shutTo(bot, ina)[0]).toContain('NOBODY IS ON CALL.');
    expect(actionsOf(messagesOf(bot, 'notice', ina)[0]!)).toContain('open:oncall');
  });
});

it('says why it is not ready once the app is uninstalled, and loses nothing', async () => {
  const bot = await start(
    { mode: 'socket', redis, startMs: at('19:20') },
    { troubles: /uninstalled|refused|speaks when|posted in|send/ },
  );
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  await bot.platform.uninstall();
  await bot.platform.until('the operator to be told', () =>
    bot.troubles.some((one) => one.includes('uninstalled')),
  );
  expect((await bot.line('Biscuit')).removed).toBeNull();
});
