import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ina, suvi } from '../support/bot-on-platform.ts';
import { botTests, lastOf, messagesOf, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);
const begin = async () => {
  const bot = await start({ mode: 'socket', redis, startMs: at('19:20') }, { names: ['Biscuit'] });
  await bot.type(ina, 'oncall @suvi');
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  return bot;
};

// Systolic of 100 mmHg or more after a head injury: a review of small-animal head trauma (read).
describe('targets', () => {
  it('typed by the clinician stand on card and due list, call by a reading the ward’s limits would pass, and end', async () => {
    const bot = await begin();
    const told = await bot.type(
      suvi,
      'targets Biscuit map 80-110 sap from 100 until 23:00 reason head injury',
    );
    expect(told.text).toMatch(
      /Recorded for Biscuit .*targets mean 80 to 110, systolic 100 or above mmHg: head injury, 19:20\. Until 23:00 readings are checked against these/,
    );
    await bot.quiet();
    expect(lastOf(bot, 'card').text).toContain(
      'Targets mean 80 to 110, systolic 100 or above mmHg until 23:00 by Dr Suvi Aaltola: “head injury”.',
    );
    expect((await bot.type(ina, 'due')).text).toContain('Targets end 23:00');
    const low = await bot.type(ina, 'reading Biscuit 120/60 mean 74 mmHg 100 /min');
    expect(low.text).toContain('Mean below its target of 80 mmHg: look at the patient now.');
    expect(low.text).toContain('Dr Suvi Aaltola, on call, is being told now.');
    await bot.look();
    await bot.quiet();
    expect(lastOf(bot, 'escalation', suvi).text).toContain('Mean 74 mmHg, below its target of 80');
    await bot.type(ina, 'reading Biscuit 130/70 mean 90 mmHg 100 /min');
    expect((await bot.type(suvi, 'targets Biscuit end')).text).toContain('The ward’s limits apply again.');
    const after = await bot.type(ina, 'reading Biscuit 120/60 mean 74 mmHg 100 /min');
    expect(after.text).not.toContain('look at the patient now');
    await bot.quiet();
    expect(lastOf(bot, 'card').text).toContain('Targets of Dr Suvi Aaltola ended');
  });

  it('typed of an animal with two lines ask for no line: they are the animal’s, and end for both', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg right dorsal pedal 20g manual');
    await bot.type(suvi, 'targets Biscuit map 50-65 until 23:00 reason bleeding');
    for (const side of ['left', 'right']) {
      const read = await bot.type(ina, `reading Biscuit ${side} 90/45 mean 58 mmHg 100 /min`);
      expect(read.text, side).not.toContain('look at the patient now');
    }
    expect((await bot.type(suvi, 'targets Biscuit end')).text).toContain('The ward’s limits apply again.');
    expect(
      (await bot.type(suvi, 'targets Biscuit caudal map 50-65 until 23:00 reason bleeding')).text,
    ).toMatch(/^Biscuit has no median caudal line\..* Which one\?$/);
  });

  it('by thumb let a lower pressure be meant, and the ward’s other low limits rest', async () => {
    const bot = await begin();
    const page = await bot.press(suvi, 'open:card', { message: lastOf(bot, 'card') });
    const form = await bot.press(suvi, 'open:targets', { view: page.view! });
    expect(form.view?.spec.callback_id).toBe('targets');
    const told = await bot.submit(suvi, {
      'mapMmHg.low': '50',
      'mapMmHg.high': '65',
      reason: 'bleeding until theatre',
    });
    expect(told.answer?.text).toContain(
      'The ward’s low limits are off until then: systolic 90 and diastolic 40.',
    );
    const within = await bot.type(ina, 'reading Biscuit 78/38 mean 52 mmHg 100 /min');
    expect(within.text).not.toContain('look at the patient now');
    const beyond = await bot.type(ina, 'reading Biscuit 70/36 mean 48 mmHg 100 /min');
    expect(beyond.text).toContain('Mean below its target of 50 mmHg');
    const again = await bot.press(suvi, 'open:card', { message: lastOf(bot, 'card') });
    expect(JSON.stringify(again.view?.spec)).toContain('Targets mean 50 to 65 mmHg until');
    await bot.type(suvi, 'handover');
    await bot.quiet();
    const details = messagesOf(bot, 'handover').find(({ text }) => text.startsWith('Each patient'));
    expect(details?.text).toMatch(/Targets mean 50 to 65 mmHg until .*targets end /);
    expect(lastOf(bot, 'handover').text).toContain('mean 48 (target 50)');
  });

  it('are a clinician’s: a nurse is told who sets them, and what cannot be understood is not recorded', async () => {
    const bot = await begin();
    const refused = await bot.type(ina, 'targets Biscuit map 60-80 until 23:00 reason head injury');
    expect(refused.text).toContain('only the clinician on call');
    const page = await bot.press(ina, 'open:card', { message: lastOf(bot, 'card') });
    expect((await bot.press(ina, 'open:targets', { view: page.view! })).text).toContain('sets targets');
    const half = await bot.type(suvi, 'targets Biscuit map 60 until 23:00 reason head injury');
    expect(half.text).toMatch(
      /Not recorded\. Mean: is 60 the lowest or the highest\?.*targets Biscuit map 60-80/,
    );
    expect((await bot.type(suvi, 'targets Biscuit end')).text).toContain('has no targets now');
  });
});
