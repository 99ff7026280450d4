import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type BotOnPlatform, east, ina, wardId } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, lastOf, messagesOf, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';
import { simulatedStrip } from '../support/simulated-strip.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);
const begin = () => start({ mode: 'socket', redis, startMs: at('19:20') }, { names: ['Biscuit', 'Mochi'] });
const biscuit = 'Biscuit dog 28kg left dorsal pedal 20g manual';

/** A made strip as a recorder would write it. */
function csv(header: string, ...channels: Float64Array[]): Uint8Array {
  const rows = Array.from(
    channels[0] ?? [],
    (_, i) => `${(i / 250).toFixed(3)},${channels.map((one) => (one[i] ?? 0).toFixed(1)).join(',')}`,
  );
  return new TextEncoder().encode([header, ...rows].join('\n'));
}
const ringing = simulatedStrip({
  seconds: 20,
  ratePerMin: 120,
  line: { naturalHz: 14, damping: 0.15 },
  flush: { atS: 8, lengthS: 1, bagMmHg: 290 },
}).strip.pressuresMmHg;

async function share(bot: BotOnPlatform, name: string, bytes: Uint8Array) {
  await bot.platform.shareFile({ user: ina, channel: east, name, bytes });
  return bot.platform.messages(east).findLast(({ files }) => (files ?? []).length > 0)!;
}

/** Chooses "Read this strip" on a message; gives the private answer. */
async function readThis(bot: BotOnPlatform, messageTs: string) {
  const before = bot.platform.ephemerals(ina).length;
  await bot.platform.messageShortcut({ user: ina, channel: east, messageTs, callbackId: 'read_strip' });
  return bot.platform.until('an answer', () => bot.platform.ephemerals(ina)[before]);
}

describe('a strip uploaded to the ward’s channel', () => {
  it('is read into the thread of the line’s card, with a picture in words too, and recorded on confirmation', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    const card = lastOf(bot, 'card');
    const shared = await share(bot, 'biscuit.csv', csv('time_s,abp_mmHg', ringing));
    const answer = await readThis(bot, shared.ts);
    const report = lastOf(bot, 'report');
    expect(answer.text).toMatch(/^Read\. <http/);
    expect(answer.text).toContain(`/p${report.ts.replace('.', '')}|What was found> is in the thread`);
    expect(report.thread_ts).toBe(card.ts);
    expect(report.text).toMatch(
      /^Strip of Biscuit \(left dorsal pedal\), shared 19:20, read for Ina Brandvold\. .*: 1\d\d\/\d\d mmHg, mean \d+ mmHg, 120 beats per minute, regular; the line looks spiky \(underdamped\), so the systolic reads too high/,
    );
    const picture = bot.platform.messages(east).find(({ files, bot_id }) => bot_id && files?.length)!;
    expect(picture.thread_ts).toBe(card.ts);
    expect(String(picture.files?.[0]?.alt_txt)).toMatch(/^Picture of an arterial pressure strip: /);
    expect(
      (await bot.record.readLog(wardId, (await bot.line('Biscuit')).id)).map(({ kind }) => kind),
    ).toEqual(['placed']);

    const recorded = await bot.press(ina, 'done:strip', { message: report });
    expect(recorded.text).toMatch(
      /Recorded for Biscuit .*fast-flush test: underdamped and reading 1\d\d\/\d\d/,
    );
    expect(actionsOf(lastOf(bot, 'report'))).toEqual([]);
    expect(lastOf(bot, 'report').text).toContain('Recorded 19:20 by Ina Brandvold.');
    await bot.quiet();
    expect(lastOf(bot, 'card').text).toMatch(
      /underdamped at 120 \/min \(1\d\.\d Hz, damping 0\.1\d, read from a strip\)/,
    );
    bot.slowly();
    const again = await bot.press(ina, 'done:strip', { message: report }, { stale: report.blocks! });
    expect(again.text).toContain('It’s recorded once.');
  });

  it('asks whose it is where several lines are in, and which pressure where the file has two', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    await place(bot, 'Mochi cat 4kg median caudal 24g manual');
    const shared = await share(bot, 'two.csv', csv('time_s,ABP [mmHg],ART2 [mmHg]', ringing, ringing));
    const whose = await readThis(bot, shared.ts);
    expect(whose.text).toBe('Whose strip is it?');
    const which = await bot.press(ina, `open:strip:${(await bot.line('Mochi')).id}`, { message: whose });
    expect(which.text).toMatch(/ABP.*ART2/);
    expect((await bot.press(ina, 'open:strip', { message: which.message! })).text).toMatch(/^Read\. /);
    expect(lastOf(bot, 'report').text).toMatch(/^Strip of Mochi/);
  });

  it.each<[string, string, Uint8Array, RegExp]>([
    ['no units', 'a.csv', csv('time,abp', ringing), /^Not read\. .*unit/],
    [
      'a zip archive',
      'a.csv',
      new Uint8Array([0x50, 0x4b, 3, 4, ...Array.from({ length: 200 }, () => 7)]),
      /^Not read\. /,
    ],
    ['a formula', 'a.csv', new TextEncoder().encode('time_s,abp_mmHg\n0,=1+1\n0.004,80'), /^Not read\. /],
    ['cut short', 'a.csv', csv('time_s,abp_mmHg', ringing.slice(0, 200)), /^Not read\. /],
    ['empty', 'a.csv', new TextEncoder().encode('\n'), /^Not read\. /],
    ['over 8 MB', 'a.csv', new Uint8Array(8_100_000).fill(48), /^Not read\. The upload is larger than 8 MB/],
    ['data without its header', 'a.dat', new Uint8Array([1, 2, 3]), /^Not read\. .*\.hea/],
  ])('is refused with a sentence: %s', async (_what, name, bytes, said) => {
    const bot = await begin();
    await place(bot, biscuit);
    const shared = await share(bot, name, bytes);
    expect((await readThis(bot, shared.ts)).text).toMatch(said);
    expect(messagesOf(bot, 'report')).toEqual([]);
  });

  it.each<[string, (mmHg: number) => number]>([
    ['kPa under a heading of mmHg', (mmHg) => mmHg / 7.5],
    ['a zero far off', (mmHg) => mmHg - 90],
  ])('offers no pressures for the record where it doubts them itself: %s', async (_what, spoilt) => {
    const bot = await begin();
    await place(bot, biscuit);
    const quiet = simulatedStrip({ seconds: 20, ratePerMin: 120, flush: null }).strip.pressuresMmHg.map(
      spoilt,
    );
    const shared = await share(bot, 'a.csv', csv('time_s,abp_mmHg', quiet));
    expect((await readThis(bot, shared.ts)).text).not.toContain('Record this');
    expect(lastOf(bot, 'report').text).toMatch(/looks like kPa|the zero is wrong/);
    expect(lastOf(bot, 'report').text).toContain('No pressures can be recorded from it.');
    expect(actionsOf(lastOf(bot, 'report'))).toEqual([]);
  });

  it('tells channels of one name apart', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    const shared = await share(bot, 'a.csv', csv('time_s,ABP [mmHg],ABP [mmHg]', ringing, ringing));
    const which = await readThis(bot, shared.ts);
    expect(which.text).toContain('ABP (no. 2), ABP (no. 3)');
    expect((await bot.press(ina, 'open:strip', { message: which })).text).toMatch(/^Read\. /);
  });

  it('is nobody’s on a message without a file, or a ward without a line', async () => {
    const bot = await begin();
    const plain = await bot.platform.say({ user: ina, channel: east, text: 'look' });
    expect((await readThis(bot, plain.ts)).text).toMatch(/There is no file on this message/);
    const shared = await share(bot, 'a.csv', csv('time_s,abp_mmHg', ringing));
    expect((await readThis(bot, shared.ts)).text).toMatch(/No line is in on this ward/);
  });
});
