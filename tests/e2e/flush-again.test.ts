import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ina, teo } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, lastOf, place, within } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);

describe('a second flush', () => {
  it('is asked about on card, form and command, and recorded with one tap at the time it was told', async () => {
    const bot = await start({ mode: 'socket', redis, startMs: at('19:20') }, { names: ['Mochi'] });
    await place(bot, 'Mochi cat 4kg left dorsal pedal 24g manual');
    await bot.advanceTo(at('19:30'));
    const flushed = await bot.press(ina, 'done:flush', within(bot, 'card'));
    expect(flushed.text).toContain('flushed 0.5 mL (the usual), 19:30.');
    await bot.advanceTo(at('19:33'));

    const asked = await bot.press(teo, 'done:flush', within(bot, 'card'));
    expect(asked.text).toBe(
      'Not recorded yet: Mochi (left dorsal pedal) was flushed 3 min ago by Ina Brandvold, 0.5 mL. Again? That would add 0.5 mL.',
    );
    expect(actionsOf(asked.message!)).toEqual([expect.stringMatching(/^done:again:/)]);
    expect((await bot.line('Mochi')).flushCount).toBe(1);
    await bot.advanceTo(at('19:35'));
    const yes = await bot.press(teo, 'done:again', { message: asked.message! });
    expect(yes.text).toContain('flushed 0.5 mL (the usual), a second time, 19:33.');
    expect(await bot.line('Mochi')).toMatchObject({ flushCount: 2, flushedMl: 1 });

    const typed = await bot.type(ina, 'flush Mochi 1 mL');
    expect(typed.text).toMatch(
      /^Not recorded yet: Mochi .* was flushed 2 min ago by Teo Marchetti, .*add 1 mL\.$/,
    );
    const page = await bot.press(ina, 'open:card', within(bot, 'card'));
    await bot.press(ina, 'open:flush', { view: page.view! });
    const form = bot.platform.view(ina)!;
    await bot.platform.fill(form.id, { volume: '0.4' });
    await bot.platform.submit({ user: ina, viewId: form.id });
    // The question takes the form's place, with the volume to put right; a yes there records it.
    expect(JSON.stringify(bot.platform.view(ina)!.spec.blocks)).toMatch(/Not recorded yet: .* add 0\.4 mL\./);
    expect(await bot.line('Mochi')).toMatchObject({ flushCount: 2, flushedMl: 1 });
    const sent = await bot.submit(ina, { volume: '0.3' });
    expect(sent.answer?.text).toContain('flushed 0.3 mL, a second time, 19:35.');
    expect(await bot.line('Mochi')).toMatchObject({ flushCount: 3, flushedMl: 1.3 });
  });

  it('of a reminder that was done is asked about, and “All done” skips what was flushed and says so', async () => {
    const bot = await start({ mode: 'socket', redis, startMs: at('18:00') }, { names: ['Biscuit'] });
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await bot.type(ina, 'zero Biscuit');
    await bot.type(ina, 'test Biscuit normal');
    await bot.type(ina, 'flush Biscuit');
    await bot.advanceTo(at('19:00'));
    const nudge = lastOf(bot, 'nudge');
    await bot.type(teo, 'flush Biscuit');
    await bot.advanceTo(at('19:02'));
    bot.slowly();
    const done = await bot.press(ina, 'done:', { message: nudge }, { stale: nudge.blocks! });
    expect(done.text).toMatch(
      /^Recorded for Biscuit .*zeroed and fast-flush test: normal, 19:02\..*\nNothing recorded for Biscuit .*: flush was recorded 19:00 by Teo Marchetti\./,
    );
    expect((await bot.line('Biscuit')).flushCount).toBe(2);
    await bot.advanceTo(at('20:00'));
    const next = lastOf(bot, 'nudge');
    await bot.type(teo, 'flush Biscuit');
    const atOnce = await bot.press(ina, 'done:', { message: next }, { stale: next.blocks! });
    expect(atOnce.text).toMatch(/^Teo Marchetti already recorded that, 20:00: .* It’s recorded once\.$/);
    expect(actionsOf(atOnce.message!)).toEqual([expect.stringMatching(/^done:again:/)]);
    await bot.advanceTo(at('20:02'));
    bot.slowly();
    const again = await bot.press(ina, 'done:', { message: next }, { stale: next.blocks! });
    expect(again.text).toMatch(
      /^Not recorded yet: Biscuit .* was flushed 2 min ago by Teo Marchetti, 2 mL\. Again\?/,
    );
    expect((await bot.line('Biscuit')).flushCount).toBe(3);
  });
});
