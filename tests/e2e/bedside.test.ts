import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ina, teo } from '../support/bot-on-platform.ts';
import { botTests, lastOf, place } from '../support/bot-tests.ts';
import { startTestRedis, type TestRedis } from '../support/redis-for-tests.ts';

let redis: TestRedis;
beforeAll(async () => {
  redis = await startTestRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);
const begin = () => start({ mode: 'socket', redis, startMs: at('19:20') }, { names: ['Biscuit', 'Mochi'] });

// Figures: saline 0.739 mmHg/cm, from the definitions of mmHg and the density of 0.9 % saline.
describe('a transducer that was not level', () => {
  it('is answered with how far the monitor was off, in words, and what the last reading was at heart level', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await bot.type(ina, 'zero Biscuit');
    await bot.type(ina, 'test Biscuit normal');
    await bot.advanceTo(at('19:40'));
    const read = await bot.type(ina, 'reading Biscuit 96/51 mmHg mean 66 mmHg');
    expect(read.text).toContain('Trusted.');
    await bot.advanceTo(at('19:50'));
    const level = await bot.type(ina, 'level Biscuit 8 cm below');
    expect(level.text).toContain(
      'The transducer was 8 cm below the heart: pressures read 5.9 mmHg too high until now.',
    );
    expect(level.text).toContain(
      'The reading of 19:40, 96/51, mean 66 mmHg, was about 90/45, mean 60 mmHg at the level of the heart.',
    );
    expect(level.text).toMatch(/● heart\n│ 8 cm\n■ transducer, too low: it read too high/);
    await bot.quiet();
    expect(lastOf(bot, 'card').text).toContain(
      'Reading 19:40: 96/51 (mean 66) mmHg, doubtful: transducer was found 8 cm below the heart afterwards: it read 5.9 mmHg too high',
    );
  });

  it('above the heart read too low', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    const level = await bot.type(teo, 'level Biscuit 12 cm above');
    expect(level.text).toContain('12 cm above the heart: pressures read 8.9 mmHg too low until now.');
    expect(level.text).toMatch(/■ transducer, too high: it read too low\n│ 12 cm\n● heart/);
  });
});

// Circulating volume of a 4 kg cat: 220 mL at 55 mL/kg (transfusion texts, from memory); the ward warns at 5 %, 11 mL.
describe('blood for a sample', () => {
  it('is counted before the sample is told, and the ward’s limit is said', async () => {
    const bot = await begin();
    await place(bot, 'Mochi cat 4kg median caudal 24g manual');
    const form = await bot.type(ina, 'sample Mochi');
    const drawn = JSON.stringify(form.view?.spec);
    expect(drawn).toContain(
      '0 mL of blood lost, 0 % of the circulating volume. 11 mL are left up to the ward’s limit (5 %, 11 mL).',
    );
    const told = await bot.submit(ina, { volume: '10', discard: '2', discardReturned: 'not returned' });
    expect(told.answer?.text).toContain(
      'In 24 h: 12 mL of blood lost, 5.5 % of the circulating volume. Above the ward’s 5 %: tell the clinician.',
    );
    const again = await bot.type(ina, 'sample Mochi');
    expect(JSON.stringify(again.view?.spec)).toContain(
      'Above the ward’s limit (5 %, 11 mL): ask the clinician first.',
    );
  });
});

it('a reading after a sample is doubted until the line is zeroed again', async () => {
  const bot = await begin();
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  await bot.type(ina, 'zero Biscuit');
  await bot.type(ina, 'test Biscuit underdamped');
  await bot.advanceTo(at('19:30'));
  await bot.type(ina, 'sample Biscuit 1 mL discard 2 mL returned');
  const read = await bot.type(ina, 'reading Biscuit 130/60 mmHg');
  expect(read.text).toContain(
    'Doubtful: not zeroed since the sample; underdamped: systolic reads too high, trust the mean.',
  );
});
