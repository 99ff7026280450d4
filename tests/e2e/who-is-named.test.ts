import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type BotOnPlatform, ina, suvi, teo } from '../support/bot-on-platform.ts';
import { botTests, lastOf, messagesOf, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();

const jorn = 'U0LEADJORN';
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);

async function begin(troubles?: RegExp): Promise<BotOnPlatform> {
  return start({ mode: 'http', redis, startMs: at('19:20') }, troubles ? { troubles } : {});
}

describe('whoever is named', () => {
  it('is refused where nobody reads there: deactivated, a bot, a guest or a stranger outside the channel', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    const asked = async (standing: Parameters<typeof bot.platform.changePerson>[1], text: string) => {
      bot.platform.changePerson('rui', { deleted: false, isBot: false, isGuest: false, ...standing });
      for (let seconds = 0; seconds < 60; seconds++) bot.slowly();
      await bot.sweep();
      return (await bot.type(ina, text)).text;
    };
    expect(await asked({ deleted: true }, 'oncall @rui')).toBe(
      'Not set: Rui Esteves’s account is deactivated: nobody reads what is sent there. Choose somebody else.',
    );
    expect(await asked({ isBot: true }, 'oncall @rui')).toBe(
      'Not set: Rui Esteves is a bot. Choose a person.',
    );
    expect(await asked({ isGuest: true }, 'oncall @rui')).toMatch(
      /is a guest and not in this channel.*Invite them first/,
    );
    expect(await asked({ teamId: 'T0OTHER' }, 'oncall @rui')).toMatch(
      /is from another workspace and not in this channel/,
    );
    // A member of the workspace need not be in the channel to be on call.
    expect(await asked({ teamId: 'T0PRACTICE' }, 'oncall @rui')).toMatch(/^On call now: Rui Esteves/);
    expect(await asked({ deleted: true }, 'moved Biscuit to theatre with @rui')).toMatch(
      /account is deactivated/,
    );
  });

  it('from another workspace and in the channel is taken, with what to look out for', async () => {
    const bot = await begin();
    bot.platform.changePerson('teo', { teamId: 'T0OTHER' });
    expect((await bot.type(ina, 'oncall @teo')).text).toMatch(
      /^On call now: Teo Marchetti.*from another workspace: ask whether my direct message arrived/,
    );
  });

  it('in the policy and for lines is looked up too', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    bot.platform.changePerson('teo', { deleted: true });
    await bot.type(suvi, 'policy');
    const refused = await bot.submit(suvi, { backup: teo });
    expect(refused.errors).toEqual({ backup: expect.stringMatching(/account is deactivated/) });
    await bot.type(suvi, 'policy');
    const every = (user: string) => ({ lead: user, 'rota:0': user, 'inCharge:0': user, clinicians: [user] });
    const refusedEach = (why: RegExp) =>
      Object.fromEntries(Object.keys(every('')).map((field) => [field, expect.stringMatching(why)]));
    expect((await bot.submit(suvi, every(teo))).errors).toEqual(refusedEach(/account is deactivated/));
    const own = bot.platform.world.app.botUserId;
    expect((await bot.submit(suvi, { ...every(own), backup: own })).errors).toEqual({
      ...refusedEach(/^That’s me/),
      backup: expect.stringMatching(/^That’s me/),
    });
    expect((await bot.type(ina, 'assign Biscuit @teo')).text).toMatch(/^Not given: .*deactivated/);
    expect((await bot.type(suvi, 'cover @ina by @teo')).text).toMatch(/^Not set: .*deactivated/);
  });
});

describe('a message that climbs', () => {
  const draft = /refused for good/;

  it('to a nurse whose account was deactivated since goes to the lead at once, and the ward reads who was told', async () => {
    const bot = await begin(draft);
    await bot.type(suvi, 'oncall @suvi');
    await bot.type(suvi, 'policy');
    await bot.submit(suvi, { lead: jorn });
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual', teo);
    bot.platform.changePerson('teo', { deleted: true });
    for (let seconds = 0; seconds < 60; seconds++) bot.slowly();
    await bot.advanceTo(at('19:46'));
    await bot.sweep();
    expect(messagesOf(bot, 'escalation', teo)).toEqual([]);
    expect(lastOf(bot, 'escalation', jorn).text).toMatch(/^Biscuit/);
    expect(lastOf(bot, 'notice').text).toMatch(
      /^Teo Marchetti could NOT be reached by direct message\..*Jorn Achterberg is told instead\.$/,
    );
    // Said once: the ladder passes over them from now on.
    await bot.advanceTo(at('20:31'));
    expect(messagesOf(bot, 'notice').filter(({ text }) => text.includes('could NOT'))).toHaveLength(1);
  });

  it('to a clinician who can’t be reached is said by “oncall” and where a finding is recorded', async () => {
    const bot = await begin(draft);
    await bot.type(ina, 'oncall @suvi');
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    bot.platform.changePerson('suvi', { deleted: true });
    for (let seconds = 0; seconds < 60; seconds++) bot.slowly();
    await bot.type(ina, 'check Biscuit cold');
    await bot.sweep();
    expect((await bot.type(ina, 'oncall')).text).toMatch(
      /^On call now: Dr Suvi Aaltola, .*\. No direct message reaches them: call them yourself, or set somebody else\./,
    );
    await bot.advanceTo(at('19:22'));
    expect((await bot.type(ina, 'check Biscuit swelling')).text).toContain(
      'Dr Suvi Aaltola, on call, can’t be reached by direct message, so I’m telling the ward.',
    );
  });

  it.each(['cannot_dm_bot', 'user_disabled', 'user_not_found', 'channel_not_found', 'messages_tab_disabled'])(
    'refused with %s counts as not told',
    async (error) => {
      const bot = await begin(draft);
      await bot.type(suvi, 'oncall @suvi');
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
      await bot.advanceTo(at('19:44'));
      bot.platform.fault({ method: 'chat.postMessage', kind: 'platformError', error });
      await bot.advanceTo(at('19:45'));
      await bot.sweep();
      const { unreached } = await bot.record.readWardState('T0PRACTICE.C0WARDEAST');
      expect(unreached).toEqual([{ user: ina, at: at('19:45') }]);
    },
  );
});
