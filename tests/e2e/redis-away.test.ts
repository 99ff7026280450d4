import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type BotOnPlatform, ina, pause, suvi, teo, wardId } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, lastOf, messagesOf, place, within } from '../support/bot-tests.ts';
import { startTestRedis, type TestRedis } from '../support/redis-for-tests.ts';

const biscuit = 'Biscuit dog 28kg left dorsal pedal 20g manual';
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);
const notRecorded = /^Not recorded: I can’t reach the record right now\./;
const notKnown = /can’t tell whether/;

let redis: TestRedis;
beforeAll(async () => {
  redis = await startTestRedis();
});
afterAll(() => redis.stop());
const start = botTests();
// What the operator is told while Redis is away is not what these tests look at.
const begin = (mode: 'socket' | 'http' = 'socket') => start({ mode, redis }, { troubles: /./ });

/** The bot's own connection takes commands again. */
async function back(bot: BotOnPlatform): Promise<void> {
  for (;;) {
    const answers = await bot.record.readWard(wardId).then(
      () => true,
      () => false,
    );
    if (answers) return;
    await pause(50);
  }
}

/** Takes Redis away while `during` runs: dead, or hung so that nothing is answered and nothing refused. */
const ways: [string, { away: () => Promise<void>; again: () => Promise<void> }][] = [
  ['stopped', { away: () => redis.kill(), again: () => redis.startAgain() }],
  [
    'hung',
    {
      away: async () => redis.pause(),
      again: async () => redis.resume(),
    },
  ],
];

describe.each(ways)('while Redis is %s', (_how, { away, again }) => {
  it.each(['socket', 'http'] as const)(
    'a command, a button and a form are acknowledged, told what to do, and write nothing (%s)',
    async (mode) => {
      const bot = await begin(mode);
      await place(bot, biscuit);
      await bot.advanceTo(at('19:25'));
      await bot.type(teo, 'sample Biscuit');
      const { version } = await bot.line('Biscuit');
      await away();

      expect((await bot.type(ina, 'flush Biscuit')).text).toMatch(notRecorded);
      expect((await bot.press(ina, 'done:flush', within(bot, 'card'))).text).toMatch(notRecorded);
      expect((await bot.type(ina, 'due')).text).toMatch(notRecorded);
      expect((await bot.type(ina, '')).text).toMatch(notRecorded);
      const kept = await bot.submit(teo, { volume: '2', flushed: 'not flushed' });
      expect(kept.accepted).toBe(false);
      expect(Object.values(kept.errors).join()).toMatch(notRecorded);
      expect(JSON.stringify(bot.platform.view(teo)?.values)).toContain('"value":"2"');

      await again();
      await back(bot);
      expect((await bot.line('Biscuit')).version).toBe(version);
      const sent = await bot.submit(teo);
      expect(sent.answer?.text).toMatch(/Recorded for Biscuit .*sample 2 mL, not flushed yet/);
      expect((await bot.line('Biscuit')).version).toBe(version + 1);
      expect((await bot.type(ina, 'flush Biscuit')).text).toMatch(/^Recorded for Biscuit/);
      await bot.quiet();
      expect(lastOf(bot, 'card').text).toContain('Flushed 19:25');
    },
    20_000,
  );

  it('what came due meanwhile is told when it is back, each once', async () => {
    const bot = await begin();
    await bot.type(ina, 'oncall @suvi');
    await place(bot, biscuit);
    await bot.type(ina, 'zero Biscuit');
    await bot.type(ina, 'test Biscuit normal');
    await bot.quiet();
    await away();
    bot.clock.jumpTo(at('20:41'));
    await expect(bot.sweep()).rejects.toThrow(/./);
    await again();
    await back(bot);
    await bot.sweep();
    await bot.sweep();
    expect(messagesOf(bot, 'nudge')).toHaveLength(1);
    expect(messagesOf(bot, 'escalation', ina)).toHaveLength(1);
    expect(messagesOf(bot, 'escalation', suvi)).toHaveLength(1);
    expect(lastOf(bot, 'escalation', suvi).text).toContain('flush 21 min late');
  }, 20_000);
});

it('a message that Redis dies under, between its sending and the writing down, stands once and settles', async () => {
  const bot = await begin();
  await place(bot, biscuit);
  bot.platform.fault({ method: 'chat.postMessage', kind: 'late', ms: 600 });
  bot.clock.jumpTo(at('19:30'));
  // One message a second to the channel: the card has just been posted.
  await pause(1_000);
  const looking = bot.look().catch(() => undefined);
  await bot.platform.until('the nudge', () => messagesOf(bot, 'nudge').length > 0);
  await redis.kill();
  await pause(700);
  await looking;
  await redis.startAgain();
  await back(bot);
  await bot.sweep();
  await bot.press(ina, 'done', within(bot, 'nudge'));
  await bot.quiet();
  expect(messagesOf(bot, 'nudge')).toHaveLength(1);
  expect(actionsOf(lastOf(bot, 'nudge'))).toEqual([]);
}, 20_000);

it('while Redis is full, what is due can be read, a telling is refused with what to do, and nothing is written', async () => {
  const bot = await begin();
  await place(bot, biscuit);
  const { version } = await bot.line('Biscuit');
  const client = redis.client();
  await client.config('SET', 'maxmemory', '1');
  try {
    expect((await bot.type(ina, 'due')).text).toContain('Flush 20:20');
    expect((await bot.type(ina, 'sample Biscuit 2 ml')).text).toMatch(notRecorded);
    expect((await bot.press(ina, 'done:zero', within(bot, 'card'))).text).toMatch(notRecorded);
    await bot.type(teo, 'sample Biscuit');
    const kept = await bot.submit(teo, { volume: '2' });
    expect(Object.values(kept.errors).join()).toMatch(notRecorded);
  } finally {
    await client.config('SET', 'maxmemory', '0');
    client.disconnect();
  }
  expect((await bot.line('Biscuit')).version).toBe(version);
  expect((await bot.submit(teo)).answer?.text).toMatch(/^Recorded for Biscuit/);
  expect((await bot.line('Biscuit')).version).toBe(version + 1);
});

describe('while Redis answers no write in time, and does them later', () => {
  const hold = async () => {
    const client = redis.client();
    await client.call('CLIENT', 'PAUSE', '2600', 'WRITE');
    client.disconnect();
  };

  it('a command is not called unrecorded, and told again it stands once', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    const { version } = await bot.line('Biscuit');
    await hold();
    expect((await bot.type(ina, 'sample Biscuit 2 ml')).text).toMatch(notKnown);
    await pause(800);
    expect((await bot.line('Biscuit')).version).toBe(version + 1);
    await back(bot);
    expect((await bot.type(ina, 'sample Biscuit 2 ml')).text).toMatch(/It’s recorded once\.$/);
    expect((await bot.line('Biscuit')).version).toBe(version + 1);
  }, 15_000);

  it('a button is not called unrecorded, and pressed again it stands once', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    await bot.advanceTo(at('19:25'));
    await hold();
    expect((await bot.press(ina, 'done:flush', within(bot, 'card'))).text).toMatch(notKnown);
    await pause(800);
    await back(bot);
    expect((await bot.press(ina, 'done:flush', within(bot, 'card'))).text).toMatch(/It’s recorded once\.$/);
    expect((await bot.line('Biscuit')).flushCount).toBe(1);
  }, 15_000);

  it.each([
    [
      'of the removal',
      'remove Biscuit',
      { reason: 'planned', tip: 'tip whole', site: 'nothing amiss' },
      /^Ina Brandvold already recorded that, 19:20: .* taken out: planned\. It’s recorded once\.$/,
      [/Taken out 19:20 by Ina Brandvold/],
    ],
    [
      'of the policy',
      'policy',
      { flushEveryMin: '45' },
      /^The ward policy is as in this form\. Nothing was written twice\.$/,
      [/Flush by hand, every 45 min/],
    ],
  ])(
    'the form %s is taken as told when it is pressed again, and what it says stands once',
    async (_what, words, values, said, shown) => {
      const bot = await begin();
      await place(bot, biscuit);
      await bot.type(ina, words);
      await hold();
      const slow = await bot.submit(ina, values);
      expect(Object.values(slow.errors).join()).toMatch(notKnown);
      await pause(800);
      await back(bot);
      const entries = async () => [
        (await bot.record.readWardLog(wardId)).length,
        (await bot.line('Biscuit')).version,
      ];
      const before = await entries();
      await bot.advanceTo(at('19:22'));
      const again = await bot.submit(ina);
      expect(again.errors).toEqual({});
      expect(again.answer?.text).toMatch(said);
      expect(await entries()).toEqual(before);
      await bot.quiet();
      for (const pattern of shown) expect(lastOf(bot, 'card').text).toMatch(pattern);
    },
    15_000,
  );

  it('the form of who is on call stays open, and pressed again the clinician is told once', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    const menu = await bot.type(ina, '');
    await bot.press(ina, 'open:oncall', { view: menu.view! });
    await hold();
    const slow = await bot.submit(ina, { user: suvi });
    expect(slow.accepted).toBe(false);
    expect(Object.values(slow.errors).join()).toMatch(notKnown);
    await pause(800);
    await back(bot);
    expect((await bot.submit(ina)).answer?.text).toMatch(/^On call now: Dr Suvi Aaltola/);
    await bot.sweep();
    expect(messagesOf(bot, 'notice', suvi).map(({ text }) => text)).toEqual([
      expect.stringMatching(/^You are on call/),
    ]);
  }, 15_000);

  it.each(['tell', 'place'])(
    'a form keeps what was typed, and pressed again it stands once (%s)',
    async (what) => {
      const bot = await begin();
      if (what === 'tell') {
        await place(bot, biscuit);
        await bot.type(ina, 'sample Biscuit');
      } else {
        await place(bot, 'Mochi cat 4kg median caudal 24g manual');
        await bot.type(ina, `place ${biscuit}`);
      }
      await hold();
      const slow = await bot.submit(ina, what === 'tell' ? { volume: '2' } : {});
      expect(slow.accepted).toBe(false);
      expect(Object.values(slow.errors).join()).toMatch(notKnown);
      await pause(800);
      await back(bot);
      await bot.advanceTo(at('19:22'));
      const again = await bot.submit(ina);
      expect(again.errors).toEqual({});
      await bot.quiet();
      const { lines } = await bot.record.readWard(wardId);
      const mine = lines.filter(({ patient }) => patient.name === 'Biscuit');
      expect(mine).toHaveLength(1);
      expect(mine[0]?.samples.length).toBe(what === 'tell' ? 1 : 0);
      expect(messagesOf(bot, 'card')).toHaveLength(lines.length);
    },
    15_000,
  );
});
