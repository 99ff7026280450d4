import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Json } from '../../src/practice/platform/message.ts';
import { type BotOnPlatform, buttonsIn, ina, suvi, teo } from '../support/bot-on-platform.ts';
import { botTests, lastOf, place, within } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);

/** Biscuit's flush is due and asked for at 20:20. */
async function flushDue() {
  const bot = await start({ mode: 'socket', redis, startMs: at('19:20') });
  await bot.type(ina, 'oncall @suvi');
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  await bot.type(ina, 'zero Biscuit');
  await bot.type(ina, 'test Biscuit normal');
  await bot.advanceTo(at('20:20'));
  return bot;
}

const shown = (bot: BotOnPlatform, user = ina) => JSON.stringify(bot.platform.view(user)?.spec);

/** Opens *Cannot…* and taps a reason in it. */
async function tapReason(bot: BotOnPlatform, reason: string) {
  const { view } = await bot.press(ina, 'cannot', within(bot, 'nudge'));
  const button = buttonsIn(view!.spec.blocks as Json[]).find(({ text }) => (text as Json).text === reason);
  await bot.platform.press({ user: ina, actionId: String(button?.action_id), viewId: view!.id });
  return view!;
}

describe('what cannot be done', () => {
  it.each([
    ['Patient won’t allow it', 'patient won’t allow it'],
    ['No hands free', 'no hands free'],
  ])('is told with one tap, %s: recorded, and the clinician hears of it at once', async (reason, words) => {
    const bot = await flushDue();
    const form = await tapReason(bot, reason);
    await bot.platform.until('the outcome in the form’s place', () =>
      shown(bot).includes('Recorded for Biscuit'),
    );
    expect(bot.platform.view(ina)?.id).toBe(form.id);
    expect((await bot.line('Biscuit')).marks.flush?.cannot).toMatchObject({ by: ina, reason: words });
    await bot.look();
    await bot.quiet();
    expect(lastOf(bot, 'escalation', suvi).text).toContain(`Ina Brandvold could not: “${words}”`);
  });

  it('is on the page below, too, for whoever goes back to it', async () => {
    const bot = await flushDue();
    await bot.type(ina, 'mine');
    const list = await bot.platform.until('the list', () => bot.platform.view(ina));
    const cannot = buttonsIn(list.spec.blocks as Json[]).find(
      ({ text }) => (text as Json).text === 'Cannot…',
    );
    await bot.platform.press({ user: ina, actionId: String(cannot?.action_id), viewId: list.id });
    const form = await bot.platform.until('the form', () => {
      const top = bot.platform.view(ina);
      return top?.spec.callback_id === 'cannot' ? top : undefined;
    });
    const why = buttonsIn(form.spec.blocks as Json[]).find(
      ({ text }) => (text as Json).text === 'No hands free',
    );
    await bot.platform.press({ user: ina, actionId: String(why?.action_id), viewId: form.id });
    await bot.platform.until('the answer', () => shown(bot).includes('Recorded for Biscuit'));
    await bot.quiet();
    await bot.platform.close({ user: ina, viewId: form.id });
    expect(shown(bot)).toContain('no hands free');
  });

  it('because the line looks wrong leads to the path of the fault, and records nothing before', async () => {
    const bot = await flushDue();
    const before = (await bot.line('Biscuit')).version;
    await tapReason(bot, 'Line looks wrong…');
    await bot.platform.until(
      'the choice of signs',
      () => bot.platform.view(ina)?.spec.callback_id === 'fault',
    );
    expect(shown(bot)).toContain('Flat');
    expect((await bot.line('Biscuit')).version).toBe(before);
  });

  it('because the patient is in theatre leads to who has it there', async () => {
    const bot = await flushDue();
    await tapReason(bot, 'In theatre or imaging…');
    await bot.platform.until('the form', () => bot.platform.view(ina)?.spec.callback_id === 'tell:moved');
    expect(shown(bot)).toContain('theatre');
  });

  it('is still told in words', async () => {
    const bot = await flushDue();
    await bot.press(ina, 'cannot', within(bot, 'nudge'));
    const sent = await bot.submit(ina, { reason: 'no blood comes back' });
    expect(sent.answer?.text).toContain('Recorded for Biscuit');
  });
});

describe('“Did you mean Biscuit?”', () => {
  it('has the button that does what was typed', async () => {
    const bot = await flushDue();
    const said = await bot.type(teo, 'flush Biscit 1 mL');
    expect(said.text).toContain('Did you mean Biscuit?');
    expect((await bot.line('Biscuit')).last.flushed).toBeUndefined();
    const yes = buttonsIn((said.message?.blocks ?? []) as Json[]).map(({ text }) => (text as Json).text);
    expect(yes).toEqual(['Yes: flush Biscuit 1 mL']);
    const done = await bot.press(teo, 'done:meant', { message: said.message! });
    expect(done.text).toMatch(/^Recorded for Biscuit \(left dorsal pedal\): flushed 1 mL, 20:20\./);
  });

  it('and “Did you mean flush?” as well', async () => {
    const bot = await flushDue();
    const said = await bot.type(teo, 'flsh Biscuit 1 mL');
    const done = await bot.press(teo, 'done:meant', { message: said.message! });
    expect(done.text).toMatch(/^Recorded for Biscuit .*flushed 1 mL/);
  });
});

describe('a double tap', () => {
  it('is recorded once and answered once', async () => {
    const bot = await flushDue();
    const message = lastOf(bot, 'nudge');
    const { version } = await bot.line('Biscuit');
    const before = bot.platform.ephemerals(ina).length;
    const action = buttonsIn(message.blocks!).find(({ action_id }) => String(action_id).startsWith('done:'))!;
    const tap = {
      user: ina,
      actionId: String(action.action_id),
      messageTs: message.ts,
      stale: message.blocks!,
    };
    await Promise.all([bot.platform.press(tap), bot.platform.press(tap)]);
    await bot.quiet();
    await bot.platform.until('an answer', () => bot.platform.ephemerals(ina).length > before);
    await bot.quiet();
    expect((await bot.line('Biscuit')).version).toBe(version + 1);
    expect(bot.platform.ephemerals(ina)).toHaveLength(before + 1);
  });
});

it('the standing caution stands on card and help, and not on every answer', async () => {
  const bot = await flushDue();
  for (const words of ['due', 'round', 'flush Biscuit 1 mL'])
    expect((await bot.type(ina, words)).text).not.toContain('not a monitor');
  expect((await bot.type(ina, 'help flush')).text).toContain('not a monitor');
  expect(lastOf(bot, 'card').text).toContain('not a monitor');
});
