import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Json } from '../../src/practice/platform/message.ts';
import { buttonsIn, ina, teo } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, filledIn, lastOf, place, within } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);

const begin = async (more = '') => {
  const bot = await start({ mode: 'socket', redis, startMs: at('19:20') }, { names: ['Mochi'] });
  await place(bot, `Mochi cat 4kg left dorsal pedal 24g continuous bag 250 mL 3 mL/h${more}`);
  return bot;
};

describe('heparin stronger than the ward’s', () => {
  it('typed, is asked about with all that was told, and recorded with one tap by whoever looked again', async () => {
    const bot = await begin();
    const asked = await bot.type(ina, 'source Mochi changed bag 500 mL 3 mL/h heparin 10 U/mL');
    expect(asked.text).toBe(
      'Not recorded yet: Mochi (left dorsal pedal). *Heparin 10 U/mL* for an animal of 4 kg: this ward uses up to 1 U/mL below 5 kg. Look at the label again. Is it right?',
    );
    expect((await bot.line('Mochi')).source).toMatchObject({ volumeMl: 250 });
    expect(actionsOf(asked.message!)).toEqual([
      expect.stringMatching(/^done:again:/),
      expect.stringMatching(/^open:source:/),
    ]);
    const change = await bot.press(ina, 'open:source', { message: asked.message! });
    expect(filledIn(change.view!)).toMatchObject({
      volume: '500',
      rate: '3',
      heparin: '10',
      what: 'changed',
    });

    const yes = await bot.press(ina, 'done:again', { message: asked.message! });
    expect(yes.text).toContain('pressure bag changed: 500 mL at 3 mL/h, heparin 10 U/mL, 19:20.');
    expect(yes.text).toContain(
      '*Heparin 180 U/kg/day, the ward’s limit is 100: it can make the animal bleed. Look for ooze, bruises and old puncture sites, and ask the clinician.*',
    );
    expect((await bot.line('Mochi')).source).toMatchObject({ volumeMl: 500, heparinSeenBy: ina });
    await bot.quiet();
    expect(JSON.stringify(lastOf(bot, 'card').blocks)).toContain('it can make the animal bleed');
  });

  it('in a form, is asked about in its place, with who looked, and Change brings all of it back', async () => {
    const bot = await begin();
    const page = await bot.press(ina, 'open:card', within(bot, 'card'));
    await bot.press(ina, 'open:source', { view: page.view! });
    const told = { what: 'changed', volume: '500', rate: '3', heparin: '10' };
    // What takes a form's place is no answer to wait for: it is there when the submission is answered.
    const send = async (values: Record<string, string>) => {
      const view = bot.platform.view(ina)!;
      await bot.platform.fill(view.id, values);
      await bot.platform.submit({ user: ina, viewId: view.id });
      return bot.platform.view(ina)!;
    };
    const asked = await send(told);
    expect(asked.spec.callback_id).toBe('sure');
    expect(filledIn(asked)).toEqual({ seenBy: ina });
    expect((await bot.line('Mochi')).source).toMatchObject({ volumeMl: 250 });
    const change = buttonsIn(asked.spec.blocks as Json[])[0];
    await bot.platform.press({ user: ina, actionId: String(change?.action_id), viewId: asked.id });
    await bot.platform.until(
      'the form again',
      () => bot.platform.view(ina)?.spec.callback_id === 'tell:source',
    );
    expect(filledIn(bot.platform.view(ina)!)).toMatchObject(told);
    await send({});
    const recorded = await bot.submit(ina, { seenBy: teo });
    expect(recorded.answer?.text).toContain(
      'pressure bag changed: 500 mL at 3 mL/h, heparin 10 U/mL, 19:20.',
    );
    expect((await bot.line('Mochi')).source).toMatchObject({ volumeMl: 500, heparinSeenBy: teo });
  });
});

describe('an animal that may bleed', () => {
  it('is told of with heparin in its flush at each change of source, before and after, and on the card', async () => {
    const bot = await begin(' bleeding disorder');
    await bot.quiet();
    const card = () => JSON.stringify(lastOf(bot, 'card').blocks);
    expect(card()).toContain('*Bleeding disorder: nobody has said whether there’s heparin in the flush*');
    const page = await bot.press(ina, 'open:card', within(bot, 'card'));
    const form = await bot.press(ina, 'open:source', { view: page.view! });
    expect(JSON.stringify(form.view!.spec.blocks)).toContain(
      '*Bleeding disorder: ask the clinician before heparin goes into the flush.*',
    );
    const changed = await bot.type(ina, 'source Mochi changed bag 500 mL 3 mL/h heparin 1 U/mL');
    const caution =
      '*Bleeding disorder, and heparin 1 U/mL in the flush: ask the clinician whether plain saline will do';
    expect(changed.text).toContain(`${caution}.*`);
    await bot.quiet();
    expect(card()).toContain(`${caution}*`);
    await bot.type(ina, 'source Mochi changed bag 500 mL 3 mL/h heparin 0 U/mL');
    await bot.quiet();
    expect(card()).not.toContain('leeding disorder, and heparin');
    expect(card()).not.toContain('nobody has told whether');
  });
});

describe('a line registered with heparin in its flush', () => {
  it('says the caution when it is registered, and asks for a second look at strong heparin before', async () => {
    const bot = await start({ mode: 'socket', redis, startMs: at('19:20') }, { names: ['Mochi'] });
    await bot.type(ina, 'place Mochi cat 4kg left dorsal pedal 24g manual bleeding disorder');
    const view = bot.platform.view(ina)!;
    await bot.platform.fill(view.id, { heparinUPerMl: '10' });
    await bot.platform.submit({ user: ina, viewId: view.id });
    const anew = bot.platform.view(ina)!;
    expect(JSON.stringify(anew.spec.blocks)).toContain(
      '*Not registered yet.* *Heparin 10 U/mL* for an animal of 4 kg: this ward uses up to 1 U/mL below 5 kg.',
    );
    expect(filledIn(anew)).toMatchObject({ name: 'Mochi', heparinUPerMl: '10', heparinSeenBy: ina });
    const sent = await bot.submit(ina, { heparinSeenBy: teo });
    expect(sent.answer?.text).toContain(
      '*Bleeding disorder, and heparin 10 U/mL in the flush: ask the clinician whether plain saline will do.*',
    );
    expect((await bot.line('Mochi')).source).toMatchObject({ heparinUPerMl: 10, heparinSeenBy: teo });
  });
});
