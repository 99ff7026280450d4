import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { east, ina, teo } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, goOn, lastOf, messagesOf, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);

async function begin() {
  const bot = await start({ mode: 'socket', redis, startMs: at('18:00') }, { names: ['Biscuit', 'Mochi'] });
  await bot.type(ina, 'oncall @suvi');
  return bot;
}

const cards = (bot: Awaited<ReturnType<typeof begin>>) => messagesOf(bot, 'card').map(({ text }) => text);

describe('a line registered in error', () => {
  it('is taken back from the answer, leaves the card and the handover, and may be registered anew in the same minute', async () => {
    const bot = await begin();
    await bot.type(ina, 'place Biscuit dog 28kg left dorsal pedal 20g manual');
    const sent = await bot.submit(ina);
    const told = sent.answer?.message;
    expect(told && actionsOf(told)).toEqual(
      expect.arrayContaining([expect.stringMatching(/^done:undo:/), expect.stringMatching(/^open:amend:/)]),
    );
    const back = await bot.press(ina, 'done:undo', { message: told! });
    expect(back.text).toBe(
      'Taken back: Biscuit (left dorsal pedal) is marked as registered in error. You won’t be asked about it again.',
    );
    await bot.quiet();
    expect(cards(bot)).toEqual([
      'Biscuit, left dorsal pedal: registered in error (Ina Brandvold, 18:00: taken back at once). The line was never there; nothing recorded on it counts.',
    ]);
    expect(actionsOf(lastOf(bot, 'card'))).toEqual([]);
    expect((await bot.type(ina, 'handover')).text).toContain('no arterial line');
    // The right weight this time: no question whose it is, since no such animal is here.
    await place(bot, 'Biscuit dog 18kg left dorsal pedal 20g manual');
    expect(cards(bot)).toHaveLength(2);
    await bot.advanceTo(at('19:00'));
    const nudge = lastOf(bot, 'nudge');
    expect(actionsOf(nudge).filter((action) => action.startsWith('later:'))).toHaveLength(1);
  });

  it('is asked about plainly where care was recorded of it since, and refuses what nobody had seen', async () => {
    const bot = await begin();
    await bot.type(ina, 'place Biscuit dog 28kg left dorsal pedal 20g manual');
    const sent = await bot.submit(ina);
    await bot.quiet();
    await bot.type(teo, 'flush Biscuit 2 mL');
    const refused = await bot.press(ina, 'done:undo', { message: sent.answer!.message! });
    expect(refused.text).toMatch(
      /^Not taken back: an entry has been recorded on Biscuit .* since, the latest by Teo Marchetti at 18:00\./,
    );
    expect(cards(bot)[0]).not.toContain('registered in error');

    const form = await bot.type(ina, 'amend Biscuit registered in error');
    expect(form.view?.spec.callback_id).toBe('inerror');
    expect(JSON.stringify(form.view?.spec.blocks)).toMatch(/Recorded on it since.*flushed 2 mL by /);
    const unsure = await bot.submit(ina, { why: 'registered twice' });
    expect(unsure.errors).toHaveProperty('sure');
    // Somebody draws blood from it while the form is open: that was not seen.
    await bot.type(teo, 'sample Biscuit 3 mL discard 2 mL returned flushed');
    const late = await bot.submit(ina, { why: 'registered twice', sure: ['none'] });
    expect(JSON.stringify(late.errors)).toContain('an entry has been recorded on Biscuit');

    await bot.type(ina, 'amend Biscuit registered in error');
    const struck = await bot.submit(ina, { why: 'registered twice', sure: ['none'] });
    expect(struck.answer?.text).toMatch(
      /^Recorded for Biscuit \(left dorsal pedal\): registered in error, 18:00\. Nothing recorded on it counts/,
    );
    await bot.quiet();
    expect(JSON.stringify(lastOf(bot, 'card').blocks)).toContain('registered twice');
    const dead = await bot.type(teo, 'flush Biscuit');
    expect(dead.text).toMatch(/^No line here is called “Biscuit”/);

    // Taken back in its turn, the line stands as it was, card and all.
    await bot.press(ina, 'done:undo', { message: struck.answer!.message! });
    await bot.quiet();
    expect(cards(bot)).toEqual([expect.not.stringContaining('registered in error')]);
    expect((await bot.line('Biscuit')).flushCount).toBe(2);
  });

  it('is reached by thumb from the form that puts the placing right', async () => {
    const bot = await begin();
    await place(bot, 'Mochi cat 4.2kg tail 24g manual');
    await bot.type(ina, 'amend Mochi');
    await goOn(bot, ina, { entry: '1' });
    const open = bot.platform.view(ina);
    expect(open?.spec.callback_id).toBe('amend');
    const { id } = await bot.line('Mochi');
    await bot.platform.press({ user: ina, actionId: `open:inerror:${id}`, viewId: open!.id });
    await bot.platform.until(
      'the question whether it was registered in error',
      () => bot.platform.view(ina)?.spec.callback_id === 'inerror',
    );
    const struck = await bot.submit(ina, { why: 'another reason', words: 'It was the vein after all' });
    expect(struck.answer?.text).toContain('registered in error');
    await bot.quiet();
    expect(JSON.stringify(bot.platform.messages(east))).toContain('It was the vein after all');
  });
});
