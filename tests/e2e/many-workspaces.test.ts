import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import type { Platform } from '../../src/practice/platform/platform.ts';
import { type BotInMany, botInMany, hospitalIn, tokenKey } from '../support/bot-in-many.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());

const [north, south] = ['T0NORTH', 'T0SOUTH'];
const east = 'C0WARDEAST';
const ina = 'U0NURSEINA';
const suvi = 'U0CLINSUVI';
const wardOf = (team: string) => `${team}.${east}`;

let running: BotInMany | null = null;
const start = async (
  ...given: Parameters<typeof botInMany> extends [unknown, ...infer Rest] ? Rest : never
) => {
  running = await botInMany(redis, ...given);
  return running;
};
afterEach(async () => {
  await running?.stop();
  running = null;
});
const both = () => start([hospitalIn(north), hospitalIn(south)]);

/** Types after the slash command in the ward's channel of a workspace; gives the private answer, or the form that opened. */
async function type(at: Platform, text: string): Promise<string> {
  const before = at.ephemerals(ina).length;
  const open = at.view(ina)?.id;
  await at.slash({ user: ina, channel: east, text });
  return at.until(`an answer to “${text}”`, () => {
    const view = at.view(ina);
    return view && view.id !== open ? String(view.spec.callback_id) : at.ephemerals(ina)[before]?.text;
  });
}

async function register(bot: BotInMany, team: string, patient: string): Promise<void> {
  const at = bot.slack.at(team);
  expect(await type(at, `place ${patient} dog 28kg left dorsal pedal 20g manual`)).toBe('place');
  const before = at.ephemerals(ina).length;
  await at.submit({ user: ina, viewId: at.view(ina)?.id ?? '' });
  await at.until('the answer', () => at.ephemerals(ina)[before]);
  await bot.sweep();
}

const texts = (bot: BotInMany, team: string, place = east) =>
  bot.slack
    .at(team)
    .messages(place)
    .map(({ text }) => text)
    .join('\n');

describe('the bot in two hospitals', () => {
  it('is installed in each by its own administrator, and sends each ward’s messages by that hospital’s token', async () => {
    const bot = await both();
    expect(await bot.install(north)).toMatchObject({
      status: 200,
      text: expect.stringContaining('Dicrotic is installed in Hospital T0NORTH. Now invite it') as string,
    });
    expect((await bot.install(south)).status).toBe(200);
    await type(bot.slack.at(north), `oncall <@${suvi}>`);
    await register(bot, north, 'Biscuit');
    await register(bot, south, 'Mochi');
    expect(texts(bot, north)).toContain('Biscuit');
    expect(texts(bot, north)).not.toContain('Mochi');
    expect(texts(bot, south)).toContain('Mochi');
    expect(texts(bot, south)).not.toContain('Biscuit');
    // A flush that is dangerously late: the clinician of that hospital alone, though the other's has the same id.
    bot.clock.jumpTo(bot.clock.now() + 100 * 60_000);
    await bot.sweep();
    expect(texts(bot, north, suvi)).toContain('Biscuit');
    expect(texts(bot, south, suvi)).toBe('');
    expect(texts(bot, south)).toMatch(/NOBODY IS ON CALL.*Mochi|Mochi.*NOBODY IS ON CALL/s);
    for (const { method, tokenOf, team } of bot.slack.calls)
      expect([method, tokenOf]).toEqual([method, team]);
    // Nobody's menu shows another hospital's ward.
    await bot.slack.at(north).openHome({ user: ina });
    const home = await bot.slack.at(north).until('Home', () => bot.slack.at(north).home(ina));
    expect(JSON.stringify(home.spec)).toContain('Biscuit');
    expect(JSON.stringify(home.spec)).not.toContain('Mochi');
    expect(bot.troubles).toEqual([]);
  });

  it('answers nothing but how to install it where it is not installed', async () => {
    const bot = await both();
    await bot.install(north);
    const said = await type(bot.slack.at(south), 'due');
    expect(said).toBe(
      'Nothing was recorded: I’m not installed in this workspace, or not any more. Ask whoever runs the bot for the address to install it from.',
    );
    expect(await bot.service.record.wardIds()).toEqual([]);
    expect(await type(bot.slack.at(north), 'due')).not.toContain('not installed');
  });

  it('takes no press of one hospital for a ward of the other', async () => {
    const bot = await both();
    await bot.install(north);
    await bot.install(south);
    await register(bot, north, 'Biscuit');
    const at = bot.slack.at(north);
    const card = at.messages(east).find(({ metadata }) => metadata?.event_payload.kind === 'card');
    const before = (await bot.service.record.readWard(wardOf(north))).lines[0]?.version;
    const heard = at.ephemerals(ina).length;
    const blocks = (card?.blocks ?? []) as { elements?: { action_id?: string }[] }[];
    const flush = blocks
      .flatMap(({ elements }) => elements ?? [])
      .find(({ action_id: id }) => id?.startsWith('done:flush'));
    await at.press({
      user: ina,
      messageTs: card?.ts ?? '',
      actionId: flush?.action_id ?? '',
      as: { team: south },
    });
    const said = await at.until('an answer', () => at.ephemerals(ina)[heard]);
    expect(said.text).toBe('This belongs to another workspace. Nothing was done.');
    expect((await bot.service.record.readWard(wardOf(north))).lines[0]?.version).toBe(before);
  });
});

describe('installing', () => {
  it('is refused with another browser’s state, with none, and with one that was not signed here', async () => {
    const bot = await both();
    const refused = [
      await bot.install(north, { cookie: 'slack-app-oauth-state=another' }),
      await bot.install(north, { cookie: '' }),
      await bot.install(north, { state: 'made-up', cookie: 'slack-app-oauth-state=made-up' }),
    ];
    for (const { status, text } of refused) {
      expect(status).toBe(400);
      expect(text).toContain('Nothing was changed');
    }
    expect(await type(bot.slack.at(north), 'due')).toContain('not installed');
    expect(bot.slack.tokenOf(north)).toBeUndefined();
  });

  it('as a whole organisation serves each of its workspaces, and each call says which', async () => {
    const org = { id: 'E0ORG', name: 'Harrowmere Group', isInstalled: true };
    const bot = await start([hospitalIn(north, org), hospitalIn(south, org)]);
    expect((await bot.install('E0ORG')).text).toContain(
      'installed in Harrowmere Group. An administrator adds it',
    );
    await register(bot, north, 'Biscuit');
    await register(bot, south, 'Mochi');
    expect(texts(bot, north)).toContain('Biscuit');
    expect(texts(bot, south)).toContain('Mochi');
    expect(texts(bot, south)).not.toContain('Biscuit');
    const done = bot.slack.calls.filter(({ method }) => method === 'chat.postMessage');
    expect(done.map(({ tokenOf, team }) => [tokenOf, team])).toEqual([
      ['E0ORG', north],
      ['E0ORG', south],
    ]);
    await bot.slack.at(north).uninstall();
    bot.slack.at(south).core.token.isRevoked = true;
    await expect.poll(() => bot.troubles).toContainEqual(expect.stringMatching(/taken out of a workspace/));
    expect(await type(bot.slack.at(south), 'due')).toContain('not installed');
  });
});

describe('taking the app out of one hospital', () => {
  it('erases its token and no other, stops its timers, keeps its record, and goes on when it is back', async () => {
    const bot = await both();
    await bot.install(north);
    await bot.install(south);
    await register(bot, north, 'Biscuit');
    await register(bot, south, 'Mochi');
    const client = redis.client();
    const kept = async () => (await client.keys('{install:*}:kept')).toSorted();
    expect(await kept()).toEqual(['{install:T0NORTH}:kept', '{install:T0SOUTH}:kept']);
    await bot.slack.at(north).uninstall();
    await expect.poll(kept).toEqual(['{install:T0SOUTH}:kept']);
    await expect
      .poll(async () => (await bot.service.record.readWardState(wardOf(north))).channelShut?.why)
      .toBe('uninstalled');
    const before = await bot.service.record.readWard(wardOf(north));
    expect(before.lines.map(({ patient }) => patient.name)).toEqual(['Biscuit']);
    // Hours on: nothing is written down as told that nobody was told, and the other hospital is reminded as ever.
    bot.clock.jumpTo(bot.clock.now() + 2 * 3_600_000);
    const calls = bot.slack.calls.length;
    await bot.sweep();
    const after = await bot.service.record.readWard(wardOf(north));
    expect(after.lines.map(({ version }) => version)).toEqual(before.lines.map(({ version }) => version));
    expect(bot.slack.calls.slice(calls).every(({ team }) => team === south)).toBe(true);
    expect(texts(bot, south)).toMatch(/NOBODY IS ON CALL/);
    // Installed again, what waited is told.
    await bot.install(north);
    await expect
      .poll(async () => (await bot.service.record.readWardState(wardOf(north))).channelShut)
      .toBeNull();
    await bot.sweep();
    expect(texts(bot, north)).toMatch(/NOBODY IS ON CALL.*Biscuit/s);
    client.disconnect();
  });

  it('is believed only when the platform says so: an event of an installing before erases nothing', async () => {
    const bot = await both();
    await bot.install(north);
    const at = bot.slack.at(north);
    await at.event({ type: 'app_uninstalled' });
    await at.event({ type: 'tokens_revoked', tokens: { oauth: [], bot: ['U0PRACTBOT'] } });
    await expect
      .poll(() => bot.slack.calls.filter(({ method }) => method === 'auth.test').length)
      .toBeGreaterThanOrEqual(3);
    expect(await type(at, 'due')).not.toContain('not installed');
    expect(bot.troubles).toEqual([]);
  });
});

describe('tokens that run out', () => {
  it('are renewed while the bot works, each refresh token once', async () => {
    const bot = await both();
    bot.slack.runOutAfter(3_600);
    await bot.install(north);
    const first = bot.slack.tokenOf(north);
    bot.slack.runOutAfter(12 * 3_600);
    await register(bot, north, 'Biscuit');
    await expect.poll(() => bot.slack.refreshes.length).toBe(1);
    await register(bot, north, 'Mochi');
    expect(bot.slack.refreshes).toHaveLength(1);
    expect(bot.slack.tokenOf(north)).not.toBe(first);
    expect(texts(bot, north)).toContain('Mochi');
  });
});

describe('another key for the tokens', () => {
  it('opens what the old one sealed; without it the bot does not start, and says what to do', async () => {
    const bot = await start([hospitalIn(north)], [tokenKey('2025', 1)]);
    await bot.install(north);
    await bot.restart([tokenKey('2026', 2), tokenKey('2025', 1)]);
    expect(await type(bot.slack.at(north), 'due')).not.toContain('not installed');
    await bot.restart([tokenKey('2026', 2)]);
    expect(await type(bot.slack.at(north), 'due')).not.toContain('not installed');
    const { service } = bot;
    await expect(bot.restart([tokenKey('2027', 3)])).rejects.toThrow(
      'Tokens on this Redis are sealed with the key “2026”, and TOKEN_KEYS doesn’t hold the key that did it: add it behind the new one.',
    );
    bot.service = { ...service, stop: async () => {} };
  });
});
