import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { east, ina, minute, teo } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, lastOf, messagesOf, place, within } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

const biscuit = 'Biscuit dog 28kg left dorsal pedal 20g manual';
const remindersOff =
  /^Reminders are not running \(silent for \d+ min\): go by the clock and the last handover,/;

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();

describe('jobs that are dead while the chat lives', () => {
  // Over HTTP: a socket takes time that was skipped for a connection that hangs.
  it('are told in every answer, with what to do, until they are back; /readyz fails', async () => {
    const bot = await start({ mode: 'http', redis }, { troubles: /the jobs were silent/ });
    await place(bot, biscuit);
    await bot.sweep();
    expect(await bot.checks().jobs?.()).toEqual({ ok: true });
    expect((await bot.type(ina, 'flush Biscuit')).text).not.toMatch(/Reminders/);

    bot.silently(3 * minute);
    expect(await bot.checks().jobs?.()).toMatchObject({
      ok: false,
      why: expect.stringMatching(/no sign of life for \d+ s: reminders are not running/),
    });
    const typed = await bot.type(teo, 'zero Biscuit');
    expect(typed.text).toMatch(remindersOff);
    expect(typed.text).toMatch(/\nRecorded/);
    const pressed = await bot.press(ina, 'done:flush', within(bot, 'card'));
    expect(pressed.text).toMatch(remindersOff);
    const list = await bot.type(ina, 'due');
    expect(JSON.stringify(list.message?.blocks ?? [])).toContain('Reminders are not running');
    for (const channel of [undefined, east]) {
      const answers = () =>
        [...bot.platform.messages(ina), ...bot.platform.ephemerals(ina)].map(({ text }) => text);
      const before = new Set(answers());
      await bot.platform.writeToBot({ user: ina, text: 'what now?', ...(channel ? { channel } : {}) });
      const said = await bot.platform.until('an answer', () =>
        answers().find((one) => !before.has(one) && one.includes('don’t record from messages')),
      );
      expect(said).toMatch(remindersOff);
    }
    await bot.platform.openHome({ user: ina });
    const home = await bot.platform.until('Home', () => bot.platform.home(ina));
    expect(JSON.stringify(home.spec)).toContain('Reminders are not running');

    await bot.sweep();
    expect((await bot.type(teo, 'due')).text).not.toMatch(/Reminders are not/);
    expect(await bot.checks().jobs?.()).toEqual({ ok: true });
  });

  it('leave the platform’s own message to speak', async () => {
    const bot = await start({ mode: 'http', redis }, { troubles: /the jobs were silent/ });
    await place(bot, biscuit);
    await bot.sweep();
    bot.silently(5 * minute);
    await bot.sweep();
    const before = bot.clock.now();
    // The chat goes on answering, and takes nothing back.
    bot.silently(16 * minute);
    bot.clock.jumpTo(before + 16 * minute);
    expect((await bot.type(ina, 'flush Biscuit')).text).toMatch(remindersOff);
    const spoken = await bot.platform.until('the last word', () =>
      bot.platform.messages('C0WARDEAST').find(({ text }) => text.startsWith('REMINDERS MAY BE DOWN')),
    );
    expect(spoken.metadata).toBeUndefined();
  });
});

describe('a chat that is dead while the jobs live', () => {
  it('is told to the ward once, and once more when it is back; the handover says it too', async () => {
    const bot = await start(
      { mode: 'socket', redis },
      { troubles: /slack: |the jobs were silent|could not be opened/, unanswered: true },
    );
    await place(bot, biscuit);
    await bot.sweep();
    bot.platform.fault({
      method: 'apps.connections.open',
      kind: 'platformError',
      error: 'invalid_auth',
      times: 2,
    });
    bot.platform.disconnect('refresh_requested');
    await bot.platform.until('the socket to be gone', () => bot.platform.connections() === 0);
    bot.silently(2 * minute + 30_000);
    await bot.sweep();
    await bot.sweep();
    const lost = () =>
      messagesOf(bot, 'notice').filter(({ text }) => text.startsWith('Buttons and commands'));
    expect(lost().map(({ text }) => text)).toEqual([
      'Buttons and commands DON’T WORK, since 19:20. Reminders still come. Do what’s due, write it on paper with the time, and record it when they work again; I’ll say so here.',
    ]);
    expect(await bot.checks().socket?.()).toMatchObject({ ok: false });
    // What is due is asked for all the same.
    bot.clock.jumpTo(bot.clock.now() + 60 * minute);
    await bot.sweep();
    expect(actionsOf(lastOf(bot, 'nudge'))).not.toEqual([]);

    await bot.platform.until('the socket', () => bot.platform.connections() > 0, 15_000);
    await expect.poll(async () => bot.checks().socket?.()).toEqual({ ok: true });
    await bot.sweep();
    await bot.sweep();
    expect(lost().map(({ text }) => text)).toEqual([
      'Buttons and commands didn’t work from 19:20 to 20:20. They work again.',
      'Buttons and commands work again. Record now what was done since 19:20, each with its time: for example /artline flush NAME at 19:20. What isn’t recorded still counts as due.',
    ]);
    expect((await bot.type(ina, 'flush Biscuit at 19:50')).text).toMatch(/^Recorded/);
    await bot.type(ina, 'handover');
    await bot.quiet();
    expect(lastOf(bot, 'handover').text).toContain(
      'Buttons and commands didn’t work 19:20 to 20:20: what was done then may be on paper only.',
    );
  });
});
