import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ina, suvi, teo, wardId } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, lastOf, messagesOf, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);
const begin = () => start({ mode: 'socket', redis, startMs: at('18:00') }, { names: ['Biscuit', 'Mochi'] });

describe('take back, of the ward as a whole', () => {
  it('has the former clinician on call again, tells them, and says so in the message to the other', async () => {
    const bot = await begin();
    await bot.type(ina, 'oncall @suvi');
    await bot.quiet();
    const wrong = await bot.type(ina, 'oncall @teo');
    await bot.quiet();
    expect(actionsOf(wrong.message!)).toEqual(['done:undoward']);
    const shown = structuredClone(wrong.message!);
    const back = await bot.press(ina, 'done:undoward', { message: wrong.message! });
    expect(back.text).toBe('Taken back. On call now: Dr Suvi Aaltola.');
    await bot.quiet();
    expect(messagesOf(bot, 'notice').at(-1)?.text).toBe(
      'Ina Brandvold took back that Teo Marchetti is on call. On call now: Dr Suvi Aaltola.',
    );
    expect(lastOf(bot, 'notice', suvi).text).toMatch(/^You are on call for the arterial lines/);
    expect(lastOf(bot, 'notice', teo).text).toMatch(/^You were on call .* On call now: Dr Suvi Aaltola\.$/);
    bot.slowly();
    const again = await bot.press(ina, 'done:undoward', { message: shown }, { stale: shown.blocks! });
    expect(again.text).toMatch(/^Nothing was taken back/);
  });

  it('of a cover and of the policy has what stood before stand again; after 2 min it is too late', async () => {
    const bot = await begin();
    await bot.type(ina, 'cover @ina by @suvi until 23:00');
    const wrong = await bot.type(ina, 'cover @ina by @teo until 22:00');
    const back = await bot.press(ina, 'done:undoward', { message: wrong.message! });
    expect(back.text).toMatch(
      /^Taken back\. Teo Marchetti no longer covers for Ina Brandvold .* Dr Suvi Aaltola again covers for Ina Brandvold until /,
    );

    await bot.type(ina, 'policy');
    const set = await bot.submit(ina, { flushEveryMin: '45' });
    expect((await bot.record.readWardState(wardId)).policy.flushEveryMin).toBe(45);
    const policy = await bot.press(ina, 'done:undoward', { message: set.answer!.message! });
    expect(policy.text).toBe('Taken back: the ward policy is as it was before. The channel is told.');
    expect((await bot.record.readWardState(wardId)).policy.flushEveryMin).toBe(60);
    await bot.quiet();
    expect(messagesOf(bot, 'notice').at(-1)?.text).toContain(
      'took the latest change of the ward policy back',
    );

    const late = await bot.type(ina, 'oncall @suvi');
    await bot.advanceTo(at('18:03'));
    const tooLate = await bot.press(ina, 'done:undoward', { message: late.message! });
    expect(tooLate.text).toMatch(/^Too late to take back with a tap/);
  });

  it('of lines given to a nurse says with whom they are again, to that nurse in the message that gave them', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    const given = await bot.type(ina, 'assign Biscuit @teo');
    await bot.quiet();
    expect(lastOf(bot, 'notice', teo).text).toMatch(/^An arterial line is with you/);
    const back = await bot.press(ina, 'done:undo', { message: given.message! });
    expect(back.text).toMatch(
      /^Taken back for Biscuit \(left dorsal pedal\): given to a nurse, 18:00\. With Ina Brandvold again\./,
    );
    await bot.quiet();
    expect(lastOf(bot, 'notice', teo).text).toMatch(
      /^No arterial line is with you .* No longer with you: Biscuit/,
    );
  });

  it('of targets and of a fault’s answer is a tap too: the ward’s limits hold, the question is asked again', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await bot.type(ina, 'oncall @suvi');
    const set = await bot.type(suvi, 'targets Biscuit map 60-80 until 23:00 reason head injury');
    const back = await bot.press(suvi, 'done:undo', { message: set.message! });
    expect(back.text).toMatch(/^Taken back for Biscuit .*: targets .*head injury/);
    expect((await bot.line('Biscuit')).targets).toBeNull();

    await bot.type(ina, 'fault Biscuit flat');
    const page = () => bot.platform.view(ina)!;
    const asked = () => JSON.stringify(page().spec.blocks).match(/Step \d+ of \d+: [^*]+/)?.[0];
    const first = asked();
    const { id } = await bot.line('Biscuit');
    const answer = actionsOf({ blocks: page().spec.blocks as never }).filter((one) =>
      one.startsWith('done:answer'),
    );
    await bot.platform.press({ user: ina, actionId: answer[0]!, viewId: page().id });
    await bot.platform.until('the next question', () => asked() !== first);
    await bot.platform.press({ user: ina, actionId: `done:undo:${id}`, viewId: page().id });
    await bot.platform.until('the first question again', () => asked() === first);
    expect((await bot.line('Biscuit')).faults).toMatchObject([{ sign: 'flat', steps: [] }]);
    expect(JSON.stringify(page().spec.blocks)).toContain('Taken back for Biscuit');
  });
});
