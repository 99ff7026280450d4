import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Json } from '../../src/practice/platform/message.ts';
import { buttonsIn, ina, wardId } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, filledIn, place, within } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();

const begin = async () => {
  const startMs = Date.parse('2026-11-24T19:20:00Z');
  const bot = await start({ mode: 'socket', redis, startMs }, { names: ['Mochi'] });
  await place(bot, 'Mochi cat 4.2kg left dorsal pedal 24g manual');
  return bot;
};
/** What the latest flush by hand holds. */
const flushOf = async (bot: Awaited<ReturnType<typeof begin>>) => {
  const log = await bot.record.readLog(wardId, (await bot.line('Mochi')).id);
  return log.findLast(({ kind }) => kind === 'flushed')?.body;
};
const question =
  'Not recorded yet: Mochi (left dorsal pedal). *20 mL* is a lot for an animal of 4.2 kg: this ward’s usual flush is 0.5 mL. Look at the syringe again. Is it right?';

describe('a flush that’s large for the animal', () => {
  it('typed, is asked about with all that was told, and recorded with one tap by whoever looked again', async () => {
    const bot = await begin();
    const asked = await bot.type(ina, 'flush Mochi 20 mL heparin 1 U/mL');
    expect(asked.text).toBe(question);
    expect((await bot.line('Mochi')).flushCount).toBe(0);
    expect(actionsOf(asked.message!)).toEqual([
      expect.stringMatching(/^done:again:/),
      expect.stringMatching(/^open:flush:/),
    ]);
    const change = await bot.press(ina, 'open:flush', { message: asked.message! });
    expect(filledIn(change.view!)).toMatchObject({ volume: '20', heparin: '1' });
    const yes = await bot.press(ina, 'done:again', { message: asked.message! });
    expect(yes.text).toContain('flushed 20 mL, heparin 1 U/mL, 19:20.');
    expect(await flushOf(bot)).toEqual({ volumeMl: 20, heparinUPerMl: 1, volumeSeenBy: ina });
    // What's usual for a cat is asked about by nobody.
    await bot.advanceTo(Date.parse('2026-11-24T20:20:00Z'));
    expect((await bot.type(ina, 'flush Mochi 2 mL')).text).toMatch(/^Recorded for Mochi .*flushed 2 mL/);
  });

  it('in a form, is asked about in its place with the volume to put right; one that’s large too is asked about again', async () => {
    const bot = await begin();
    const page = await bot.press(ina, 'open:card', within(bot, 'card'));
    await bot.press(ina, 'open:flush', { view: page.view! });
    const send = async (values: Record<string, string>) => {
      const view = bot.platform.view(ina)!;
      await bot.platform.fill(view.id, values);
      await bot.platform.submit({ user: ina, viewId: view.id });
      return bot.platform.view(ina)!;
    };
    const asked = await send({ volume: '20', heparin: '1' });
    expect(asked.spec.callback_id).toBe('sure');
    expect(JSON.stringify(asked.spec.blocks)).toContain('is a lot for an animal of 4.2 kg');
    expect(filledIn(asked)).toEqual({ volume: '20' });
    expect(buttonsIn(asked.spec.blocks as Json[])).toEqual([]);
    const again = await send({ volume: '15' });
    expect(again.spec.callback_id).toBe('sure');
    expect(JSON.stringify(again.spec.blocks)).toContain('*15 mL* is a lot');
    const sent = await bot.submit(ina, { volume: '0.2' });
    expect(sent.answer?.text).toContain('flushed 0.2 mL, heparin 1 U/mL, 19:20.');
    expect(await flushOf(bot)).toEqual({ volumeMl: 0.2, heparinUPerMl: 1 });
  });
});
