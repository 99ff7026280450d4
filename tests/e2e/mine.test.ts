import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Json } from '../../src/practice/platform/message.ts';
import { buttonsIn, ina, teo } from '../support/bot-on-platform.ts';
import { botTests, lastOf, place, within } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);

/** Biscuit and Mochi are Ina's, Otto is Teo's; all three are new, so zero and test are due. */
async function threeLines() {
  const bot = await start(
    { mode: 'socket', redis, startMs: at('19:20') },
    { names: ['Biscuit', 'Mochi', 'Otto'] },
  );
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  await place(bot, 'Mochi cat 4kg median caudal 24g manual');
  await place(bot, 'Otto dog 20kg left radial 22g manual', teo);
  return bot;
}

const blocksOf = (view: { spec: Json }) => view.spec.blocks as Json[];
const words = (view: { spec: Json }) => JSON.stringify(view.spec);

describe('what is mine and due now', () => {
  it('is opened by typing, from the menu and from a card, with the buttons of my lines and no others', async () => {
    const bot = await threeLines();
    const typed = await bot.type(ina, 'mine');
    expect(typed.view?.spec.callback_id).toBe('mine');
    for (const name of ['Biscuit', 'Mochi']) expect(typed.text).toContain(`*${name}*`);
    expect(typed.text).not.toContain('Otto');
    expect(buttonsIn(blocksOf(typed.view!)).map(({ text }) => (text as Json).text)).toEqual(
      expect.arrayContaining(['All done: 2 lines', 'All done, as listed', 'Cannot…']),
    );
    await bot.platform.close({ user: ina, viewId: typed.view!.id, all: true });

    const card = await bot.press(teo, 'open:mine', within(bot, 'card'));
    expect(card.text).toContain('*Otto*');
    expect(card.text).not.toContain('Biscuit');

    const menu = await bot.type(ina, '');
    await bot.platform.press({ user: ina, actionId: 'open:mine', viewId: menu.view!.id });
    await bot.platform.until(
      'the list in the menu’s place',
      () => bot.platform.view(ina)?.spec.callback_id === 'mine',
    );
    expect(bot.platform.view(ina)?.id).toBe(menu.view!.id);
    await bot.platform.press({ user: ina, actionId: 'open:menu', viewId: menu.view!.id });
    await bot.platform.until('the menu again', () => bot.platform.view(ina)?.spec.callback_id === 'menu');
  });

  it('is done with one tap, which says before what it records; how each trace rang is told line by line', async () => {
    const bot = await threeLines();
    const { view } = await bot.type(ina, 'mine');
    expect(words(view!)).toContain(
      '_All done_ records: Biscuit, Mochi: levelled, zeroed. Fast-flush tests: line by line.',
    );
    const said = await bot.press(ina, 'done:all', { view: view! });
    for (const name of ['Biscuit', 'Mochi'])
      expect(said.text).toMatch(new RegExp(`Recorded for ${name} .*: level at the heart and zeroed, 19:20`));
    for (const name of ['Biscuit', 'Mochi']) {
      expect((await bot.line(name)).last).toMatchObject({ zeroed: { by: ina } });
      expect((await bot.line(name)).last.fastFlushTested).toBeUndefined();
      await bot.type(ina, `test ${name} normal`);
    }
    expect((await bot.line('Otto')).last.zeroed).toBeUndefined();
    const again = await bot.type(ina, 'mine');
    expect(words(again.view!)).toContain('Nothing is due on your lines now.');
    expect(words(again.view!)).toMatch(/\*Next\*.*20:20 Biscuit \(left dorsal pedal\): flush/);
  });

  it('writes nothing twice where another was quicker, and says who told it', async () => {
    const bot = await threeLines();
    const { view } = await bot.type(ina, 'mine');
    await bot.type(teo, 'zero Biscuit');
    const said = await bot.press(ina, 'done:all', { view: view! });
    expect(said.text).toMatch(/Recorded for Mochi .*\): level at the heart and zeroed/);
    expect(said.text).toContain(
      'Nothing recorded for Biscuit (left dorsal pedal): zero and level was recorded 19:20 by Teo Marchetti.',
    );
  });

  it('leads to the line’s page and to the form of what cannot be done', async () => {
    const bot = await threeLines();
    const { view } = await bot.type(ina, 'mine');
    await bot.platform.press({
      user: ina,
      actionId: `open:card:${(await bot.line('Mochi')).id}`,
      viewId: view!.id,
    });
    await bot.platform.until(
      'the page in the list’s place',
      () => bot.platform.view(ina)?.spec.callback_id === 'line',
    );
    await bot.platform.close({ user: ina, viewId: view!.id, all: true });
    const again = await bot.type(ina, 'mine');
    const form = await bot.press(ina, 'cannot', { view: again.view! });
    expect(form.view?.spec.callback_id).toBe('cannot');
    expect(lastOf(bot, 'card').text).toContain('Otto');
  });

  it('says so where no line is mine', async () => {
    const bot = await start({ mode: 'socket', redis, startMs: at('19:20') });
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    expect((await bot.type(teo, 'mine')).text).toContain('You have no lines here now.');
  });
});
