import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ina, suvi, teo, wardId } from '../support/bot-on-platform.ts';
import { actionsOf, amend, botTests, lastOf, messagesOf, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);
const reading = 'reading Biscuit 118/64 mean 82 mmHg 120 /min';
const verbsOf = (message: Parameters<typeof actionsOf>[0] | undefined) =>
  actionsOf(message ?? {}).map((id) => id.split(':').slice(0, 2).join(':'));
const told = (bot: Awaited<ReturnType<typeof begin>>, kind: string, where?: string) =>
  messagesOf(bot, kind, where).map(({ text }) => text);

/** A dog with a line in order at 20:00 in a shift that began 19:00, and nobody else on the ward. */
async function begin(words = 'Biscuit dog 28kg left dorsal pedal 20g manual', from = '20:00') {
  const bot = await start({ mode: 'http', redis, startMs: at(from) });
  await bot.type(ina, 'oncall @suvi');
  await place(bot, words);
  const name = words.split(' ')[0];
  await bot.type(ina, `zero ${name}`);
  await bot.type(ina, `test ${name} normal`);
  return bot;
}

// Who is asked for what while a patient is in theatre is ours: common practice, no source.
describe('a patient that goes to theatre', () => {
  it('is told by words, with whoever has it: card, list and rounds say so', async () => {
    const bot = await begin();
    const gone = await bot.type(ina, 'moved Biscuit to theatre with @teo');
    expect(gone.text).toBe(
      'Recorded for Biscuit (left dorsal pedal): left the ward for theatre, 20:00. Teo Marchetti gets the reminders until the patient is back. Due now: zero and level.',
    );
    await bot.quiet();
    const card = lastOf(bot, 'card');
    expect(card.text).toContain('In theatre since 20:00 with Teo Marchetti.');
    expect(card.text).not.toContain('With Ina');
    expect(verbsOf(card)).toContain('done:returned');
    const due = await bot.type(ina, 'due');
    expect(due.text).toContain(
      'Biscuit · left dorsal pedal. In theatre since 20:00 with Teo Marchetti. Zero and level, now (due 20:00). Flush 21:00.',
    );
    const round = await bot.type(ina, 'round');
    expect(round.text).toContain(
      'Not in these rounds: Biscuit (left dorsal pedal), in theatre with Teo Marchetti.',
    );
    expect(round.text).not.toContain('bring');
  });

  it('has arrived, and is back, by one tap each on the card that stands meanwhile', async () => {
    const bot = await begin();
    await bot.type(ina, 'moved Biscuit to theatre with @teo');
    await bot.quiet();
    const moves = () => verbsOf(lastOf(bot, 'card')).filter((id) => /arrived|returned/.test(id));
    expect(moves()).toEqual(['done:arrived', 'done:returned']);
    const arrived = await bot.press(teo, 'done:arrived', { message: lastOf(bot, 'card') });
    expect(arrived.text).toMatch(
      /^Recorded for Biscuit \(left dorsal pedal\): arrived there, 20:00\. Teo Marchetti gets the reminders/,
    );
    expect(verbsOf(arrived.message)).toEqual(expect.arrayContaining(['done:zero', 'done:undo']));
    await bot.quiet();
    expect(moves()).toEqual(['done:returned']);
    expect((await bot.line('Biscuit')).away).toMatchObject({
      to: 'theatre',
      with: teo,
      arrivedAt: at('20:00'),
    });
    await bot.press(teo, 'done:undo', { message: arrived.message! });
    await bot.quiet();
    expect(moves()).toEqual(['done:arrived', 'done:returned']);
  });

  it('is told by form, and its flush is asked of that person by direct message, of the ward never', async () => {
    const bot = await begin();
    await bot.advanceTo(at('20:10'));
    const page = await bot.press(ina, 'open:card', { message: lastOf(bot, 'card') });
    await bot.press(ina, 'open:moved', { view: page.view! });
    const sent = await bot.submit(ina, {
      how: 'theatre',
      with: teo,
      transducer: 'capped',
      flushed: 'flushed',
    });
    expect(sent.answer?.text).toBe(
      'Recorded for Biscuit (left dorsal pedal): taken off its transducer and capped (flushed 2 mL (the usual)) and left the ward for theatre, 20:10. Teo Marchetti gets the reminders until the patient is back. Next: flush 21:10.',
    );
    await bot.advanceTo(at('21:10'));
    const asked = lastOf(bot, 'escalation', teo);
    expect(asked.text).toMatch(/^Biscuit \(left dorsal pedal\): flush, now\. Risk: clot, lost line\./);
    expect(asked.text).toContain('In theatre since 20:10 with Teo Marchetti.');
    expect(verbsOf(asked)).toContain('done:returned');
    expect(told(bot, 'escalation', ina)).toEqual([]);
    expect(told(bot, 'nudge')).toEqual([]);
    await bot.advanceTo(at('21:30'));
    expect(lastOf(bot, 'escalation', suvi).text).toMatch(
      /^BISCUIT dog: flush 20 min late, may clot\. Asked Teo Marchetti 21:10\..* · with Teo Marchetti, in theatre\..* Risk: clot, lost line\./,
    );
    const done = await bot.press(teo, 'done:', { message: asked });
    expect(done.text).toContain('flushed 2 mL (the usual), 21:30.');
  });

  it('with nobody named is still asked of the ward, which reads where it is', async () => {
    const bot = await begin();
    const gone = await bot.type(ina, 'moved Biscuit to theatre');
    expect(gone.text).toContain(
      'Nobody is named as having the patient, so the ward nurse is still reminded.',
    );
    await bot.advanceTo(at('20:10'));
    const nudge = lastOf(bot, 'nudge');
    expect(nudge.text).toMatch(
      /^Due now, with <@U0NURSEINA>, in theatre: Biscuit \(left dorsal pedal\): zero and level\./,
    );
    expect((await bot.type(ina, 'round')).text).not.toContain('Not in these rounds');
  });

  it('is not taken for one that was moved in its cage where “left” may mean either', async () => {
    const bot = await begin();
    const before = await bot.line('Biscuit');
    const said = await bot.type(ina, 'moved Biscuit left');
    expect(said.text).toBe(
      'Not recorded. Has Biscuit left the ward, or was the left line moved? After the name write “to theatre with @name”, or “moved”.',
    );
    expect((await bot.line('Biscuit')).version).toBe(before.version);
    await bot.type(ina, 'moved Biscuit left for theatre with @teo');
    expect((await bot.line('Biscuit')).away).toMatchObject({ to: 'theatre', with: teo });
  });

  it('is handed over with where it is, who takes it back, and what waits for it', async () => {
    const bot = await begin('Biscuit dog 28kg left dorsal pedal 20g manual', '18:00');
    await bot.advanceTo(at('18:10'));
    await bot.type(ina, 'moved Biscuit to theatre with @teo');
    await bot.type(teo, 'zero Biscuit');
    await bot.type(suvi, 'handover');
    await bot.quiet();
    const [end, patients] = messagesOf(bot, 'handover').map(({ blocks }) => JSON.stringify(blocks));
    expect(patients).toContain('20 G; with Ina Brandvold once it is back.');
    expect(patients).toContain(
      '*Situation* In theatre since 18:10 with Teo Marchetti. Line in, no open fault.',
    );
    // The shift's test, due 19:00, waits for its return, and no longer than the ward's 4 h.
    expect(patients).toContain('fast-flush test when it is back, 22:10 at the latest');
    expect(end).toContain('Not in these rounds: Biscuit (left dorsal pedal), in theatre with Teo Marchetti.');
    expect((await bot.type(ina, 'due')).text).toContain('Zero and level 19:00');
    expect(lastOf(bot, 'card').text).toContain('Fast-flush test when it is back, 22:10 at the latest');
  });
});

describe('a patient that was zeroed nowhere on its way', () => {
  it('is asked for anew once back, and nobody reads that its zero was done before', async () => {
    const bot = await begin();
    await bot.advanceTo(at('20:05'));
    await bot.type(ina, 'moved Biscuit to theatre with @teo');
    await bot.advanceTo(at('20:20'));
    expect(lastOf(bot, 'escalation', teo).text).toContain('Zero and level, due 20:05');
    await bot.type(ina, 'moved Biscuit back');
    await bot.quiet();
    expect(lastOf(bot, 'escalation', teo).text).toContain('Zero and level: asked for anew since.');
  });
});

describe('a patient with two lines', () => {
  it('goes and is back with both, told by its name alone; what is about one line asks which', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg right dorsal pedal 20g manual');
    const gone = await bot.type(ina, 'moved Biscuit to theatre with @teo');
    expect(gone.text.split('\n').map((said) => said.slice(0, 68))).toEqual([
      expect.stringMatching(/^Recorded for Biscuit \((left|right) dorsal pedal\): left the ward/),
      expect.stringMatching(/^Recorded for Biscuit \((left|right) dorsal pedal\): left the ward/),
    ]);
    await bot.press(ina, 'done:undo', { message: gone.message! });
    expect((await bot.record.readWard(wardId)).lines.map(({ away }) => away)).toEqual([null, null]);
    for (const words of ['to theatre, transducer off', 'disconnected', 'caudal to theatre'])
      expect((await bot.type(ina, `moved Biscuit ${words}`)).text, words).toMatch(/Which one\?$/);
    await bot.advanceTo(at('20:05'));
    await bot.type(ina, 'moved Biscuit to theatre with @teo');
    await bot.advanceTo(at('21:05'));
    expect(told(bot, 'nudge')).toEqual([]);
    expect(lastOf(bot, 'escalation', teo).text).toContain('2 lines.');
    const back = await bot.press(teo, 'done:returned', { message: lastOf(bot, 'escalation', teo) });
    expect(back.text.match(/back on the ward, 21:05/g)).toHaveLength(2);
    expect(verbsOf(back.message)).toEqual(['done:undo']);
  });
});

describe('whoever has a patient whose line came out in theatre', () => {
  it('keeps the question after the hold in a newer message, which the older one names', async () => {
    const bot = await begin();
    await bot.type(ina, 'moved Biscuit to theatre with @teo');
    await place(bot, 'Mochi cat 4kg median caudal 24g manual');
    await bot.type(ina, 'moved Mochi to theatre with @teo');
    await bot.advanceTo(at('20:50'));
    await bot.type(teo, 'remove Biscuit planned');
    await bot.advanceTo(at('20:55'));
    const first = lastOf(bot, 'escalation', teo);
    expect(first.text).toContain('Biscuit (left dorsal pedal): look at the puncture after the hold, now.');
    await bot.advanceTo(at('21:00'));
    const second = lastOf(bot, 'escalation', teo);
    expect(second.text).toContain('Mochi (median caudal): flush, now');
    expect(second.text).toContain('Look at the puncture after the hold, due 20:55.');
    expect(verbsOf(second)).toContain('done:oozing');
    expect(told(bot, 'escalation', teo).at(-2)).toBe('Still open, and repeated in a newer message, 21:00.');
  });
});

// That a zero drifts and must be checked before treating on a number: Gordon VL et al., Med Instrum 1987;21(2):87-91.
describe('a patient that is back', () => {
  it('by one tap is asked its zero and level first, and no number is believed before', async () => {
    const bot = await begin();
    await bot.type(ina, 'moved Biscuit to theatre with @teo');
    await bot.advanceTo(at('20:05'));
    const there = await bot.type(teo, 'moved Biscuit arrived');
    expect(there.text).toContain(
      'arrived there, 20:05. Teo Marchetti gets the reminders until the patient is back.',
    );
    await bot.type(teo, 'zero Biscuit');
    expect((await bot.type(teo, reading)).text).toContain('Trusted');
    await bot.advanceTo(at('20:40'));
    const back = await bot.press(ina, 'done:returned', { message: lastOf(bot, 'card') });
    expect(back.text).toBe(
      'Recorded for Biscuit (left dorsal pedal): back on the ward, 20:40. With Ina Brandvold. Due now: zero and level.',
    );
    expect(verbsOf(back.message)).toEqual(['done:zero', 'done:undo', 'open:amend']);
    expect((await bot.type(ina, reading)).text).toContain('Doubtful: not zeroed since it came back');
    await bot.press(ina, 'done:zero', { message: back.message! });
    await bot.advanceTo(at('20:43'));
    expect((await bot.type(ina, reading)).text).toContain('Trusted');
    await bot.quiet();
    expect(lastOf(bot, 'card').text).toContain('With Ina Brandvold.');
    await bot.advanceTo(at('21:00'));
    expect(lastOf(bot, 'nudge').text).toMatch(
      /^Due now, with <@U0NURSEINA>: Biscuit \(left dorsal pedal\): flush\./,
    );
  });
});

// That a cat's line is in for hours, not days, is common practice, no source.
describe('a cat in theatre', () => {
  it('has its dwell limit told to ward, clinician and whoever has it, each with where it is', async () => {
    const bot = await begin('Mochi cat 4kg left dorsal pedal 24g manual at 12:30');
    await bot.type(ina, 'moved Mochi to imaging with @teo');
    await bot.advanceTo(at('20:30'));
    expect(lastOf(bot, 'nudge').text).toMatch(
      /^Due now, with <@U0NURSETEO>, in imaging: Mochi \(left dorsal pedal\): dwell limit\./,
    );
    expect(lastOf(bot, 'escalation', teo).text).toContain('dwell limit, reached now');
    expect(lastOf(bot, 'escalation', suvi).text).toMatch(
      /dwell limit reached now.* · with Teo Marchetti, in imaging\./s,
    );
  });

  it('has a line registered meanwhile that says so, and goes or is back with it by one tap; put right, both are', async () => {
    const bot = await begin('Mochi cat 4kg left dorsal pedal 24g manual');
    await bot.type(ina, 'moved Mochi to theatre with @teo');
    await place(bot, 'Mochi cat 4kg median caudal 22g manual');
    const card = lastOf(bot, 'card');
    expect(card.text).toContain(
      'Recorded as on the ward, though by another line Mochi is in theatre since 20:00 with Teo Marchetti.',
    );
    expect(verbsOf(card)).toEqual(expect.arrayContaining(['done:along', 'done:returned']));
    const away = async () => {
      await bot.quiet();
      const { lines } = await bot.record.readWard(wardId);
      return ['dorsal pedal', 'median caudal'].map(
        (site) => lines.find((line) => line.site === site)?.away?.with ?? null,
      );
    };
    expect(await away()).toEqual([teo, null]);
    await bot.press(ina, 'done:along', { message: card });
    expect(await away()).toEqual([teo, teo]);
    await bot.press(ina, 'done:returned', { message: lastOf(bot, 'card') });
    expect(await away()).toEqual([null, null]);
    await bot.advanceTo(at('20:05'));
    await bot.type(ina, 'moved Mochi to theatre with @teo');
    expect(await away()).toEqual([teo, teo]);
    await bot.advanceTo(at('20:08'));
    await bot.type(ina, 'amend Mochi left');
    await amend(bot, ina, /left the ward/, { strike: ['wrong animal'] });
    expect(await away()).toEqual([null, null]);
  });
});

it('a move that’s struck after two hours of late care brings the nurse who has the lines one message, and nobody else any', async () => {
  const bot = await start({ mode: 'socket', redis, startMs: at('18:00') }, { names: ['Biscuit', 'Mochi'] });
  for (const name of ['Biscuit', 'Mochi']) {
    await place(bot, `${name} dog 28kg left dorsal pedal 20g manual`);
    await bot.type(ina, `zero ${name}`);
    await bot.type(ina, `test ${name} normal`);
  }
  await bot.advanceTo(at('20:00'));
  await bot.type(ina, 'moved Biscuit to theatre with @teo');
  await bot.type(ina, 'moved Mochi to theatre with @teo');
  await bot.advanceTo(at('20:40'));
  const told = (user: string) => messagesOf(bot, 'escalation', user);
  const before = { ina: told(ina).length, teo: told(teo).length };
  expect(before).toEqual({ ina: 1, teo: 1 });
  for (const name of ['Biscuit', 'Mochi']) {
    await bot.type(ina, `amend ${name}`);
    await amend(bot, ina, /left the ward/, { strike: ['wrong animal'] });
  }
  await bot.advanceTo(at('20:50'));
  await bot.quiet();
  expect(told(teo)).toHaveLength(1);
  expect(told(teo)[0]?.text).toContain('Now with Ina Brandvold.');
  expect(told(ina)).toHaveLength(2);
  // What she was told before stands in it, and nowhere else.
  expect(told(ina)[0]?.text).toMatch(/^Still open, and repeated in a newer message, 20:40\.$/);
});
