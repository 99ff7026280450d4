import { afterAll, beforeAll, expect, test } from 'vitest';
import { bloodOfAnimal } from '../../src/domain/blood/blood-loss.ts';
import { type BotOnPlatform, ina, minute, wardId } from '../support/bot-on-platform.ts';
import { amend, botTests, filledIn, goOn, lastOf, messagesOf, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());

const start = botTests();

/** Registers a line by words and answers whose it is. */
async function placeAsked(bot: BotOnPlatform, words: string, whose: 'same' | 'another') {
  bot.clock.jumpTo(bot.clock.now() + 2 * minute);
  await bot.type(ina, `place ${words}`);
  const sent = await bot.submit(ina);
  expect(sent.errors).toEqual({});
  const page = bot.platform.view(ina);
  expect(page?.spec.callback_id).toBe('whose');
  const answered = await bot.submit(ina, { whose });
  await bot.quiet();
  return { page: JSON.stringify(page?.spec.blocks), said: answered.answer?.text ?? '' };
}

test('a second line under a name that is here is asked after; the same animal’s blood counts over both', async () => {
  const bot = await start({ mode: 'socket', redis }, { names: ['Miso'] });
  await place(bot, 'Miso cat 4kg left dorsal pedal 24g manual');
  const { page, said } = await placeAsked(bot, 'Miso cat 3.8kg median caudal 24g manual', 'same');
  expect(page).toContain('*Miso* (cat, 4 kg; left dorsal pedal since 19:20) is on this ward.');
  expect(page).toContain('Weighs 3.8 kg from now on, not 4.');
  expect(said).toContain(
    'Miso has had 2 lines in this stay: blood, flush fluid and cautions count together.',
  );
  // The first line's card has the weight told with the second.
  expect(messagesOf(bot, 'card').map(({ blocks }) => JSON.stringify(blocks).includes('cat, 3.8 kg'))).toEqual(
    [true, true],
  );

  await bot.type(ina, 'sample Miso left dorsal pedal 3 mL flushed');
  bot.clock.jumpTo(bot.clock.now() + 5 * minute);
  const drawn = await bot.type(ina, 'sample Miso median caudal 2.2 mL flushed');
  expect(drawn.text).toContain('5.2 mL of blood lost in 24 h over 2 lines, 2.5 % of the circulating volume');

  // Another bot on the same record, and a record that lost what is only kept beside the logs.
  await bot.restart();
  const { lines } = await bot.record.readWard(wardId);
  expect(lines.map((line) => bloodOfAnimal(line, bot.clock.now()).ml)).toEqual([5.2, 5.2]);
});

test('another of the name is called so that everything tells them apart, and its totals are its own', async () => {
  const bot = await start({ mode: 'socket', redis }, { names: ['Miso'] });
  await place(bot, 'Miso cat 4kg left dorsal pedal 24g manual');
  const { said } = await placeAsked(bot, 'Miso cat 5kg right dorsal pedal 24g manual', 'another');
  expect(said).toMatch(/^Registered: Miso 2 \(right dorsal pedal\)\./);
  await bot.type(ina, 'sample Miso left dorsal pedal 3 mL flushed');
  const drawn = await bot.type(ina, 'sample Miso 2 2 mL flushed');
  expect(drawn.text).toContain('Miso 2');
  expect(drawn.text).toContain('2 mL of blood lost in 24 h, 0.7 % of the circulating volume');
});

test('two that were taken for two are one, and one that was taken for another is told apart, by putting the placing right', async () => {
  const bot = await start({ mode: 'socket', redis }, { names: ['Miso', 'Mochi'] });
  await place(bot, 'Miso cat 4kg left dorsal pedal 24g manual');
  await place(bot, 'Mochi cat 3kg median caudal 24g manual');
  const of = async (name: string) => (await bot.line(name)).id;
  const [miso, mochi] = [await of('Miso'), await of('Mochi')];
  bot.clock.jumpTo(bot.clock.now() + 2 * minute);
  await bot.type(ina, 'amend Mochi');
  expect((await amend(bot, ina, /placed/, { whose: miso })).errors).toEqual({});
  const both = await bot.record.readWard(wardId);
  expect(both.lines.map(({ patient, animal }) => [patient.name, patient.weightKg, animal?.id])).toEqual([
    ['Miso', 4, miso],
    ['Miso', 4, miso],
  ]);
  bot.clock.jumpTo(bot.clock.now() + 2 * minute);
  await bot.type(ina, 'amend Miso median caudal');
  expect((await amend(bot, ina, /placed/, { whose: 'apart' })).errors).toEqual({});
  const apart = await bot.record.readLines(wardId, [miso, mochi]);
  expect(apart.map(({ patient, animal }) => [patient.name, animal])).toEqual([
    ['Miso', undefined],
    ['Miso 2', undefined],
  ]);
});

test('a cat and a dog of one name are never one animal', async () => {
  const bot = await start({ mode: 'socket', redis }, { names: ['Miso'] });
  await place(bot, 'Miso cat 4kg left dorsal pedal 24g manual');
  const { page, said } = await placeAsked(bot, 'Miso dog 20kg right dorsal pedal 20g manual', 'another');
  expect(page).toContain('*dog is not cat.* The same animal?');
  expect(page).not.toContain('The same Miso');
  expect(said).toContain('Miso 2');
});

test('another line of an animal is registered from its page with what is known of it, and is asked of no more', async () => {
  const bot = await start({ mode: 'socket', redis }, { names: ['Miso'] });
  await bot.type(ina, 'oncall @suvi');
  await place(bot, 'Miso cat 4.2kg left dorsal pedal 24g manual');
  const { id } = await bot.line('Miso');
  bot.clock.jumpTo(bot.clock.now() + 2 * minute);
  const page = await bot.press(ina, 'open:card', { message: lastOf(bot, 'card') });
  const form = await bot.press(ina, 'open:another', { view: page.view! });
  expect(form.view?.spec.callback_id).toBe('place');
  expect(filledIn(form.view!)).toMatchObject({ name: 'Miso', species: 'cat', weightKg: '4.2' });
  expect(JSON.stringify(form.view?.spec.blocks)).toContain('*Another line for Miso.*');
  const unseen = await bot.submit(ina, { site: 'median caudal', gauge: '24', cautions: [] });
  expect(Object.keys(unseen.errors)).toEqual(['cautions']);
  const sent = await bot.submit(ina, { cautions: ['cat', 'walking patient'] });
  expect(sent.errors).toEqual({});
  expect(sent.answer?.text).toMatch(
    /^Registered: Miso \(median caudal\)\. Miso has had 2 lines in this stay/,
  );
  await bot.quiet();
  const { lines } = await bot.record.readWard(wardId);
  expect(lines.map(({ animal }) => animal?.id)).toEqual([id, id]);

  // A caution told on one line counts on both, and goes from both.
  const cautions = async () =>
    (await bot.record.readWard(wardId)).lines.map(({ screening }) => screening?.cautions);
  expect(await cautions()).toEqual([
    ['walking patient', 'cat'],
    ['walking patient', 'cat'],
  ]);
  await bot.type(ina, 'amend Miso left dorsal pedal');
  await goOn(bot, ina, { entry: '1' });
  expect(JSON.stringify(bot.platform.view(ina)?.spec.blocks)).toContain(
    'From this animal’s other line: walking patient, cat. Untick one here and it’s off for all its lines.',
  );
  const put = await bot.submit(ina, { cautions: ['cat'] });
  expect(put.errors).toEqual({});
  expect(await cautions()).toEqual([['cat'], ['cat']]);
});

test('words for another line of an animal that is here have its weight filled in, and still ask whose it is', async () => {
  const bot = await start({ mode: 'socket', redis }, { names: ['Miso'] });
  await place(bot, 'Miso cat 4.2kg left dorsal pedal 24g manual');
  bot.clock.jumpTo(bot.clock.now() + 2 * minute);
  const form = await bot.type(ina, 'place Miso median caudal 24g manual');
  expect(filledIn(form.view!)).toMatchObject({ name: 'Miso', species: 'cat', weightKg: '4.2' });
  expect(JSON.stringify(form.view?.spec.blocks)).toContain(
    'Miso is on this ward: species and weight (4.2 kg) filled in from its other line.',
  );
  await bot.submit(ina);
  expect(bot.platform.view(ina)?.spec.callback_id).toBe('whose');
});

test('a line by thumb alone, from the menu over the page before placing, is asked whose it is and registered', async () => {
  const bot = await start({ mode: 'socket', redis }, { names: ['Miso'] });
  await place(bot, 'Miso cat 4.2kg left dorsal pedal 24g manual');
  bot.clock.jumpTo(bot.clock.now() + 2 * minute);
  const menu = await bot.type(ina, '');
  await bot.press(ina, 'open:place', { view: menu.view! });
  await bot.submit(ina, { cautions: ['cat'] });
  await goOn(bot, ina, {
    name: 'Miso',
    species: 'cat',
    weightKg: '4.2',
    site: 'median caudal',
    gauge: '24',
  });
  expect(bot.platform.view(ina)?.spec.callback_id).toBe('whose');
  const sent = await bot.submit(ina, { whose: 'same' });
  expect(sent.answer?.text).toMatch(/^Registered: Miso \(median caudal\)\. Miso has had 2 lines/);
});
