import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { StoredMessage } from '../../src/practice/platform/message.ts';
import {
  type BotOnPlatform,
  east,
  hospital,
  ina,
  suvi,
  tearoom,
  teo,
  wardId,
} from '../support/bot-on-platform.ts';
import { actionsOf, botTests, filledIn, messagesOf, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();

/** Ina is in Berlin; the bot's own default is UTC. */
function inBerlin() {
  const world = hospital();
  return {
    ...world,
    users: world.users.map((user) => (user.id === ina ? { ...user, zone: 'Europe/Berlin' } : user)),
  };
}
const bot = () => start({ mode: 'http', redis, world: inBerlin() });

async function invited(bot: BotOnPlatform): Promise<StoredMessage> {
  await bot.platform.join({ user: bot.platform.world.app.botUserId, channel: east });
  return bot.platform.until('the offer', () => messagesOf(bot, 'notice')[0]);
}

describe('the first message in a channel that the bot is invited to', () => {
  it('has one button, which opens one form; saved as it stands the ward is ready and the message says so', async () => {
    const running = await bot();
    const offer = await invited(running);
    expect(offer.text).toMatch(
      /^Set this ward up first: one form, with the usual answers filled in\. .* Until then: clock UTC, shifts day 07:00, night 19:00, nobody on call\. A reminder and a record,/,
    );
    expect(actionsOf(offer)).toEqual(['open:setup']);
    const { view } = await running.press(ina, 'open:setup', { message: offer });
    expect(view && filledIn(view)).toMatchObject({
      zone: 'Europe/Berlin',
      shifts: 'day 07:00, night 19:00',
      night: 'danger only',
    });
    const before = running.platform.messages(east).length;
    const sent = await running.submit(ina);
    expect(sent.errors).toEqual({});
    await running.quiet();
    expect(running.platform.messages(east)).toHaveLength(before);
    const [stands] = messagesOf(running, 'notice');
    expect(stands?.ts).toBe(offer.ts);
    expect(stands?.text).toBe(
      'This ward was set up by Ina Brandvold, 20:20. Clock Europe/Berlin, shifts day 07:00, night 19:00. Nobody is on call: danger wakes nobody until somebody is. No backup. From 22:00 to 07:00 only danger wakes the clinician. Flush by hand every 60 min; the rest is in the ward policy.',
    );
    const { ward } = await running.record.readWard(wardId);
    expect(ward.policy.shifts.zone).toBe('Europe/Berlin');
    expect(ward.policySet?.by).toBe(ina);
    await place(running, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  });

  it('sets who is on call and the backup in the same change, and tells whoever is on call', async () => {
    const running = await bot();
    const offer = await invited(running);
    await running.press(ina, 'open:setup', { message: offer });
    const sent = await running.submit(ina, { onCall: suvi, backup: teo, night: 'all late care' });
    expect(sent.errors).toEqual({});
    await running.quiet();
    expect(messagesOf(running, 'notice')[0]?.text).toContain(
      'Put on call: Dr Suvi Aaltola. Backup: Teo Marchetti. All late care may wake the clinician.',
    );
    expect(messagesOf(running, 'notice', suvi).map(({ text }) => text)).toEqual([
      expect.stringContaining('You are on call for the arterial lines of'),
    ]);
    const log = await running.record.readWardLog(wardId);
    expect(log.map(({ kind }) => kind)).toEqual(['policySet', 'onCallSet']);
    // One message to the channel, as before.
    expect(messagesOf(running, 'notice')).toHaveLength(1);
  });

  it('stands once, however often the event comes; whoever names the bot there is shown the button', async () => {
    const running = await bot();
    await invited(running);
    await running.platform.redeliver('events_api', 'http_timeout');
    await running.platform.join({ user: running.platform.world.app.botUserId, channel: east });
    await running.quiet();
    expect(messagesOf(running, 'notice')).toHaveLength(1);
    await running.platform.writeToBot({ user: teo, text: 'hello?', channel: east });
    const said = await running.platform.until('an answer', () => running.platform.ephemerals(teo).at(-1));
    expect(said.text).toBe('Not recorded: this channel isn’t set up as a ward yet.');
    expect(actionsOf(said)).toEqual(['open:setup']);
  });

  it('comes to whoever names the bot in a channel where nothing was offered', async () => {
    const running = await bot();
    await running.platform.writeToBot({ user: teo, text: 'hello?', channel: east });
    const offer = await running.platform.until('the offer', () => messagesOf(running, 'notice')[0]);
    expect(actionsOf(offer)).toEqual(['open:setup']);
    expect(running.platform.ephemerals(teo)).toEqual([]);
  });

  it('comes to no channel that is in use, and to none that somebody else joins', async () => {
    const running = await bot();
    await running.type(ina, 'oncall <@U0CLINSUVI>');
    await running.platform.join({ user: running.platform.world.app.botUserId, channel: east });
    await running.platform.join({ user: teo, channel: tearoom });
    await running.platform.writeToBot({ user: teo, text: 'hello?', channel: east });
    const said = await running.platform.until('an answer', () => running.platform.ephemerals(teo).at(-1));
    expect(said.text).toMatch(/^Not recorded: I don’t record from messages\./);
    await running.quiet();
    const offers = messagesOf(running, 'notice').filter((one) => actionsOf(one).includes('open:setup'));
    expect(offers).toEqual([]);
    expect(messagesOf(running, 'notice', tearoom)).toEqual([]);
  });
});

describe('/artline setup', () => {
  it('opens the same form; of two who save it the second is told, and afterwards it says what is set', async () => {
    const running = await bot();
    expect((await running.type(ina, 'setup')).view?.spec.callback_id).toBe('setup');
    expect((await running.type(teo, 'setup')).view?.spec.callback_id).toBe('setup');
    await running.submit(ina, { backup: suvi });
    const second = await running.submit(teo, { zone: 'America/New_York' });
    expect(Object.values(second.errors)).toEqual([
      'Somebody else set this ward up while this form was open. Close it: /artline setup shows what’s set.',
    ]);
    await running.quiet();
    // Nothing had been offered: the channel reads it in a message of its own.
    expect(messagesOf(running, 'notice').map(({ text }) => text)).toEqual([
      expect.stringMatching(
        /^This ward was set up by Ina Brandvold, 20:20\. Clock Europe\/Berlin.*Backup: Dr Suvi Aaltola/,
      ),
    ]);
    const said = await running.type(ina, 'setup');
    expect(said.text).toMatch(/^This ward was set up by Ina Brandvold/);
    expect(said.message && actionsOf(said.message)).toEqual(['open:policy', 'open:oncall']);
  });

  it('refuses the bot and accounts nobody reads, beside their fields', async () => {
    const running = await bot();
    running.platform.changePerson(suvi, { deleted: true });
    await running.type(ina, 'setup');
    const { errors } = await running.submit(ina, {
      onCall: suvi,
      backup: running.platform.world.app.botUserId,
    });
    expect(errors).toEqual({
      onCall: expect.stringMatching(/^Not set: .*deactivated/) as string,
      backup: 'Not set: I can’t be the backup. Choose a person.',
    });
    expect((await running.record.readWard(wardId)).ward.version).toBe(0);
  });

  it('is at the top of the menu until somebody has', async () => {
    const running = await bot();
    const menu = await running.type(ina, '');
    expect(menu.text).toContain('open:setup');
    await running.press(ina, 'open:setup', { view: menu.view as never });
    await running.submit(ina);
    const { ts } = running.platform.ephemerals(ina).at(-1) ?? { ts: '' };
    expect(ts).not.toBe('');
    expect((await running.type(ina, '')).text).not.toContain('open:setup');
  });
});
