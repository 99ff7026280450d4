import { extractText, getDocumentProxy } from 'unpdf';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { StoredMessage } from '../../src/practice/platform/message.ts';
import {
  type BotOnPlatform,
  type BotOptions,
  east,
  ina,
  pause,
  teo,
  wardId,
} from '../support/bot-on-platform.ts';
import { actionsOf, botTests, lastOf, messagesOf, place, within } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);
const begin = (options: Partial<BotOptions> = {}, troubles?: RegExp) =>
  start({ mode: 'http', redis, startMs: at('18:00'), ...options }, troubles ? { troubles } : {});
/** A thread of its own may take long to begin on a busy machine, ms. */
const patienceMs = 40_000;

/** A ward with a cat that had a cold foot and a dog in good order, handed over by itself at 18:45. */
async function handedOver(options: Partial<BotOptions> = {}, troubles?: RegExp): Promise<BotOnPlatform> {
  const bot = await begin(options, troubles);
  await place(bot, 'Mochi cat 4.2kg left dorsal pedal 24g manual');
  await place(bot, 'Biscuit dog 28kg right dorsal pedal 20g manual');
  for (const name of ['Mochi', 'Biscuit']) {
    await bot.type(ina, `zero ${name}`);
    await bot.type(ina, `test ${name} normal`);
  }
  await bot.type(ina, 'check Mochi cold');
  await bot.advanceTo(at('18:20'));
  await bot.type(ina, 'check Mochi clean');
  return bot;
}

/** The files in the thread of the handover, by name, once there are so many; what waits is delivered meanwhile. */
async function filesInThread(bot: BotOnPlatform, count: number): Promise<string[]> {
  const { ts } = lastOf(bot, 'handover');
  const names = () =>
    bot.platform
      .messages(east)
      .filter((message: StoredMessage) => message.thread_ts === ts)
      .flatMap(({ files }) => (files ?? []).map(({ name }) => String(name)));
  for (const until = Date.now() + patienceMs; names().length < count && Date.now() < until; ) {
    await bot.quiet();
    await pause(20);
  }
  await bot.quiet();
  return names().toSorted();
}

describe('the handover of a shift', () => {
  it(
    'comes by itself with what to watch, its picture and its page in the thread, and is accepted and read back with one tap',
    async () => {
      const bot = await handedOver({ handoverFiles: true });
      await bot.advanceTo(at('18:45'));
      const first = lastOf(bot, 'handover');
      expect(first.text).toMatch(
        /^Handover to night, Tue 24 Nov 19:00 to 07:00\. On call: NOBODY from 19:00\. Set one: \/artline oncall @name\. 2 lines at 18:45, 1 to watch; all go to whoever accepts\./,
      );
      expect(first.text).toContain(
        'Mochi (cat, L dorsal pedal): cold hind foot 18:00, gone since 18:20; dwell limit 02:00. → If again: call a clinician at once.',
      );
      expect(await filesInThread(bot, 2)).toEqual([
        'handover-tue-24-nov-18-45.pdf',
        'shift-to-tue-24-nov-18-45.png',
      ]);
      const pictures = bot.platform.messages(east).flatMap(({ files }) => files ?? []);
      expect(String(pictures.find(({ name }) => String(name).endsWith('.png'))?.alt_txt)).toMatch(
        /^The shift, line by line, .*Mochi: finding 18:00/,
      );
      const accepted = await bot.press(teo, 'accept', within(bot, 'handover'));
      expect(accepted.text).toBe('You have the ward. Reminders of its lines go to you from now on.');
      await bot.quiet();
      expect(lastOf(bot, 'handover').text).toContain('Read back: all 1 to watch.');
      const { handovers } = await bot.record.readWardState(wardId);
      expect(handovers.at(-1)?.accepted?.readBack).toEqual([(await bot.line('Mochi')).id]);
    },
    patienceMs * 2,
  );

  it('is read back by ticks, and names what was not', async () => {
    const bot = await handedOver();
    await bot.type(ina, 'check Biscuit swelling');
    await bot.advanceTo(at('18:45'));
    const form = await bot.press(teo, 'open:readback', within(bot, 'handover'));
    expect(form.view?.spec.callback_id).toBe('readback');
    expect(form.text).toContain('Mochi, L dorsal pedal');
    expect(form.text).toContain('Swelling 18:20, still there');
    expect(form.text).toContain('What you don’t tick is shown in the channel as not read back.');
    const sent = await bot.submit(teo, { watch0: [(await bot.line('Biscuit')).id] });
    expect(sent.answer?.text).toMatch(/^You have the ward\..* Not read back: Mochi\.$/);
    await bot.quiet();
    expect(lastOf(bot, 'handover').text).toMatch(
      / Accepted 18:45 by Teo Marchetti, who took both\. .* Not read back: Mochi\./,
    );
    expect(actionsOf(lastOf(bot, 'handover'))).toEqual(['open:assign']);
  });

  it(
    'brings each file once, also where the answer to the upload was lost',
    async () => {
      const bot = await handedOver({ handoverFiles: true }, /http request failed/);
      bot.platform.fault({ method: 'files.completeUploadExternal', kind: 'dropAfterStore', times: 2 });
      await bot.advanceTo(at('18:45'));
      const files = await filesInThread(bot, 2);
      expect(files).toEqual(['handover-tue-24-nov-18-45.pdf', 'shift-to-tue-24-nov-18-45.png']);
      await bot.restart('killed');
      await bot.sweep();
      expect(await filesInThread(bot, 2)).toEqual(files);
      expect(messagesOf(bot, 'handover').filter(({ text }) => text.startsWith('Handover to'))).toHaveLength(
        1,
      );
    },
    patienceMs * 3,
  );

  it(
    'stands in words where its files cannot be uploaded, and says so in the thread',
    async () => {
      const bot = await handedOver({ handoverFiles: true }, /could not be added to a handover/);
      bot.platform.fault({
        method: 'files.getUploadURLExternal',
        kind: 'platformError',
        error: 'missing_scope',
        times: 9,
      });
      await bot.advanceTo(at('18:45'));
      expect(lastOf(bot, 'handover').text).toContain('Watch, most urgent first. Mochi');
      const lost = () => messagesOf(bot, 'handover').filter(({ text }) => /couldn’t be added/.test(text));
      for (const until = Date.now() + patienceMs; lost().length < 2 && Date.now() < until; ) {
        await bot.quiet();
        await pause(20);
      }
      expect(
        lost()
          .map(({ text }) => text)
          .toSorted(),
      ).toEqual([
        'The page to print couldn’t be added here. Type /artline handover paper and I’ll send it to you.',
        'The picture of the shift couldn’t be added here. Everything it shows is in words above.',
      ]);
      const { ts } = lastOf(bot, 'handover');
      expect(lost().every((one) => one.thread_ts === ts)).toBe(true);
    },
    patienceMs * 2,
  );
});

describe('the handover on paper', () => {
  it.each([
    ['typed', (bot: BotOnPlatform) => bot.platform.slash({ user: teo, text: 'handover paper' })],
    [
      'from the menu',
      async (bot: BotOnPlatform) => {
        const menu = await bot.type(teo, '');
        return bot.press(teo, 'open:handover:ward:paper', { view: menu.view! });
      },
    ],
  ] as const)(
    '%s comes to whoever asked, with every line and a box for each visit',
    async (_how, ask) => {
      const bot = await handedOver();
      await ask(bot);
      const message = await bot.platform.until(
        'the page',
        () => bot.platform.messages(teo).findLast(({ files }) => (files ?? []).length > 0),
        patienceMs,
      );
      const file = message.files?.[0];
      expect(String(file?.name)).toBe('handover-tue-24-nov-18-20.pdf');
      const stored = bot.platform.core.workspace.files.get(String(file?.id));
      const pdf = await getDocumentProxy(new Uint8Array(Buffer.from(stored?.bytesBase64 ?? '', 'base64')));
      const { text, totalPages } = await extractText(pdf, { mergePages: true });
      expect(totalPages).toBe(1);
      for (const words of [
        'Handover to night',
        'Watch, most urgent first',
        'cold hind foot 18:00, gone since 18:20',
        'Biscuit',
        'Visits until 07:00',
        'not a monitor',
      ])
        expect(text.replaceAll(/\s+/g, ' ')).toContain(words);
      // Nobody else is told, and nothing stands in the channel.
      expect(messagesOf(bot, 'handover')).toEqual([]);
    },
    patienceMs * 2,
  );
});
