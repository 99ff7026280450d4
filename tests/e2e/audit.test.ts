import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { AuditFailed, type Audits } from '../../src/app/audits.ts';
import { type BotOnPlatform, east, hour, ina, suvi, teo, wardId } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, lastOf, messagesOf, place } from '../support/bot-tests.ts';
import { startTestRedis, type TestRedis } from '../support/redis-for-tests.ts';

let redis: TestRedis;
beforeAll(async () => {
  redis = await startTestRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (text: string) => Date.parse(`${text}:00Z`);
const names = ['Biscuit', 'Mochi'];
const begin = (startMs: number, audits?: Audits) =>
  start({ mode: 'socket', redis, startMs, ...(audits ? { audits } : {}) }, { names });

describe('/artline audit', () => {
  it('prints', async () => {
    const bot = await begin(at('2026-11-24T19:20'));
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    console.log((await bot.type(ina, 'audit 90d')).text);
    await bot.platform.until('report', () => messagesOf(bot, 'report', ina).length >= 2);
    await new Promise((r) => setTimeout(r, 3000));
    console.log(bot.platform.ephemerals(ina).map(({ text }) => text));
    for (const m of bot.platform.messages(ina))
      console.log(
        m.text,
        m.files?.map((f) => [f.title, f.alt_txt]),
      );
    console.log(bot.troubles);
  });
});
