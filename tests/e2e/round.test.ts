import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ina, teo } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, lastOf, messagesOf, place, within } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);

async function twoLines() {
  const bot = await start({ mode: 'socket', redis, startMs: at('19:20') }, { names: ['Biscuit', 'Pretzel'] });
  for (const name of ['Biscuit', 'Pretzel']) {
    await place(bot, `${name} dog 28kg left dorsal pedal 20g manual`);
    await bot.type(ina, `zero ${name}`);
    await bot.type(ina, `test ${name} normal`);
  }
  return bot;
}

describe('the rounds of a shift', () => {
  it('are answered to the asker alone, by command and from the menu, from now until the shift is over', async () => {
    const bot = await twoLines();
    const posted = bot.platform.messages(bot.platform.world.wardChannelId).length;
    const typed = await bot.type(teo, 'round');
    expect(typed.text).toMatch(
      /^Rounds until .*07:00, if they are walked as they stand here\. With Ina Brandvold: /,
    );
    expect(typed.text).toMatch(/\d+ visits\./);
    expect(typed.text).toMatch(/\d\d:\d\d Biscuit: flush; Pretzel: flush \(bring 2 flush syringes\)/);
    const menu = await bot.type(ina, '');
    const pressed = await bot.press(ina, 'open:round', { view: menu.view! });
    expect(pressed.text).toBe(typed.text);
    expect(bot.platform.messages(bot.platform.world.wardChannelId)).toHaveLength(posted);
  });
});

// Common practice, no source: hands at night walk once for all hourly flushes.
describe('a round of nothing but flushes', () => {
  it('is ticked off with one tap, and each line has its own entry', async () => {
    const bot = await twoLines();
    await bot.advanceTo(at('20:20'));
    const said = await bot.press(ina, 'done:round', within(bot, 'nudge'));
    expect(said.text).toMatch(
      /Recorded for Biscuit .*flushed 2 mL \(the usual\), 20:20\..*\n.*Recorded for Pretzel .*flushed 2 mL \(the usual\), 20:20\./,
    );
    await bot.quiet();
    expect(actionsOf(lastOf(bot, 'nudge'))).toEqual([]);
    for (const name of ['Biscuit', 'Pretzel']) expect((await bot.line(name)).flushCount).toBe(1);
  });

  it('writes only what still waits, and says of the rest who told it', async () => {
    const bot = await twoLines();
    await bot.advanceTo(at('20:20'));
    const nudge = lastOf(bot, 'nudge');
    await bot.type(teo, 'flush Biscuit');
    await bot.advanceTo(at('20:22'));
    bot.slowly();
    const said = await bot.press(ina, 'done:round', { message: nudge }, { stale: nudge.blocks! });
    expect(said.text).toMatch(/^Recorded for Pretzel .*flushed 2 mL \(the usual\), 20:22\./);
    expect(said.text).toMatch(/Nothing recorded for Biscuit .*flush was recorded 20:20 by Teo Marchetti/);
    expect((await bot.line('Biscuit')).flushCount).toBe(1);
  });

  it('has a tap of its own where other care waits, which names what it records, and no test', async () => {
    const bot = await start(
      { mode: 'socket', redis, startMs: at('19:20') },
      { names: ['Biscuit', 'Pretzel'] },
    );
    for (const name of ['Biscuit', 'Pretzel'])
      await place(bot, `${name} dog 28kg left dorsal pedal 20g manual`);
    await bot.advanceTo(at('19:30'));
    const nudge = lastOf(bot, 'nudge');
    expect(actionsOf(nudge)).not.toContain('done:round');
    expect(nudge.text).toContain('All done records: Biscuit, Pretzel: levelled, zeroed.');
    const said = await bot.press(ina, 'done:all', { message: nudge });
    for (const name of ['Biscuit', 'Pretzel'])
      expect(said.text).toMatch(new RegExp(`Recorded for ${name} .*zeroed, 19:30`));
    await bot.quiet();
    for (const name of ['Biscuit', 'Pretzel'])
      expect((await bot.line(name)).last.fastFlushTested).toBeUndefined();
    expect(lastOf(bot, 'nudge').text).toContain('Fast-flush test, due 19:20');
  });

  it('stays as it was done when the next one is done, and when the line is taken out', async () => {
    const bot = await twoLines();
    await bot.advanceTo(at('20:20'));
    await bot.press(ina, 'done:round', within(bot, 'nudge'));
    await bot.quiet();
    const first = () => messagesOf(bot, 'nudge')[0]?.text ?? '';
    const asDone = first();
    expect(asDone.match(/Flush: done 20:20 by Ina Brandvold/g)).toHaveLength(2);
    await bot.advanceTo(at('21:20'));
    await bot.press(teo, 'done:round', within(bot, 'nudge'));
    await bot.type(teo, 'remove Biscuit planned, tip whole, site clean');
    await bot.quiet();
    expect(messagesOf(bot, 'nudge')).toHaveLength(2);
    expect(first()).toBe(asDone);
  });

  it('never asks in an answer for what was just put off', async () => {
    const bot = await twoLines();
    await bot.advanceTo(at('20:20'));
    const put = await bot.press(ina, 'later', within(bot, 'nudge'));
    expect(put.text).toContain('put off');
    expect(put.text).not.toContain('Due now');
  });
});
