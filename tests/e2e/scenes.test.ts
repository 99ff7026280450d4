import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { dutiesOfLine } from '../../src/domain/duties/duties-of-line.ts';
import { playScene, scenes } from '../../src/practice/scenes.ts';
import { emptyWard } from '../../src/redis/empty-ward.ts';
import { type BotOnPlatform, minute, wardId } from '../support/bot-on-platform.ts';
import { botTests, messagesOf } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const names = ['Biscuit', 'Otto', 'Miso', 'Oskar', 'Juno', 'Pepper'];
const afternoon = Date.parse('2026-11-24T15:03:00Z');
const begin = () => start({ mode: 'socket', redis, startMs: afternoon }, { names });

const clockOf = (bot: BotOnPlatform) => new Date(bot.clock.now()).toISOString().slice(11, 16);
const linesOf = async (bot: BotOnPlatform) => (await bot.record.readWard(wardId)).lines;

async function played(bot: BotOnPlatform, id: string) {
  expect(await playScene(bot.platform, bot.clock, id)).toEqual({
    played: scenes.find((one) => one.id === id)?.title,
  });
  await bot.sweep();
}

describe('a prepared scene', () => {
  it('of a quiet evening has two lines in order, and a flush due in ten minutes', async () => {
    const bot = await begin();
    await played(bot, 'quiet');
    expect(clockOf(bot)).toBe('19:30');
    const lines = await linesOf(bot);
    expect(lines.map(({ patient }) => patient.name).toSorted()).toEqual(['Biscuit', 'Otto']);
    const { ward } = await bot.record.readWard(wardId);
    const due = lines.flatMap((line) => dutiesOfLine(line, ward.policy, bot.clock.now()));
    expect(due.filter(({ dueAt }) => dueAt <= bot.clock.now())).toEqual([]);
    expect(due.some(({ kind, dueAt }) => kind === 'flush' && dueAt === bot.clock.now() + 10 * minute)).toBe(
      true,
    );
    expect(messagesOf(bot, 'card')).toHaveLength(2);
  });

  it('of a busy night has a cat ten minutes from her dwell warning, told as staff tell it', async () => {
    const bot = await begin();
    await played(bot, 'cat');
    expect(clockOf(bot)).toBe('02:00');
    const { ward, lines } = await bot.record.readWard(wardId);
    expect(lines).toHaveLength(4);
    const miso = await bot.line('Miso');
    const warning = dutiesOfLine(miso, ward.policy, bot.clock.now()).find(
      ({ kind }) => kind === 'dwellWarning',
    );
    expect(warning?.dueAt).toBe(bot.clock.now() + 10 * minute);
    // Through the bot's own doors: a form that was sent, words that were typed.
    const log = (await bot.record.readLog(wardId, miso.id)).filter(({ by }) => by !== 'bot');
    expect(log.map(({ kind, via }) => [kind, via])).toEqual([
      ['placed', 'form'],
      ['levelled', 'command'],
      ['zeroed', 'command'],
      ['fastFlushTested', 'command'],
      ['flushed', 'command'],
    ]);
    // The low pressure is the clinician's at once.
    expect((await bot.line('Pepper')).reading?.mapMmHg).toBe(53);
    expect(messagesOf(bot, 'escalation', 'U0CLINSUVI').at(-1)?.text).toMatch(/^PEPPER dog: mean 53 mmHg/);
  });

  it('of a handover comes to one in ten minutes', async () => {
    const bot = await begin();
    await played(bot, 'handover');
    expect(clockOf(bot)).toBe('18:35');
    expect(messagesOf(bot, 'handover')).toEqual([]);
    await bot.advanceTo(bot.clock.now() + 10 * minute);
    expect(messagesOf(bot, 'handover').length).toBeGreaterThan(0);
    expect(messagesOf(bot, 'handover').some(({ text }) => text.includes('Miso'))).toBe(true);
  });

  it('can be begun again: the ward is emptied, and takes another', async () => {
    const bot = await begin();
    await played(bot, 'quiet');
    await emptyWard(redis.client(), wardId);
    bot.emptied(wardId);
    bot.platform.core.workspace.record({ kind: 'cleared' });
    expect(await linesOf(bot)).toEqual([]);
    expect(messagesOf(bot, 'card')).toEqual([]);
    await played(bot, 'handover');
    expect(await linesOf(bot)).toHaveLength(3);
    expect(messagesOf(bot, 'card')).toHaveLength(3);
  });
});
