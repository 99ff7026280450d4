import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { screenGroups } from '../../src/chat/help/screens.ts';
import { type BotOnPlatform, ina, suvi, teo } from '../support/bot-on-platform.ts';
import { botTests, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();

/** What an answer says when it took nothing. */
const refusal = /^(?:Not |Nothing was|No line|No verb|I don’t know|“|Which)/;

/** A ward with lines of every kind; the first two share their name. */
async function ward(): Promise<BotOnPlatform> {
  const bot = await start({ mode: 'socket', redis }, { names: ['Mochi'] });
  await place(bot, 'Mochi cat 4.2kg median caudal 24g manual');
  await place(bot, 'Mochi cat 4.2kg left dorsal pedal 24g manual');
  await place(bot, '"Flush" dog 12kg right radial 22g manual');
  await place(bot, 'Gone dog 9kg left femoral 22g manual');
  await place(bot, 'Bo dog 31kg right femoral 20g manual');
  await bot.type(ina, 'remove Gone planned tip whole');
  return bot;
}

/** Types it, and gives what was said; forms that it opened are closed again. */
async function type(bot: BotOnPlatform, words: string): Promise<{ said: string; form: string | null }> {
  const { text, view } = await bot.type(ina, words);
  const form = view ? JSON.stringify(view.spec) : null;
  for (let open = bot.platform.view(ina); open; open = bot.platform.view(ina))
    await bot.platform.close({ user: ina, viewId: open.id });
  return { said: form === null ? text : '', form };
}

/** The example as it would be typed, with the people of this ward where it leaves their names open. */
const withPeople = (example: string) =>
  example
    .replace('@name by @name', `<@${teo}> by <@${suvi}>`)
    .replaceAll('@name', `<@${teo}>`)
    .replace(/^\/artline /, '');

describe('an example', () => {
  it.each([
    'flush Mochi tail foo',
    'flush Flush foo',
    'zero Flush foo',
    'level Flush ok',
    'test Flush nomral',
    'reading Flush bp 118/64 mmHg',
    'sample Flush a bit',
    'check Flush swolen',
    'redress Mochi left dorsal pedal itchy',
    'moved Flush to cage 3',
    'source Flush new thing',
    'remove Flush because',
    'pulse Gone strongish',
    'assign Flush <@U0NURSETEO> tonight',
    'cover ina by teo',
    'cover <@U0NURSEINA> by <@U0NURSETEO> until 7',
    'audit 90',
    'audit last week',
    'export cvs',
    'zreo Bo open to air 3 mmHg',
    'Mochi zero',
    'assign <@U0NURSETEO>',
  ])('in the refusal of “%s” is taken when it is typed', async (words) => {
    const bot = await ward();
    const { said } = await type(bot, words);
    expect(said).toMatch(refusal);
    const examples = [
      ...said.matchAll(
        /(?:Write it like this: |Did you mean |for example |first: )(\/artline [^?;“\n]*?)(?:[.?;,](?: |$)|, or |$)/g,
      ),
    ].map(([, example = '']) => example);
    const spans = /for example (90d|csv)/.exec(said)?.[1];
    const verb = words.split(' ')[0];
    const advised = examples.length > 0 ? examples : spans ? [`/artline ${verb} ${spans}`] : [];
    expect(advised, said).not.toEqual([]);
    for (const example of advised) {
      const taken = await type(bot, withPeople(example));
      expect(taken.said, example).not.toMatch(refusal);
    }
  });

  // What is told without its unit is refused with the unit to add: written so, it is taken.
  it.each([
    'flush Flush 1.5',
    'level Flush 8 below',
    'sample Flush 2',
    'reading Flush 118/64',
    'reading Flush 118/64/82',
    'zero Flush open to air 3',
  ])('that adds the unit to “%s” is taken', async (words) => {
    const bot = await ward();
    const { said } = await type(bot, words);
    const [, bare = '', whole = ''] = /“([^”]+)” has no unit\. Write (.+?)(?: or |\.$|\. )/.exec(said) ?? [];
    expect(whole).not.toBe('');
    expect((await type(bot, words.replace(bare, whole))).said).toMatch(/^Recorded for Flush/);
  });

  it.each(
    screenGroups.flatMap(({ screens }) => screens.map(({ verb, example }) => [verb, example] as const)),
  )('in the help of %s is taken when it is typed: %s', async (verb, example) => {
    const bot = await start({ mode: 'socket', redis }, { names: ['Biscuit'] });
    if (verb !== 'place' && verb !== 'attempt')
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    if (verb === 'targets') await bot.type(ina, 'oncall @ina');
    if (verb === 'pulse') await bot.type(ina, 'remove Biscuit planned, tip whole');
    const { said, form } = await type(bot, withPeople(example));
    expect(said).not.toMatch(refusal);
    expect(form ?? '').not.toContain('From what you typed');
    expect(said + (form ?? '')).not.toBe('');
  });
});
