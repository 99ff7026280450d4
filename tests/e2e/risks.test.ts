import { extractText, getDocumentProxy } from 'unpdf';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { AuditFailed, type Audits } from '../../src/app/audits.ts';
import { wardAudit } from '../../src/domain/audit/ward-audit.ts';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { type BotOnPlatform, type BotOptions, east, hour, ina, teo } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, place } from '../support/bot-tests.ts';
import { LineLog } from '../support/line-builder.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const now = Date.parse('2026-11-24T19:20:00Z');
const begin = (options: Partial<BotOptions> = {}, ending: { troubles?: RegExp } = {}) =>
  start({ mode: 'http', redis, startMs: now, ...options }, ending);
/** A thread of its own may take long to begin on a busy machine, ms. */
const patienceMs = 25_000;
const caution = 'The attending clinician, hospital protocol and local codes decide.';

/** Counts of a ward on which so many cats had a line, every fifth with one that blocked; notes what was asked for. */
function auditsOf(cats: number, asked: [fromMs: number, toMs: number][] = []): Audits {
  return {
    async of(_ward, period) {
      asked.push([period.fromMs, period.toMs]);
      const lines = Array.from({ length: cats }, (_, index) => {
        const id = `line-${index}`;
        const at = now - (100 + 20 * index) * hour;
        const patient = { name: `Cat ${index}`, species: 'cat', weightKg: 4 } as const;
        const log = new LineLog(at, { patient }, id).add('removed', at + 6 * hour, {
          reason: index % 5 === 0 ? 'occluded' : 'planned',
        });
        return { id, entries: log.entries };
      });
      const audit = wardAudit({ wardEntries: [], lines }, defaultPolicy('UTC'), period);
      return { audit, pictures: [], curvePictures: {} };
    },
  };
}

/** The answer that is a page, whatever was said before it. */
const pageFor = (bot: BotOnPlatform, user: string, animal: string) =>
  bot.platform.until(
    'the page',
    () =>
      bot.platform
        .ephemerals(user)
        .findLast(({ text }) => text.includes(`\nAn arterial line for your ${animal}\n`)),
    patienceMs,
  );
/** What stands in the view on top once it is the page. */
const pageInView = (bot: BotOnPlatform, animal: string) =>
  bot.platform.until(
    'the page in the view',
    () => {
      const view = bot.platform.view(ina);
      return JSON.stringify(view?.spec.blocks ?? '').includes(`An arterial line for your ${animal}`)
        ? view
        : undefined;
    },
    patienceMs,
  );

async function paperFor(bot: BotOnPlatform, user: string): Promise<{ name: string; words: string }> {
  const message = await bot.platform.until(
    'the file',
    () => bot.platform.messages(user).findLast(({ files }) => (files ?? []).length > 0),
    patienceMs,
  );
  const file = message.files?.[0];
  const answer = await fetch(String(file?.url_private_download), {
    headers: { authorization: `Bearer ${bot.platform.world.app.botToken}` },
  });
  const pdf = await getDocumentProxy(new Uint8Array(await answer.arrayBuffer()));
  const { text } = await extractText(pdf, { mergePages: true });
  return { name: String(file?.name), words: text.replaceAll(/\s+/g, ' ') };
}

describe('what an owner is told', () => {
  it('is answered to the asker alone, as published where the ward has no lines, and sent for paper on a tap', async () => {
    const bot = await begin();
    await bot.type(ina, 'risks cat');
    const page = await pageFor(bot, ina, 'cat');
    expect(page.text).toContain(
      'A minor problem, such as a blocked line or a bruise: about 1 in 4 lines (9 of 38; between 13 and 39 in 100). [2]',
    );
    expect(page.text).toContain('this ward has too few lines of its own to count (under 50).');
    expect(page.text.split(caution)).toHaveLength(2);
    expect(JSON.stringify(page.blocks).split(caution)).toHaveLength(2);
    await bot.platform.press({ user: ina, actionId: 'open:risks:cat:paper', messageTs: page.ts });
    const { name, words } = await paperFor(bot, ina);
    expect(name).toBe('arterial-line-cat-2026-11-24.pdf');
    expect(words).toContain('An arterial line for your cat');
    expect(words).toContain('about 1 in 4 lines (9 of 38; between 13 and 39 in 100). [2]');
    expect(words).toContain('As of 24 November 2026.');
    expect(words.split(caution)).toHaveLength(2);
    expect(bot.platform.messages(east)).toEqual([]);
    expect(bot.platform.ephemerals(teo)).toEqual([]);
    expect(bot.platform.messages(teo)).toEqual([]);
  });

  it('is the ward’s own from 50 lines on, of two years up to the last midnight, and cats’ alone', async () => {
    const asked: [number, number][] = [];
    const bot = await begin({ audits: auditsOf(60, asked) });
    await bot.type(ina, 'risks feline');
    const { text } = await pageFor(bot, ina, 'cat');
    expect(text).toContain(
      'a cold leg or no pulse): about 1 in 5 lines (12 of 60; between 12 and 32 in 100). [2]',
    );
    expect(text).toContain('[2] This ward’s own lines in cats, 2 years up to 23 November 2026.');
    expect(asked).toEqual([[Date.parse('2024-11-24T00:00:00Z'), Date.parse('2026-11-24T00:00:00Z')]]);
    await bot.type(ina, 'risks dog');
    expect((await pageFor(bot, ina, 'dog')).text).toContain('(38 of 198; between 14 and 25 in 100)');
  });

  it('is asked of which animal where none is named, and the page takes the place of the question', async () => {
    const bot = await begin({ audits: auditsOf(0) });
    const ask = await bot.type(ina, 'risks');
    expect(ask.text).toBe(
      'Half a page to read to the owner: what an arterial line is for and what may happen. For which animal?',
    );
    expect(actionsOf(ask.message!)).toEqual(['open:risks:dog', 'open:risks:cat', 'open:risks:other']);
    await bot.press(ina, 'open:risks:other', { message: ask.message! });
    const { text } = await pageFor(bot, ina, 'animal');
    expect(text).toContain('We know of no published figures except for dogs and cats');
    expect(bot.platform.ephemerals(ina)).toHaveLength(1);
  });

  it('is of any species that is typed, and not guessed at where none is understood', async () => {
    const bot = await begin({ audits: auditsOf(0) });
    await bot.type(ina, 'risks bunny');
    expect((await pageFor(bot, ina, 'rabbit')).text).toContain('too few lines of its own in rabbits');
    const answer = await bot.type(ina, 'risks Biscuit <!here>');
    expect(answer.text).toBe(
      '“Biscuit &lt;!here&gt;” isn’t an animal I know or a patient here. Write dog, cat or other, for example /artline risks cat, or choose here.',
    );
    expect(actionsOf(answer.message!)).toEqual(['open:risks:dog', 'open:risks:cat', 'open:risks:other']);
  });

  it('is of a patient’s species where a patient here is named', async () => {
    const bot = await begin({ audits: auditsOf(0) });
    await place(bot, 'Mochi cat 4kg left dorsal pedal 24g manual');
    const seen = bot.platform.ephemerals(ina).length;
    await bot.type(ina, 'risks mochi');
    await pageFor(bot, ina, 'cat');
    expect(bot.platform.ephemerals(ina)).toHaveLength(seen + 1);
  });

  it('is reached by thumb from the menu and from the page before placing, and changes animals in place', async () => {
    const bot = await begin({ audits: auditsOf(0) });
    const menu = await bot.type(ina, '');
    await bot.press(ina, 'open:risks', { view: menu.view! });
    expect(bot.platform.view(ina)?.spec.callback_id).toBe('risks');
    await bot.platform.press({ user: ina, actionId: 'open:risks:dog', viewId: bot.platform.view(ina)!.id });
    const dog = await pageInView(bot, 'dog');
    await bot.platform.press({ user: ina, actionId: 'open:risks:cat', viewId: dog.id });
    const cat = await pageInView(bot, 'cat');
    expect(cat.id).toBe(dog.id);
    await bot.platform.press({ user: ina, actionId: 'open:risks:cat:paper', viewId: cat.id });
    expect((await paperFor(bot, ina)).words).toContain('An arterial line for your cat');
    const again = await bot.type(ina, '');
    await bot.press(ina, 'open:place', { view: again.view! });
    await bot.press(ina, 'open:risks', { view: bot.platform.view(ina)! });
    expect(bot.platform.view(ina)?.spec.callback_id).toBe('risks');
    expect(bot.platform.messages(east)).toEqual([]);
  });

  it('says that lines are being counted where that takes long, then shows the page in its place', async () => {
    const bot = await begin({
      audits: {
        async of(...asked) {
          await new Promise((resolve) => setTimeout(resolve, 2_500));
          return auditsOf(60).of(...asked);
        },
      },
    });
    const menu = await bot.type(ina, '');
    await bot.press(ina, 'open:risks', { view: menu.view! });
    const { id } = bot.platform.view(ina)!;
    await bot.platform.press({ user: ina, actionId: 'open:risks:cat', viewId: id });
    await bot.platform.until(
      'a word meanwhile',
      () =>
        JSON.stringify(bot.platform.view(ina)?.spec.blocks).includes('Counting this ward’s own lines') ||
        undefined,
    );
    expect(JSON.stringify((await pageInView(bot, 'cat')).spec.blocks)).toContain('(12 of 60; ');
  });

  it('is as published, and says so, where the ward’s lines cannot be counted', async () => {
    const bot = await begin(
      {
        audits: {
          of: async () => {
            throw new AuditFailed('not just now');
          },
        },
      },
      { troubles: /figures for an owner could not be counted/ },
    );
    await bot.type(ina, 'risks dog');
    expect((await pageFor(bot, ina, 'dog')).text).toContain(
      'These are other hospitals’ figures: this ward’s own lines couldn’t be counted just now.',
    );
    expect(bot.troubles).toHaveLength(1);
  });

  it('on paper that cannot be sent is said so, and that the screen says the same', async () => {
    const bot = await begin({ audits: auditsOf(0) }, { troubles: /page for paper couldn’t be sent/ });
    await bot.type(ina, 'risks dog');
    const page = await pageFor(bot, ina, 'dog');
    bot.platform.fault({
      method: 'files.getUploadURLExternal',
      kind: 'platformError',
      error: 'missing_scope',
    });
    await bot.platform.press({ user: ina, actionId: 'open:risks:dog:paper', messageTs: page.ts });
    const said = await bot.platform.until(
      'the refusal',
      () => bot.platform.ephemerals(ina).find(({ text }) => text.startsWith('The page couldn’t be sent')),
      patienceMs,
    );
    expect(said.text).toContain('Try again in a minute, or read it out from here: it says the same.');
    expect(bot.troubles).toHaveLength(1);
  });
});
