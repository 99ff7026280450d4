import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ina, teo } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, filledIn, lastOf, messagesOf, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);
const begin = () => start({ mode: 'socket', redis, startMs: at('20:00') });
/** The verbs of buttons, without the line they are about. */
const verbsOf = (message: Parameters<typeof actionsOf>[0] | undefined) =>
  actionsOf(message ?? {}).map((id) => id.split(':').slice(0, 2).join(':'));

describe('a line for samples only', () => {
  it('is registered by words, flushed by hand without being asked, and owes no zero, level or test', async () => {
    const bot = await begin();
    const form = await bot.type(ina, 'place Biscuit dog 28kg left dorsal pedal 20g samples only');
    expect(filledIn(form.view!)).toMatchObject({ transducer: 'no', flushMode: 'manual' });
    const sent = await bot.submit(ina);
    expect(sent.errors).toEqual({});
    expect(sent.answer?.text).toBe(
      'Registered: Biscuit (left dorsal pedal). Not screened. Samples only, capped: nothing to zero or test. Flush it by hand every 60 min; I’ll remind you.',
    );
    expect(verbsOf(sent.answer?.message)).toEqual(['open:transducer', 'done:undo', 'open:amend']);
    await bot.quiet();
    const card = lastOf(bot, 'card');
    expect(card.text).toContain('Samples only: capped, no transducer since 20:00');
    expect(verbsOf(card)).toEqual(['done:flush', 'open:card', 'open:mine']);
    // A line on its transducer is asked for its zero and test 10 min after placing; this one for its flush at 60.
    await bot.advanceTo(at('20:59'));
    expect(messagesOf(bot, 'nudge')).toEqual([]);
    await bot.advanceTo(at('21:00'));
    expect(lastOf(bot, 'nudge').text).toContain('Biscuit (left dorsal pedal): flush.');
  });

  it('is registered by form; running fluid into it is refused there', async () => {
    const bot = await begin();
    await bot.type(ina, 'place Biscuit dog 28kg left dorsal pedal 20g');
    const refused = await bot.submit(ina, { transducer: 'no', flushMode: 'continuous' });
    expect(refused.errors?.flushMode).toContain('A capped line is flushed by hand');
    const sent = await bot.submit(ina, { flushMode: 'manual' });
    expect(sent.answer?.text).toContain('Samples only, capped: nothing to zero or test.');
    expect(await bot.line('Biscuit')).toMatchObject({ flushMode: 'manual', zeroCause: null });
  });

  it.each(['zero Biscuit', 'level Biscuit', 'test Biscuit normal', 'reading Biscuit 118/64 mmHg'])(
    'is refused “%s”, with the way to join it',
    async (words) => {
      const bot = await begin();
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g samples only');
      const before = await bot.line('Biscuit');
      const said = await bot.type(ina, words);
      expect(said.text).toMatch(/^Not recorded: Biscuit \(left dorsal pedal\) is capped\./);
      expect(verbsOf(said.message)).toEqual(['open:transducer']);
      expect((await bot.line('Biscuit')).version).toBe(before.version);
    },
  );

  it('takes samples and flushes, and its blood is added up', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g samples only');
    const first = await bot.type(ina, 'sample Biscuit 2 mL discard 3 mL returned flushed');
    // 28 kg × 85 mL/kg (dog; Diehl et al., J Appl Toxicol 2001;21:15-23) = 2380 mL: 2 mL are 0.1 %.
    expect(first.text).toContain(
      '2 mL of blood lost in 24 h, 0.1 % of the circulating volume. Next: flush 21:00.',
    );
    await bot.advanceTo(at('20:30'));
    const flushed = await bot.type(ina, 'flush Biscuit');
    expect(flushed.text).toContain('flushed 2 mL (the usual), 20:30. Next: flush 21:30.');
    const second = await bot.type(teo, 'sample Biscuit 20 mL discard 3 mL thrown away flushed');
    // 2 + 20 + 3 = 25 mL of 2380 mL: 1.05 %.
    expect(second.text).toContain('25 mL of blood lost in 24 h, 1.1 % of the circulating volume');
    expect(second.text).not.toContain('zero');
  });

  it('has the path of a blocked line, and no question of a trace', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g samples only');
    const signs = await bot.type(ina, 'fault Biscuit');
    expect(verbsOf(signs.view?.spec as never)).toEqual(['open:fault']);
    expect(signs.text).toContain('It is capped, so it has no trace.');
    const [actionId = ''] = actionsOf(signs.view?.spec as never);
    await bot.platform.press({ user: ina, actionId, viewId: signs.view!.id });
    const asked = await bot.platform.until('the first question', () => {
      const view = JSON.stringify(bot.platform.view(ina)?.spec);
      return view.includes('Step 1 of') ? view : undefined;
    });
    expect(asked).toContain('Biscuit');
    expect(asked).not.toContain('Look at the trace');
    expect((await bot.line('Biscuit')).faults).toMatchObject([{ sign: 'blocked', closedAt: null }]);
  });
});

describe('a line that was taken off its transducer', () => {
  it('is joined again by one tap, and then its zero and test are due', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await bot.type(ina, 'zero Biscuit');
    await bot.type(ina, 'test Biscuit normal');
    const capped = await bot.type(ina, 'transducer Biscuit off, flushed first');
    expect(capped.text).toMatch(
      /^Recorded for Biscuit \(left dorsal pedal\): taken off its transducer and capped \(flushed 2 mL \(the usual\)\), 20:00\. Next: flush 21:00\.$/,
    );
    const refused = await bot.type(ina, 'zero Biscuit');
    expect(verbsOf(refused.message)).toEqual(['done:joined', 'open:transducer']);
    await bot.advanceTo(at('20:20'));
    expect(messagesOf(bot, 'nudge')).toEqual([]);
    const joined = await bot.press(ina, 'done:joined', { message: refused.message! });
    expect(joined.text).toBe(
      'Recorded for Biscuit (left dorsal pedal): joined to its transducer again, flush by hand, 20:20. Due now: zero and level, fast-flush test.',
    );
    expect(verbsOf(joined.message)).toEqual(['done:zero', 'done:undo', 'open:amend']);
    await bot.advanceTo(at('20:30'));
    expect(lastOf(bot, 'nudge').text).toContain('zero and level, fast-flush test');
  });
});
