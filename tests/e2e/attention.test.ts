import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type BotOnPlatform, ina, suvi, teo } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, messagesOf, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string, day = 24) => Date.parse(`2026-11-${day}T${clock}:00Z`);

/** Nobody does anything; Dr Suvi Aaltola is on call. */
async function neglected(clock: string, names: readonly string[]): Promise<BotOnPlatform> {
  // A socket's own clock does not follow the ward's through half a day.
  const bot = await start({ mode: 'http', redis, startMs: at(clock) }, { names: [...names] });
  await bot.type(ina, 'oncall @suvi');
  for (const name of names) await place(bot, `${name} dog 28kg left dorsal pedal 20g manual`);
  return bot;
}

const callsTo = (bot: BotOnPlatform, user: string) => messagesOf(bot, 'escalation', user);

describe('who is woken, and how often', () => {
  it('a clinician has one message of what is late: a second line is written into it, and no phone rings', async () => {
    const bot = await neglected('14:00', ['Biscuit']);
    await bot.advanceTo(at('14:10'));
    await place(bot, 'Otto dog 20kg left dorsal pedal 20g manual');
    await bot.type(ina, 'flush Otto');
    await bot.advanceTo(at('14:40'));
    const [first, ...more] = callsTo(bot, suvi);
    expect(more).toEqual([]);
    expect(first?.text).toMatch(/^BISCUIT dog: zero and level 40 min late and 1 more duty, may read wrong\./);
    await bot.advanceTo(at('15:30'));
    // Biscuit's flush, due at 15:00, is a danger from 15:20 on: graver, so it rings.
    const calls = callsTo(bot, suvi);
    expect(calls.filter(({ text }) => text.startsWith('Still open, and repeated')).length).toBe(
      calls.length - 1,
    );
    expect(calls.at(-1)?.text).toMatch(/^BISCUIT dog: flush 20 min late and 2 more duties, may clot\./);
    expect(calls.at(-1)?.text).toContain('+1: Otto');
  });

  it('three messages without an answer: the ward is told who did not answer, and the nurse is still asked each hour', async () => {
    const bot = await neglected('14:00', ['Biscuit']);
    await bot.advanceTo(at('17:10'));
    const said = messagesOf(bot, 'notice').map(({ text }) => text);
    expect(
      said.filter((text) => text.includes('Dr Suvi Aaltola hasn’t answered three messages')),
    ).toHaveLength(1);
    // Flushes due by hand at 15:00, asked for again at 16:00 and 17:00.
    const rounds = messagesOf(bot, 'nudge').filter(({ text }) => /flush/.test(text));
    expect(rounds.length).toBeGreaterThanOrEqual(3);
  });

  it('a clinician who can’t come isn’t asked again at once: backup and ward are', async () => {
    const bot = await neglected('14:00', ['Biscuit']);
    await bot.type(suvi, 'policy');
    await bot.submit(suvi, { backup: teo });
    await bot.quiet();
    await bot.type(ina, 'zero Biscuit');
    await bot.type(ina, 'test Biscuit normal');
    await bot.advanceTo(at('15:20'));
    const [call] = callsTo(bot, suvi);
    expect(call?.text).toMatch(/^BISCUIT dog: flush 20 min late, may clot\./);
    const { text: answer } = await bot.press(suvi, 'cannot:why', { message: { ...call!, channel: suvi } });
    expect(answer).toMatch(
      /^Recorded for Biscuit.*: note: not free to come, 15:20\. .* and the ward are being told now\./,
    );
    await bot.advanceTo(at('15:21'));
    expect(callsTo(bot, suvi)).toHaveLength(1);
    expect(callsTo(bot, teo).map(({ text }) => text)).toEqual([
      expect.stringMatching(/^BISCUIT dog: flush 20 min late, may clot\./),
    ]);
    const said = messagesOf(bot, 'notice').map(({ text }) => text);
    expect(said.at(-1)).toMatch(
      /^Dr Suvi Aaltola can’t see to it: “not free to come”\. .* has been told now\. Ring a clinician now: Biscuit .*flush, 20 min late\.$/,
    );
    await bot.advanceTo(at('15:49'));
    expect(callsTo(bot, suvi)).toHaveLength(1);
    await bot.advanceTo(at('15:50'));
    expect(callsTo(bot, suvi)).toHaveLength(2);
  });

  it('late care wakes no clinician at night, and a flush so late that a clot is likely does', async () => {
    const bot = await neglected('22:30', ['Biscuit']);
    await bot.advanceTo(at('23:45'));
    expect(callsTo(bot, suvi)).toEqual([]);
    expect(callsTo(bot, ina).length).toBeGreaterThan(0);
    await bot.advanceTo(at('23:50'));
    expect(callsTo(bot, suvi)).toHaveLength(1);
    // What is late besides stands in the message that is sent anyway.
    expect(callsTo(bot, suvi)[0]?.text).toMatch(
      /^BISCUIT dog: flush 20 min late and 2 more duties, may clot\./,
    );
  });

  it('“still needed?” is asked in one list at the ward’s hour, with a button for each line, and never of a nurse', async () => {
    const bot = await neglected('20:00', ['Biscuit', 'Juno', 'Mochi']);
    await bot.advanceTo(at('08:59', 25));
    const asked = (user: string) => callsTo(bot, user).filter(({ text }) => /still needed/i.test(text));
    expect(asked(suvi)).toEqual([]);
    await bot.advanceTo(at('09:00', 25));
    expect(asked(suvi)).toHaveLength(1);
    expect(asked(ina)).toEqual([]);
    const [list] = asked(suvi);
    for (const name of ['Biscuit', 'Juno', 'Mochi']) expect(list?.text).toContain(name);
    expect(actionsOf(list!).filter((id) => id.startsWith('done:')).length).toBeGreaterThanOrEqual(3);
  });
});
