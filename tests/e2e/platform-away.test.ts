import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { type BotOnPlatform, east, ina, pause, suvi, teo, wardId } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, lastOf, messagesOf, place, within } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

const biscuit = 'Biscuit dog 28kg left dorsal pedal 20g manual';
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const begin = (ending = {}, mode: 'socket' | 'http' = 'socket') => start({ mode, redis }, ending);

/** A line in order, and somebody on call: the next that comes due is the flush at 20:20. */
async function inOrder(bot: BotOnPlatform): Promise<void> {
  await bot.type(ina, 'oncall @suvi');
  await place(bot, biscuit);
  await bot.type(ina, 'zero Biscuit');
  await bot.type(ina, 'test Biscuit normal');
  await bot.quiet();
}

describe('one message that goes wrong', () => {
  it.each([
    ['503', { kind: 'http503' }],
    ['429', { kind: 'ratelimited', ms: 3_000 }],
    ['an answer that is lost after the message was stored', { kind: 'dropAfterStore' }],
    ['an error that may hide a message', { kind: 'platformError', error: 'internal_error' }],
    ['an error for now', { kind: 'platformError', error: 'team_added_to_org' }],
  ] as const)('stands once after %s, and is brought up to date', async (_what, fault) => {
    const bot = await begin({ troubles: /slack: http request failed/ });
    await inOrder(bot);
    bot.platform.fault({ method: 'chat.postMessage', ...fault });
    await bot.advanceTo(at('20:20'));
    expect(messagesOf(bot, 'nudge')).toHaveLength(1);
    expect(actionsOf(lastOf(bot, 'nudge'))).not.toEqual([]);
    await bot.press(ina, 'done', within(bot, 'nudge'));
    await bot.quiet();
    expect(actionsOf(lastOf(bot, 'nudge'))).toEqual([]);
    expect(messagesOf(bot, 'nudge')).toHaveLength(1);
  });

  it.each(['http503', 'ratelimited', 'dropAfterStore'] as const)('an update comes after %s', async (kind) => {
    const bot = await begin({ troubles: /slack: http request failed/ });
    await inOrder(bot);
    await bot.advanceTo(at('20:20'));
    bot.platform.fault({ method: 'chat.update', kind, times: 2 });
    await bot.press(ina, 'done', within(bot, 'nudge'));
    await bot.quiet();
    expect(actionsOf(lastOf(bot, 'nudge'))).toEqual([]);
    expect(lastOf(bot, 'card').text).toContain('Flushed 20:20');
  });

  it('is not said twice while nobody can look whether it stands', async () => {
    const bot = await begin({ troubles: /slack: http request failed/ });
    await inOrder(bot);
    bot.platform.fault({ method: 'chat.postMessage', kind: 'dropAfterStore' });
    bot.platform.fault({ method: 'conversations.history', kind: 'http503', times: 3 });
    await bot.advanceTo(at('20:20'));
    expect(messagesOf(bot, 'nudge')).toHaveLength(1);
    expect(bot.platform.calls.filter(({ method }) => method === 'conversations.history')).toHaveLength(4);
  });

  it('is found again by a process that starts after one was killed between sending and writing it down', async () => {
    const bot = await begin();
    await inOrder(bot);
    bot.platform.fault({ method: 'chat.postMessage', kind: 'late', ms: 1_500 });
    bot.clock.jumpTo(at('20:20'));
    void bot.look();
    await bot.platform.until('the nudge', () => messagesOf(bot, 'nudge').length > 0);
    await bot.restart('killed');
    await bot.sweep();
    await bot.press(ina, 'done', within(bot, 'nudge'));
    await bot.quiet();
    expect(messagesOf(bot, 'nudge')).toHaveLength(1);
    expect(actionsOf(lastOf(bot, 'nudge'))).toEqual([]);
  });

  it('waits for the next process when the bot is stopped with messages in hand', async () => {
    const bot = await begin();
    for (const name of ['Alba', 'Bosco', 'Cleo', 'Dara']) {
      await bot.type(ina, `place ${name} dog 20kg left radial 22g manual`);
      await bot.submit(ina);
    }
    await bot.restart();
    await bot.sweep();
    const cards = messagesOf(bot, 'card').map(({ text }) => /: (\w+),/.exec(text)?.[1] ?? '');
    expect(cards.toSorted((a, b) => a.localeCompare(b))).toEqual(['Alba', 'Bosco', 'Cleo', 'Dara']);
  });
});

describe('a person who cannot be reached by direct message', () => {
  // `messages_tab_disabled`: the app's direct messages are switched off. `user_is_restricted` stands for what nobody knows yet.
  it.each([
    'user_not_found',
    'user_disabled',
    'restricted_action',
    'messages_tab_disabled',
    'user_is_restricted',
  ])('is told of to the ward, with what is late (%s)', async (error) => {
    const bot = await begin({ troubles: /refused for good/ });
    await inOrder(bot);
    await bot.advanceTo(at('20:39'));
    bot.platform.fault({ method: 'chat.postMessage', kind: 'platformError', error });
    await bot.advanceTo(at('20:40'));
    expect(messagesOf(bot, 'escalation', suvi)).toEqual([]);
    expect(lastOf(bot, 'notice').text).toMatch(
      /^Dr Suvi Aaltola could NOT be reached by direct message\. Late: Biscuit \(left dorsal pedal\): flush, 20 min late\. Call them yourself now\./,
    );
    await bot.press(ina, 'done', within(bot, 'nudge'));
    await bot.quiet();
    expect(lastOf(bot, 'notice').text).toBe(
      'Settled: Dr Suvi Aaltola could not be reached by direct message.',
    );
  });

  it.each([
    ['503', { kind: 'http503' }],
    ['429', { kind: 'ratelimited', ms: 3_000 }],
    ['an answer that is lost after the message was stored', { kind: 'dropAfterStore' }],
    ['a refusal that passes', { kind: 'platformError', error: 'team_added_to_org' }],
  ] as const)('is told once, and the ward hears nothing of it, after %s', async (_what, fault) => {
    const bot = await begin({ troubles: /slack: http request failed/ });
    await inOrder(bot);
    await bot.advanceTo(at('20:39'));
    bot.platform.fault({ method: 'chat.postMessage', ...fault });
    await bot.advanceTo(at('20:40'));
    expect(messagesOf(bot, 'escalation', suvi).map(({ text }) => text)).toEqual([
      expect.stringMatching(/^BISCUIT dog: flush 20 min late,/),
    ]);
    const notices = messagesOf(bot, 'notice').map(({ text }) => text);
    expect(notices.filter((text) => !text.startsWith('On call now:'))).toEqual([]);
  });

  it('leaves no finding untold', async () => {
    const bot = await begin({ troubles: /refused for good/ });
    await inOrder(bot);
    bot.platform.fault({ method: 'chat.postMessage', kind: 'platformError', error: 'user_disabled' });
    await bot.type(ina, 'check Biscuit cold, no pulse');
    await bot.look();
    await bot.quiet();
    expect(lastOf(bot, 'notice').text).toMatch(
      /Dr Suvi Aaltola could NOT be reached.*Biscuit \(left dorsal pedal\).*cold hind foot and no pulse below/,
    );
  });

  it('is not silently on call', async () => {
    const bot = await begin({ troubles: /refused for good/ });
    bot.platform.fault({ method: 'chat.postMessage', kind: 'platformError', error: 'user_disabled' });
    await bot.type(ina, 'oncall @suvi');
    await bot.quiet();
    const notices = messagesOf(bot, 'notice').map(({ text }) => text);
    expect(notices.join('\n')).toMatch(
      /Dr Suvi Aaltola could NOT be reached .* set somebody else: \/artline oncall @name/,
    );
  });
});

describe('a card that somebody deletes', () => {
  const deleteCard = (bot: BotOnPlatform) =>
    bot.platform.core.workspace.record({ kind: 'deleted', channel: east, ts: lastOf(bot, 'card').ts });

  it('stands anew when there is something to show on it, with buttons that work', async () => {
    const bot = await begin({ troubles: /refused for good/ });
    await inOrder(bot);
    deleteCard(bot);
    await bot.advanceTo(at('19:40'));
    await bot.type(ina, 'flush Biscuit');
    await bot.quiet();
    expect(lastOf(bot, 'card').text).toContain('Flushed 19:40');
    await bot.advanceTo(at('19:52'));
    await bot.press(ina, 'done:flush', within(bot, 'card'));
    await bot.quiet();
    expect(messagesOf(bot, 'card').map(({ text }) => text)).toEqual([
      expect.stringContaining('Flushed 19:52'),
    ]);
  });

  it('as does the end of a handover that nobody accepted yet', async () => {
    const bot = await begin({ troubles: /refused for good/ });
    await inOrder(bot);
    await bot.type(ina, 'handover');
    await bot.quiet();
    bot.platform.core.workspace.record({ kind: 'deleted', channel: east, ts: lastOf(bot, 'handover').ts });
    await bot.advanceTo(at('19:40'));
    await bot.type(ina, 'oncall @jorn');
    await bot.quiet();
    expect((await bot.press(ina, 'accept', within(bot, 'handover'))).text).toContain('You have the ward.');
  });

  it('stays away when its line is closed', async () => {
    const bot = await begin({ troubles: /refused for good/ });
    await inOrder(bot);
    await bot.advanceTo(at('19:40'));
    await bot.type(ina, 'remove Biscuit death');
    await bot.quiet();
    deleteCard(bot);
    await bot.advanceTo(at('19:41') + 24 * 3_600_000);
    expect((await bot.line('Biscuit').catch((error: Error) => error.message)) as unknown).toMatch(
      /no line of/,
    );
    expect(messagesOf(bot, 'card')).toEqual([]);
  });
});

describe('the whole platform away', () => {
  it('through a ladder, everything is told once when it is back, as it stands then', async () => {
    const bot = await begin({ troubles: /slack|pushed ahead|WebSocket|socket|could not be opened/i });
    await inOrder(bot);
    bot.platform.goDown();
    for (const clock of ['20:20', '20:30', '20:40', '20:41']) {
      bot.clock.jumpTo(at(clock));
      await bot.look();
    }
    expect(messagesOf(bot, 'nudge')).toEqual([]);
    bot.platform.comeBack();
    await bot.quiet();
    expect(messagesOf(bot, 'nudge')).toHaveLength(1);
    expect(messagesOf(bot, 'escalation', ina)).toHaveLength(1);
    expect(messagesOf(bot, 'escalation', suvi)).toHaveLength(1);
    await bot.platform.until('the bot to come back', () => bot.platform.connections() > 0, 15_000);
    expect((await bot.press(suvi, 'done', within(bot, 'escalation', suvi))).text).toContain(
      'flushed 2 mL (the usual), 20:41',
    );
    await bot.quiet();
    expect(actionsOf(lastOf(bot, 'nudge'))).toEqual([]);
  }, 30_000);

  it('over HTTP, what somebody tells meanwhile is recorded though nobody can be answered', async () => {
    const bot = await begin({ troubles: /./ }, 'http');
    await inOrder(bot);
    // The platform’s own answers fail while its requests still come in.
    const away = vi.spyOn(bot.platform.core.responseUrls, 'use');
    away.mockReturnValue({ ok: false, error: 'expired_url' });
    bot.platform.fault({ method: '*', kind: 'http503', times: 3 });
    bot.clock.jumpTo(at('19:40'));
    const { version } = await bot.line('Biscuit');
    await bot.platform.slash({ user: ina, text: 'flush Biscuit' });
    while ((await bot.line('Biscuit')).version === version) await pause(10);
    bot.platform.clearFaults();
    away.mockRestore();
    await bot.sweep();
    expect(lastOf(bot, 'card').text).toContain('Flushed 19:40');
  });

  it('takes commands again after the platform asked it to reconnect', async () => {
    const bot = await begin({ troubles: /socket/i });
    await inOrder(bot);
    const opened = () => bot.platform.calls.filter(({ method }) => method === 'apps.connections.open').length;
    const before = opened();
    bot.platform.disconnect('refresh_requested');
    await bot.platform.until('a new address', () => opened() > before, 15_000);
    await bot.platform.until('a new connection', () => bot.platform.connections() > 0, 15_000);
    await expect.poll(async () => bot.checks().socket?.()).toEqual({ ok: true });
    expect((await bot.type(ina, 'flush Biscuit')).text).toMatch(/^Recorded for Biscuit/);
  }, 30_000);
});

describe('a courtesy call that fails', () => {
  it('a telling is recorded and answered where the names of people cannot be had', async () => {
    const bot = await begin();
    await inOrder(bot);
    bot.platform.fault({ method: 'users.info', kind: 'http503', times: 9 });
    expect((await bot.type(teo, 'flush Biscuit')).text).toMatch(/^Recorded for Biscuit/);
  });

  it.each(['http503', 'ratelimited'] as const)(
    'a command and a press are recorded where the list of members cannot be had (%s)',
    async (kind) => {
      const bot = await begin();
      await inOrder(bot);
      // A minute later the list that is known is too old to be trusted without asking.
      const later = Date.now() + 61_000;
      const now = Date.now;
      Date.now = () => later;
      try {
        bot.platform.fault({ method: 'conversations.members', kind, times: 9 });
        bot.clock.jumpTo(at('19:40'));
        expect((await bot.type(teo, 'sample Biscuit 2 ml')).text).toMatch(/^Recorded for Biscuit/);
        expect((await bot.press(teo, 'done:zero', within(bot, 'card'))).text).toMatch(
          /^Recorded for Biscuit/,
        );
      } finally {
        Date.now = now;
      }
    },
  );

  it('a private answer that cannot go its usual way goes another, so that nobody thinks it was not recorded', async () => {
    const bot = await begin();
    await inOrder(bot);
    bot.clock.jumpTo(at('19:40'));
    bot.platform.core.responseUrls.use = () => ({ ok: false, error: 'used_url' });
    expect((await bot.type(ina, 'flush Biscuit')).text).toMatch(/^Recorded for Biscuit/);
    expect((await bot.press(ina, 'done:zero', within(bot, 'card'))).text).toMatch(/^Recorded for Biscuit/);
    bot.platform.fault({ method: 'chat.postEphemeral', kind: 'http503', times: 1 });
    expect((await bot.type(ina, 'sample Biscuit 1 ml')).text).toMatch(/^Recorded for Biscuit/);
    expect(bot.platform.messages(ina).at(-1)?.metadata).toMatchObject({
      event_type: 'dicrotic_post',
      event_payload: { kind: 'notice', ward: wardId, lines: [] },
    });
    expect(bot.platform.messages(east).every(({ text }) => !text.includes('Recorded'))).toBe(true);
  });

  it('a form that does not open is told of, and opens when asked for once more', async () => {
    const bot = await begin({ troubles: /a form could not be opened/ });
    await inOrder(bot);
    bot.platform.fault({ method: 'views.open', kind: 'platformError', error: 'expired_trigger_id' });
    expect((await bot.type(ina, 'sample Biscuit')).text).toMatch(
      /^The form did not open in time, so nothing was recorded\./,
    );
    expect((await bot.type(ina, 'sample Biscuit')).view?.spec.callback_id).toBe('tell:sample');
  });
});
