import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ina, minute, suvi, teo } from '../support/bot-on-platform.ts';
import { actionsOf, amend, botTests, goOn, lastOf, messagesOf, place, within } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);

async function begin() {
  const bot = await start({ mode: 'socket', redis, startMs: at('18:00') }, { names: ['Biscuit', 'Mochi'] });
  await bot.type(ina, 'oncall @suvi');
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  return bot;
}

describe('take back', () => {
  it('strikes all that one tap told, brings the reminder back as it was, and says so in the answer’s place', async () => {
    const bot = await begin();
    await bot.type(ina, 'zero Biscuit');
    await bot.type(ina, 'test Biscuit normal');
    await bot.advanceTo(at('19:00'));
    const before = lastOf(bot, 'nudge');
    expect(before.text).toContain('flush');
    const done = await bot.press(ina, 'done:', { message: before });
    expect(done.text).toMatch(/^Recorded for Biscuit .*flushed 2 mL/);
    await bot.quiet();
    expect(lastOf(bot, 'nudge').text).toContain('nothing left to do');

    await bot.advanceTo(at('19:01'));
    const answers = bot.platform.ephemerals(ina).length;
    const back = await bot.press(ina, 'done:undo', { message: done.message! });
    expect(back.text).toMatch(
      /^Taken back for Biscuit \(left dorsal pedal\): .*flushed 2 mL.*, 19:00\. Due now: .*flush/,
    );
    expect(bot.platform.ephemerals(ina)).toHaveLength(answers);
    expect(actionsOf(back.message!)).toEqual([]);
    await bot.quiet();
    const nudge = lastOf(bot, 'nudge');
    expect(nudge.text).toBe(before.text);
    expect(actionsOf(nudge)).toEqual(actionsOf(before));
    // The ladder goes on from where it was: the nurse hears 10 min after it was due.
    await bot.advanceTo(at('19:10'));
    expect(lastOf(bot, 'escalation', ina).text).toContain('flush');
    // The same telling is a new one now.
    expect((await bot.type(ina, 'flush Biscuit')).text).toMatch(/^Recorded for Biscuit .*flushed 2 mL/);
    expect((await bot.line('Biscuit')).flushCount).toBe(1);
  });

  it('of zero and level takes both, once, whoever built on it since, and is struck by whoever told it', async () => {
    const bot = await begin();
    const told = await bot.type(ina, 'zero Biscuit');
    const shown = structuredClone(told.message!);
    await bot.type(teo, 'test Biscuit normal');
    const back = await bot.press(ina, 'done:undo', { message: told.message! });
    expect(back.text).toMatch(
      /^Taken back for Biscuit .*level at the heart and zeroed, 18:00\. Due now: zero and level\.$/,
    );
    const line = await bot.line('Biscuit');
    expect(line.last).not.toHaveProperty('zeroed');
    expect(line.level).toBeNull();
    expect(line.test).toMatchObject({ verdict: 'normal' });
    bot.slowly();
    const again = await bot.press(ina, 'done:undo', { message: shown }, { stale: shown.blocks! });
    expect(again.text).toBe('Already taken back, 18:00. It no longer counts.');
    expect((await bot.line('Biscuit')).version).toBe(line.version);
  });

  it('of a finding lets the clinician’s message settle, and of a removal has the line in again', async () => {
    const bot = await begin();
    const found = await bot.type(ina, 'check Biscuit cold');
    await bot.look();
    await bot.quiet();
    expect(lastOf(bot, 'escalation', suvi).text).toContain('cold');
    await bot.press(ina, 'done:undo', { message: found.message! });
    await bot.quiet();
    expect(lastOf(bot, 'escalation', suvi).text).toContain('Settled');
    expect((await bot.line('Biscuit')).finding).toBeNull();

    const out = await bot.type(ina, 'remove Biscuit planned');
    expect(out.text).toContain('Was the catheter tip whole?');
    const back = await bot.press(ina, 'done:undo', { message: out.message! });
    expect(back.text).toContain('Taken back for Biscuit (left dorsal pedal): taken out: planned, 18:00.');
    expect((await bot.line('Biscuit')).removed).toBeNull();
    await bot.quiet();
    expect(lastOf(bot, 'card').text).toContain('With Ina Brandvold.');
  });

  it('comes with the answer to a form; later than 2 min it says so, and leads to the form at that entry', async () => {
    const bot = await begin();
    await bot.type(ina, 'sample Biscuit');
    const { answer } = await bot.submit(ina, { volume: '20', flushed: 'flushed' });
    expect(actionsOf(answer!.message!).some((id) => id.startsWith('done:undo'))).toBe(true);
    await bot.advanceTo(at('18:00') + 2 * minute + 1_000);
    const late = await bot.press(ina, 'done:undo', { message: answer!.message! });
    expect(late.text).toBe(
      'Too late to take back with a tap: it was recorded 18:00, more than 2 min ago. “Put something right” strikes it out or corrects it.',
    );
    expect((await bot.line('Biscuit')).samples).toHaveLength(1);
    await bot.press(ina, 'open:amend', { message: late.message! });
    const form = bot.platform.view(ina)!;
    expect(JSON.stringify(form.spec)).toContain('*It says:* 18:00 sample 20 mL');
    // To the list of the others and back, in the form's place: the platform stacks no more than three views.
    await bot.platform.press({
      user: ina,
      actionId: `open:amend:${(await bot.line('Biscuit')).id}:list`,
      viewId: form.id,
    });
    await bot.platform.until('the list', () => bot.platform.view(ina)?.spec.callback_id === 'amend:list');
    expect(bot.platform.view(ina)?.id).toBe(form.id);
    await goOn(bot, ina, { entry: '1' });
    expect(bot.platform.view(ina)?.spec.callback_id).toBe('amend');
    expect(JSON.stringify(bot.platform.view(ina)?.spec)).toContain('*It says:* 18:00 placed');
    expect(messagesOf(bot, 'card')).toHaveLength(1);
  });

  it('of a strike says what counts again', async () => {
    const bot = await begin();
    await bot.type(ina, 'flush Biscuit 2 mL');
    await bot.type(ina, 'amend Biscuit');
    const { answer } = await amend(bot, ina, /flushed/, { strike: 'other line' });
    expect(answer?.text).toMatch(
      /^Struck out for Biscuit \(left dorsal pedal\): flushed 2 mL, 18:00, by Ina Brandvold\./,
    );
    const back = await bot.press(ina, 'done:undo', { message: answer!.message! });
    expect(back.text).toMatch(
      /^Taken back for Biscuit \(left dorsal pedal\): “flushed 2 mL”, 18:00, counts again\./,
    );
    expect((await bot.line('Biscuit')).flushCount).toBe(1);
  });

  it('of a registration is offered beside what comes next and the form that puts it right', async () => {
    const bot = await begin();
    await bot.type(ina, 'place Mochi cat 4kg left dorsal pedal 24g manual');
    const { answer } = await bot.submit(ina);
    expect(actionsOf(answer!.message!).map((id) => id.split(':').slice(0, 2).join(':'))).toEqual([
      'done:zero',
      'open:test',
      'done:undo',
      'open:amend',
    ]);
    await bot.quiet();
    expect(within(bot, 'card').message.text).toContain('Mochi');
  });
});

it('a flush of 5 mL told for 0.5 mL is put right by two taps and a number, from the answer to it', async () => {
  const bot = await begin();
  const told = await bot.type(ina, 'flush Biscuit 5 mL');
  expect(told.text).toMatch(/^Recorded for Biscuit .*flushed 5 mL/);
  const entries = (await bot.line('Biscuit')).version;
  await bot.press(ina, 'open:amend', { message: told.message! });
  expect(JSON.stringify(bot.platform.view(ina)?.spec)).toContain(
    '*It says:* 18:00 flushed 5 mL by Ina Brandvold',
  );
  const same = await bot.submit(ina);
  expect(same.errors.at).toMatch(/^Nothing is changed yet, so nothing was written\./);
  expect((await bot.line('Biscuit')).version).toBe(entries);
  const right = await bot.submit(ina, { volume: '0.5' });
  expect(right.errors).toEqual({});
  const line = await bot.line('Biscuit');
  expect(line.handFlushes.map(({ volumeMl }) => volumeMl)).toEqual([0.5]);
  expect(line.version).toBe(entries + 1);
});
