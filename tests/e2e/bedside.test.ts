import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Json } from '../../src/practice/platform/message.ts';
import { buttonsIn, ina, suvi, teo } from '../support/bot-on-platform.ts';
import { botTests, lastOf, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
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
    expect(read.text).toContain('Trusted up to 160 /min, above that only the mean: no heart rate given.');
    await bot.advanceTo(at('19:50'));
    const level = await bot.type(ina, 'level Biscuit 8 cm below');
    expect(level.text).toContain('Pressures read 5.9 mmHg too high until now.');
    expect(level.text).toContain(
      'The reading of 19:40, 96/51, mean 66 mmHg, was about 90/45, mean 60 mmHg at the level of the heart.',
    );
    expect(level.text).toMatch(/● heart\n│ 8 cm\n■ transducer\n/);
    await bot.quiet();
    expect(lastOf(bot, 'card').text).toContain(
      'Reading 19:40: 96/51 (mean 66) mmHg, doubtful: transducer was found 8 cm below the heart afterwards: it read 5.9 mmHg too high',
    );
  });

  it('above the heart read too low', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    const level = await bot.type(teo, 'level Biscuit 12 cm above');
    expect(level.text).toContain(
      '(it was 12 cm above the heart), 19:20.\nPressures read 8.9 mmHg too low until now.',
    );
    expect(level.text).toMatch(/■ transducer\n│ 12 cm\n● heart/);
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
      '0 mL of blood lost in 24 h, 0 % of the circulating volume. The ward’s limit is 5 %, 11 mL: 11 mL are left.',
    );
    const told = await bot.submit(ina, { volume: '10', discard: '2', discardReturned: 'not returned' });
    expect(told.answer?.text).toContain(
      '12 mL of blood lost in 24 h, 5.5 % of the circulating volume. Above the ward’s 5 %: tell the clinician.',
    );
    const again = await bot.type(ina, 'sample Mochi');
    expect(JSON.stringify(again.view?.spec)).toContain(
      '12 mL of blood lost in 24 h, 5.5 % of the circulating volume, above the ward’s limit of 5 %, 11 mL: ask the clinician first.',
    );
  });
});

it('a sample of which nobody said whether the line was flushed claims no flush, and one tap tells it', async () => {
  const bot = await begin();
  await place(bot, 'Zed cat 4kg median caudal 24g manual');
  await bot.advanceTo(at('19:40'));
  const said = await bot.type(ina, 'sample Zed 3 mL discard 1 mL');
  expect(said.text).toContain(
    'sample 3 mL, discard 1 mL counted as lost: nobody said whether it was returned, not recorded whether it was flushed after',
  );
  expect(said.text).not.toContain('Counts as done: flush');
  expect((await bot.type(ina, 'due')).text).toContain('Flush, now (due 19:40)');
  const pressed = await bot.press(ina, 'done:flush', { message: said.message! });
  expect(pressed.text).toMatch(/Recorded for Zed .*flushed/);
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
    'Doubtful: not zeroed since the sample; underdamped: systolic reads too high; zero it, then go by the mean.',
  );
});

it('a new source is answered with what was understood of it, and how to tell that it runs by itself', async () => {
  const bot = await begin();
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  const { text } = await bot.type(ina, 'source Biscuit changed bag 500 mL 3 mL/h 300 mmHg heparin 2 U/mL');
  expect(text).toContain('pressure bag changed: 500 mL at 3 mL/h, 300 mmHg, heparin 2 U/mL, 19:20.');
  expect(text).toContain('still counts as flushed by hand, every 60 min');
  const advised = /type \/artline (source .*? mL\/h)\./.exec(text)?.[1] ?? '';
  expect((await bot.type(ina, advised)).text).toContain(
    'flush now continuous, pressure bag: 500 mL at 3 mL/h, 19:20.',
  );
});

it('what the level did ends before it is said what is due next', async () => {
  const bot = await begin();
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  const { text } = await bot.type(ina, 'level Biscuit 8 cm below');
  expect(text).toMatch(/\n■ transducer\n(?:Due now|Next): /);
});

// 25 mm/s, 1.7 mm, 24 and 17 mm → 14.7 Hz, damping 0.11: Mark JB, Atlas of Cardiovascular Monitoring, 1998, Fig 9-10.
describe('a fast-flush test measured on its strip', () => {
  const numbers =
    /Rings at 14\.7 Hz \(11\.4 to 20\.8\), damping 0\.11 \(0\.09 to 0\.12\) and natural frequency 14\.8 Hz/;

  it('typed says how the line rings, what it does to this patient’s pressures, what fits and what to try', async () => {
    const bot = await begin();
    await place(bot, 'Mochi cat 4kg median caudal 24g manual');
    await bot.type(ina, 'zero Mochi');
    await bot.type(ina, 'reading Mochi 118/64 mmHg');
    const told = await bot.type(
      ina,
      'test Mochi 25 mm/s cycle 1.7 mm swings first 24 mm next 17 mm 180 /min',
    );
    expect(told.text).toMatch(numbers);
    expect(told.text).toContain('*Underdamped* (ward policy, approximate)');
    expect(told.text).toMatch(
      /At 180 \/min the last reading 118\/64 is likely off by: systolic \d+ too high/,
    );
    expect(told.text).toContain('Fits: bubble and long tubing.');
    expect(told.text).toMatch(/First the animal: .* Try first: Look for air/);
    await bot.quiet();
    expect(lastOf(bot, 'card').text).toMatch(
      /Fast-flush test 19:2\d: underdamped at 180 \/min \(14\.8 Hz, damping 0\.11\)/,
    );
  });

  // 16.0 Hz and 0.25: fast enough for 110 /min by the ward's multiple, and yet 8 mmHg off on a pulse of 90 mmHg.
  it('tells whoever tests, whoever reads and the card the same, at each reading’s heart rate', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await bot.type(ina, 'zero Biscuit');
    await bot.type(
      ina,
      'test Biscuit 50 mm/s cycle 9.68 mm three cycles swings first 40 mm next 17.8 mm 70 /min',
    );
    const slow = await bot.type(ina, 'reading Biscuit 110/70 mmHg mean 85 mmHg 70 /min');
    expect(slow.text).toContain('Trusted.');
    await bot.advanceTo(at('19:40'));
    const fast = await bot.type(ina, 'reading Biscuit 150/60 mmHg mean 90 mmHg 200 /min');
    const doubt =
      'oubtful: underdamped at 200 /min: systolic likely 17 mmHg too high (+16 to +18); go by the mean (90 mmHg)';
    expect(fast.text).toContain(`D${doubt}`);
    await bot.quiet();
    expect(lastOf(bot, 'card').text).toContain(`150/60 (mean 90) mmHg, d${doubt}`);
    await bot.advanceTo(at('19:50'));
    const byEye = await bot.type(ina, 'test Biscuit normal 200 /min');
    expect(byEye.text).toContain('By eye: at 200 /min you need a strip');
    expect((await bot.type(ina, 'reading Biscuit 140/60 mmHg mean 90 mmHg')).text).toContain(
      'Doubtful: tested by eye, and at 200 /min (given with the test) a strip is needed; go by the mean (90 mmHg).',
    );
  });

  it('by thumb is one more tap in the test’s form, and says in the form what cannot be', async () => {
    const bot = await begin();
    await place(bot, 'Mochi cat 4kg median caudal 24g manual');
    const form = await bot.type(ina, 'test Mochi');
    const measure = buttonsIn(form.view!.spec.blocks as Json[])[0]!;
    await bot.platform.press({ user: ina, actionId: String(measure.action_id), viewId: form.view!.id });
    await bot.platform.until('the form of whoever measured', () =>
      JSON.stringify(bot.platform.view(ina)?.spec ?? {}).includes('Length of the cycles') ? true : undefined,
    );
    const wrong = await bot.submit(ina, { paper: '25', cycle: '1.7', first: '17', next: '24' });
    expect(wrong.errors.next).toContain('The next height is not below the first');
    const right = await bot.submit(ina, { paper: '25', cycle: '1.7', first: '24', next: '17', rate: '180' });
    expect(right.answer?.text).toMatch(numbers);
  });

  it('refuses lengths without a unit and a test that says nothing', async () => {
    const bot = await begin();
    await place(bot, 'Mochi cat 4kg median caudal 24g manual');
    expect((await bot.type(ina, 'test Mochi 25 mm/s cycle 1.7 first 24 mm next 17 mm')).text).toMatch(
      /“1\.7” has no unit/,
    );
    expect((await bot.type(ina, 'test Mochi 180 /min')).text).toContain(
      'Trace after the fast flush is needed',
    );
  });
});

describe('a reading', () => {
  it('below the ward’s mean goes to the clinician at once, with how far it can be believed', async () => {
    const bot = await begin();
    await bot.type(ina, 'oncall @suvi');
    await place(bot, 'Mochi cat 4kg median caudal 24g manual');
    const told = await bot.type(ina, 'reading Mochi 70/40 mean 50 mmHg');
    expect(told.text).toContain(
      'Mean below the ward’s 60 and systolic below the ward’s 90 mmHg: look at the patient now.',
    );
    expect(told.text).toContain('Dr Suvi Aaltola, on call, is being told now.');
    await bot.look();
    await bot.quiet();
    const message = lastOf(bot, 'escalation', suvi);
    expect(message.text).toMatch(
      /^MOCHI cat: mean 50 mmHg \(doubtful\), organs at risk\. Ina Brandvold saw it 19:20\..* Mean 50 mmHg, below the ward’s 60; systolic 70 mmHg, below the ward’s 90 \(doubtful: not zeroed yet; no fast-flush test yet; zero it, then go by the mean\), seen 19:20 .*Risk: organs without enough blood\./,
    );
    await bot.type(ina, 'reading Mochi 102/64 mean 78 mmHg');
    await bot.quiet();
    expect(lastOf(bot, 'escalation', suvi).text).toContain('nothing amiss');
  });

  it('beside a cuff says the difference, and that one pair proves nothing where it is wide', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await bot.type(ina, 'zero Biscuit');
    await bot.type(ina, 'test Biscuit normal');
    const told = await bot.type(ina, 'reading Biscuit 128/80 mmHg cuff 104/78 mmHg 110 bpm');
    expect(told.text).toContain('Line against cuff: systolic 24 above and diastolic 2 above mmHg.');
    expect(told.text).toContain('one pair proves nothing, take three and a fast-flush test');
  });
});

describe('zeroing by its form', () => {
  it('walks the steps in order, says why, and cannot end before the tap is told open to the patient', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    const page = await bot.press(ina, 'open:card', { message: lastOf(bot, 'card') });
    const form = await bot.press(ina, 'open:zero', { view: page.view! });
    const drawn = JSON.stringify(form.view?.spec);
    const steps = [
      '1. Level',
      '2. Tap closed',
      '3. Read the monitor',
      '4. Press zero',
      '5. Tap closed to air',
    ];
    expect(steps.map((step) => drawn.indexOf(step)).toSorted((a, b) => a - b)).toEqual(
      steps.map((step) => drawn.indexOf(step)),
    );
    expect(drawn.indexOf('1. Level')).toBeGreaterThan(0);
    const early = await bot.submit(ina, { openToAir: '5' });
    expect(Object.keys(early.errors)).toEqual(['open']);
    const told = await bot.submit(ina, { openToAir: '5', open: ['open'] });
    expect(told.answer?.text).toContain('open to air it showed 5 mmHg');
    expect(told.answer?.text).toContain(
      'The zero was 5 mmHg off, more than the ward’s 3: pressures since the previous zero read about that much too high.',
    );
  });
});

// 10 mL/h of 5 U/mL in 4 kg: 60 mL/kg/day, 300 U/kg/day (unit arithmetic).
describe('a flush source', () => {
  it('is answered with what it gives, and warned of above the ward’s limits', async () => {
    const bot = await begin();
    await place(bot, 'Mochi cat 4kg median caudal 24g manual');
    const told = await bot.type(ina, 'source Mochi continuous syringe 50 ml 10 ml/h heparin 1 U/mL');
    expect(told.text).toContain(
      'Flushing gives 60 mL/kg/day, 120 % of maintenance; heparin 60 U/kg/day; above the ward’s limit: count it into the fluid plan.',
    );
  });
});

describe('what is told late or against itself', () => {
  const set = async () => {
    const bot = await begin();
    await bot.type(ina, 'oncall @suvi');
    await place(bot, 'Mochi cat 4kg median caudal 24g manual');
    await bot.type(ina, 'zero Mochi');
    await bot.type(ina, 'test Mochi normal');
    return bot;
  };

  it('a reading of an earlier time is not answered with the later one’s numbers', async () => {
    const bot = await set();
    await bot.advanceTo(at('19:40'));
    await bot.type(ina, 'reading Mochi 120/80 mmHg');
    const told = await bot.type(ina, 'reading Mochi 70/40 mean 50 mmHg at 19:30');
    expect(told.text).toContain('The later reading of 19:40 stands. What you recorded is beyond the limits');
    expect(told.text).not.toContain('Pulse pressure');
    expect(told.text).not.toContain('is told now');
  });

  it('the numbers of a strip decide against what was seen', async () => {
    const bot = await set();
    const told = await bot.type(
      ina,
      'test Mochi normal 25 mm/s cycle 1.7 mm swings first 24 mm next 17 mm 180 /min',
    );
    expect(told.text).toContain('fast-flush test: underdamped');
    expect((await bot.type(ina, 'reading Mochi 118/64 mmHg')).text).toContain('Doubtful: underdamped');
  });

  it('a cycle without a height is asked for the height', async () => {
    const bot = await set();
    expect((await bot.type(ina, 'test Mochi normal 25 mm/s cycle 1.7 mm')).text).toMatch(
      /^Not recorded\. The first height is needed/,
    );
  });

  it('a zero found off marks the reading before it only where no other zero lies between', async () => {
    const bot = await set();
    await bot.type(ina, 'reading Mochi 118/64 mmHg');
    await bot.advanceTo(at('19:30'));
    await bot.type(ina, 'zero Mochi open to air 0 mmHg');
    await bot.advanceTo(at('19:40'));
    const told = await bot.type(ina, 'zero Mochi open to air 9 mmHg');
    expect(told.text).toContain('The zero was 9 mmHg off');
    expect(told.text).not.toContain('is marked doubtful');
  });

  it('a cuff’s mean is compared where the line’s own was not told, and refused where it cannot be', async () => {
    const bot = await set();
    expect((await bot.type(ina, 'reading Mochi 120/80 mmHg cuff map 45 mmHg')).text).toContain(
      'mean 48 mmHg above the cuff',
    );
    expect(
      (await bot.type(ina, 'reading Mochi 118/64 mmHg cuff 112/70 mmHg cuff map 200 mmHg')).text,
    ).toMatch(/^Not recorded\. .*cuff’s mean 200 mmHg/);
    expect(
      (await bot.type(ina, 'reading Mochi sap 118.3 mmHg dap 64.1 mmHg cuff sap 92.2 mmHg')).text,
    ).toContain('systolic 26.1 above mmHg');
  });

  it('heparin of a bag that is no longer in use is not in a hand flush', async () => {
    const bot = await set();
    await bot.type(ina, 'source Mochi continuous bag 250 ml 3 ml/h heparin 50 U/mL');
    await bot.advanceTo(at('19:50'));
    await bot.type(ina, 'source Mochi manual');
    expect((await bot.type(ina, 'flush Mochi 10 mL')).text).not.toContain('heparin');
  });
});
