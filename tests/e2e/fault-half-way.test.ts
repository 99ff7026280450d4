import { afterAll, beforeAll, expect, it } from 'vitest';
import { ina, teo } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, lastOf, messagesOf, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);

it('a fault left half way is asked of whoever has the line and whoever began it, gone on with from there, and settles', async () => {
  const bot = await start({ mode: 'socket', redis, startMs: at('18:00') }, { names: ['Biscuit'] });
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  await bot.type(ina, 'zero Biscuit');
  await bot.type(ina, 'test Biscuit normal');
  await bot.type(teo, 'fault Biscuit flat');
  await bot.advanceTo(at('18:04'));
  expect(messagesOf(bot, 'nudge')).toEqual([]);

  await bot.advanceTo(at('18:05'));
  const nudge = lastOf(bot, 'nudge');
  expect(nudge.text).toMatch(
    /^Due now, with <@U0NURSEINA> and <@U0[A-Z]+>, who began on the fault: Biscuit \(left dorsal pedal\): fault left half way/,
  );
  expect(nudge.text).toContain('Fault flat since 18:00, at patient, begun by Teo Marchetti and left');
  expect(actionsOf(nudge).map((id) => id.split(':').slice(0, 2).join(':'))).toEqual(
    expect.arrayContaining(['open:fault', 'done:solved']),
  );
  const page = await bot.press(ina, 'open:fault', { message: nudge });
  expect(page.view?.spec.callback_id).toBe('fault');
  await bot.platform.close({ user: ina, viewId: page.view!.id });

  const end = await bot.press(ina, 'done:solved', { message: nudge });
  expect(end.text).toContain('Resolved 18:05');
  await bot.quiet();
  expect(lastOf(bot, 'nudge').text).toContain('Line fault: closed 18:05 by Ina Brandvold.');
});
