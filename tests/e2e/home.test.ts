import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import type { Json } from '../../src/practice/platform/message.ts';
import { type BotOnPlatform, buttonsIn, east, ina, outsider, suvi, teo } from '../support/bot-on-platform.ts';
import { botTests, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);

async function twoNurses() {
  const bot = await start(
    { mode: 'socket', redis, startMs: at('19:20') },
    { names: ['Biscuit', 'Mochi', 'Otto'] },
  );
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  await place(bot, 'Mochi cat 4kg median caudal 24g manual');
  await place(bot, 'Otto dog 20kg left radial 22g manual', teo);
  return bot;
}

const published = (bot: BotOnPlatform, user?: string) =>
  bot.platform.calls.filter(
    ({ method, args }) => method === 'views.publish' && (user === undefined || args.user_id === user),
  ).length;

/** Opens somebody's Home and waits until it is drawn. */
async function home(bot: BotOnPlatform, user: string) {
  const before = published(bot, user);
  await bot.platform.openHome({ user });
  return bot.platform.until('Home', () => published(bot, user) > before && bot.platform.home(user));
}

const words = (view: { spec: Json } | undefined) => JSON.stringify(view?.spec);
const texts = (view: { spec: Json }) =>
  buttonsIn(view.spec.blocks as Json[]).map(({ text }) => (text as Json).text);

/** Presses a button on somebody's Home and waits until it says `then`. */
async function pressAt(bot: BotOnPlatform, user: string, action: string, then: RegExp) {
  const view = bot.platform.home(user)!;
  const button = buttonsIn(view.spec.blocks as Json[]).find(({ action_id }) =>
    String(action_id).startsWith(action),
  );
  expect(button, `no ${action} on Home`).toBeDefined();
  await bot.platform.press({ user, actionId: String(button!.action_id), viewId: view.id });
  return bot.platform.until(String(then), () => {
    const drawn = bot.platform.home(user);
    return then.test(words(drawn)) && drawn;
  });
}

describe('Home', () => {
  it('shows my lines, what is due with its buttons, what comes next, who is on call and how to register', async () => {
    const bot = await twoNurses();
    const shown = await home(bot, ina);
    expect(words(shown)).toContain('*<#C0WARDEAST>* · *Nobody is on call.*');
    expect(words(shown)).toContain('2 lines are yours; all of them due now.');
    for (const name of ['Biscuit', 'Mochi']) expect(words(shown)).toContain(`*${name}*`);
    expect(words(shown)).not.toContain('Otto');
    expect(words(shown)).toMatch(/\*Next\*.*20:20 Biscuit \(left dorsal pedal\): flush/);
    expect(texts(shown)).toEqual(
      expect.arrayContaining(['Menu', 'All done: 2 lines', 'Register a line', 'Put somebody on call…']),
    );
  });

  it('takes All done, answers on itself with Take back, and shows what is left', async () => {
    const bot = await twoNurses();
    await home(bot, ina);
    const drawn = await pressAt(bot, ina, 'done:all', /Recorded for Biscuit .*zeroed/);
    // How each trace rang is told line by line.
    expect(words(drawn)).toContain('2 lines are yours; all of them due now.');
    expect(words(drawn)).not.toContain('*Zero and level*, due');
    expect(words(drawn)).toContain('*Fast-flush test*, due');
    expect(texts(drawn)).toContain('Take back');
    expect((await bot.line('Biscuit')).last.zeroed).toMatchObject({ by: ina });
    // Nobody is told beside: no message in the channel, none by direct message.
    expect(bot.platform.ephemerals(ina).some(({ text }) => text.includes('Recorded for Biscuit'))).toBe(
      false,
    );
    const back = await pressAt(bot, ina, 'done:undo', /Taken back for Biscuit/);
    expect(words(back)).toContain('2 lines are yours; all of them due now.');
  });

  it('is brought up to date when somebody else does it, and not sent again when nothing changed', async () => {
    const bot = await twoNurses();
    await home(bot, ina);
    await bot.type(teo, 'zero Biscuit');
    await bot.quiet();
    await bot.platform.until(
      'Home anew',
      () => !/Biscuit[^}]*Zero and level\*, due/.test(words(bot.platform.home(ina))),
    );
    await bot.look();
    const before = published(bot);
    await bot.look();
    await bot.look();
    expect(published(bot)).toBe(before);
    // Time alone brings something.
    await bot.advanceTo(at('20:20'));
    await bot.look();
    expect(words(bot.platform.home(ina))).toMatch(/\*Flush\*, due 20:20/);
  });

  it('is drawn for those who opened it lately, and for nobody else', async () => {
    const bot = await twoNurses();
    await home(bot, teo);
    await bot.type(teo, 'zero Otto');
    await bot.quiet();
    await bot.look();
    expect(published(bot, ina)).toBe(0);
    expect(published(bot, teo)).toBeGreaterThan(1);
  });

  it('shows whoever is on call what waits for them, worst to see first', async () => {
    const bot = await twoNurses();
    await bot.type(ina, 'oncall @suvi');
    expect(words(await home(bot, suvi))).toContain('You’re on call here. Nothing waits for you now.');
    await bot.type(ina, 'check Otto cold, no pulse');
    await bot.look();
    await bot.quiet();
    await bot.look();
    expect(words(bot.platform.home(suvi))).toMatch(
      /This line needs you:.*Cold front foot and no pulse below/,
    );
  });

  it('opens forms and the menu by themselves, and keeps the ward from whoever has no part in it', async () => {
    const bot = await twoNurses();
    await home(bot, ina);
    await bot.platform.press({ user: ina, actionId: 'open:menu', viewId: bot.platform.home(ina)!.id });
    await bot.platform.until('the menu', () => bot.platform.view(ina)?.spec.callback_id === 'menu');
    await bot.platform.close({ user: ina, viewId: bot.platform.view(ina)!.id, all: true });

    const stranger = await home(bot, outsider);
    expect(words(stranger)).toContain('No ward of yours has arterial lines here yet.');
    expect(words(stranger)).not.toContain('Biscuit');

    const own = bot.platform.home(teo) ?? (await home(bot, teo));
    const { id } = await bot.line('Otto');
    const { memberIds } = bot.platform.core.workspace.conversation(east)!;
    memberIds.splice(memberIds.indexOf(teo), 1);
    // A yes to who is in a channel stands for five minutes.
    const machine = Date.now;
    Date.now = () => machine() + 6 * 60_000;
    onTestFinished(() => {
      Date.now = machine;
    });
    await bot.platform.press({ user: teo, actionId: `done:${id}`, viewId: own.id });
    await bot.platform.until('a refusal', () =>
      words(bot.platform.home(teo)).includes('You are not in this ward’s channel'),
    );
    expect((await bot.line('Otto')).last.zeroed).toBeUndefined();
  });
});

describe('the shortcut', () => {
  it('opens the menu of my ward from anywhere', async () => {
    const bot = await twoNurses();
    await bot.platform.shortcut({ user: ina, callbackId: 'open_menu' });
    const menu = await bot.platform.until('the menu', () => bot.platform.view(ina));
    expect(menu.spec.callback_id).toBe('menu');
    expect(words(menu)).toContain('Biscuit');
    await bot.platform.close({ user: ina, viewId: menu.id, all: true });
    await bot.platform.shortcut({ user: outsider, callbackId: 'open_menu' });
    const none = await bot.platform.until('an answer', () => bot.platform.view(outsider));
    expect(words(none)).toContain('No ward of yours has arterial lines here yet.');
  });
});
