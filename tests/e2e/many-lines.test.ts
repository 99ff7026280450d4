import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { placeLine } from '../../src/app/place-line.ts';
import type { StoredMessage } from '../../src/practice/platform/message.ts';
import {
  type BotOnPlatform,
  east,
  hour,
  ina,
  minute,
  suvi,
  teo,
  wardId,
} from '../support/bot-on-platform.ts';
import { actionsOf, botTests, lastOf, messagesOf } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const begin = (startMs: number, names: readonly string[] = []) =>
  start({ mode: 'http', redis, startMs }, { names, troubles: /the jobs were silent/ });

/** Wide letters, emoji and letters that the platform writes as five: the longest names there are. */
const wide = (index: number) => `${'Ｗ'.repeat(12)} ${'&'.repeat(18)} 🐕 ${String(index).padStart(3, '0')}`;
const plain = (index: number) => `Patient ${String(index).padStart(3, '0')}`;

/** Registers `count` lines through the app, without their forms; `everyMs` apart, the last at the clock's time. */
async function register(bot: BotOnPlatform, count: number, everyMs: number, name = plain): Promise<string[]> {
  const now = bot.clock.now();
  const names = Array.from({ length: count }, (_, index) => name(index));
  let ids = 0;
  for (const [index, patient] of names.entries()) {
    const placed = await placeLine(
      {
        record: bot.record,
        clock: bot.clock,
        alarm: { wakeAt: async () => {}, postsWaiting: async () => {} },
        watch: {
          entryAccepted() {},
          conflict() {},
          notified() {},
          posted() {},
          repaired() {},
          trouble() {},
        },
        newId: () => (ids++).toString(16).padStart(10, '0'),
      },
      { wardId, by: ina, via: 'form', at: now - (count - 1 - index) * everyMs },
      {
        patient: { name: patient, species: 'dog', weightKg: 20 },
        site: 'dorsal pedal',
        side: 'left',
        gauge: 20,
        flushMode: 'manual',
        nurse: ina,
      },
    );
    expect(placed.is).toBe('placed');
  }
  await bot.sweep();
  return names;
}

/** The lines a message says it is about. */
const linesOf = ({ metadata }: StoredMessage) => (metadata?.event_payload.lines ?? []) as string[];

/** Names in the order in which they are said for the first time. */
const firstSaid = (texts: readonly string[], pattern: RegExp) => [
  ...new Set(texts.flatMap((text) => text.match(pattern) ?? [])),
];

describe('a ward of 200 lines', () => {
  it('is handed over whole: every patient in a few posts, and each once and in order in the thread', async () => {
    const bot = await begin(at('13:00'));
    const names = await register(bot, 200, 90_000);
    expect(messagesOf(bot, 'card')).toHaveLength(200);
    const before = messagesOf(bot, 'handover').length;
    await bot.type(ina, 'handover');
    await bot.quiet();
    const pages = messagesOf(bot, 'handover').slice(before);
    const [first] = pages;
    const channel = pages.filter(({ thread_ts }) => thread_ts === undefined);
    expect(
      firstSaid(
        channel.map(({ text }) => text),
        /Patient \d{3}/g,
      ).toSorted(),
    ).toEqual(names);
    const patients = pages.filter(({ text }) => text.startsWith('Each patient'));
    expect(
      firstSaid(
        patients.map(({ text }) => text),
        /Patient \d{3}/g,
      ),
    ).toEqual(names);
    expect(patients.map(({ text }) => Number(/part (\d+) of/.exec(text)?.[1]))).toEqual(
      patients.map((_, index) => index + 1),
    );
    for (const { text } of patients) expect(text).toMatch(/Recommendation [^.]*\.$/);

    const visits = pages.filter(({ text }) => text.startsWith('Later visits'));
    const clocks = visits.flatMap(({ text }) =>
      [...text.matchAll(/(?:^|[.)] )(\d\d:\d\d)(?:, more)? /g)].map(([, clock]) => clock ?? ''),
    );
    expect(clocks.length).toBeGreaterThan(5);
    expect(clocks).toEqual(clocks.toSorted());
    for (const { text } of pages) expect(text).not.toContain('…');

    await bot.advanceTo(at('13:01'));
    const accepted = await bot.press(teo, 'accept', { message: first! });
    expect(accepted.text).toContain('You have the ward.');
    await bot.quiet();
    expect(lastOf(bot, 'card').text).toContain('With Teo Marchetti.');
  }, 60_000);
});

describe('a ward of 120 lines', () => {
  it('opens its menu, answers what is due, and follows a new policy on every card', async () => {
    const bot = await begin(at('13:00'));
    await register(bot, 120, 10_000);
    const menu = await bot.type(ina, '');
    expect(menu.view?.spec.callback_id).toBe('menu');
    expect(menu.text).toContain('40 more; /artline handover lists all.');
    await bot.platform.close({ user: ina, viewId: menu.view!.id });
    const due = await bot.type(ina, 'due');
    expect(due.text).toMatch(/\d+ more lines: \/artline handover lists all\./);
    expect(due.text.match(/Patient \d{3}/g)?.length).toBeGreaterThan(10);
    expect((await bot.type(ina, 'flush Patient 107')).text).toMatch(/^Recorded for Patient 107/);
    await bot.type(ina, 'policy');
    expect((await bot.submit(ina, { flushEveryMin: '45' })).errors).toEqual({});
    await bot.quiet();
    for (const { text } of messagesOf(bot, 'card')) expect(text).toContain('Flush by hand, every 45 min.');
  }, 60_000);
});

describe('a ward of 90 lines with the widest names', () => {
  it('is shown, listed, asked about and handed over in messages that the platform takes', async () => {
    const bot = await begin(at('13:00'));
    const names = await register(bot, 90, 10_000, wide);
    const shortNames = names.map((name) => name.slice(-'🐕 000'.length));
    const menu = await bot.type(ina, '');
    expect(menu.view?.spec.callback_id).toBe('menu');
    expect(menu.text).toContain('10 more; /artline handover lists all.');
    await bot.platform.close({ user: ina, viewId: menu.view!.id });
    const due = await bot.type(ina, 'due');
    expect(due.text).toMatch(/\d+ more lines: \/artline handover lists all\./);
    expect(due.text).not.toContain('…');
    const which = await bot.type(ina, 'flush');
    expect(which.text).toMatch(/^Which patient\?/);
    expect(actionsOf(which.message!)).toHaveLength(8);
    const before = messagesOf(bot, 'handover').length;
    await bot.type(ina, 'handover');
    await bot.quiet();
    const pages = messagesOf(bot, 'handover')
      .slice(before)
      .map(({ text }) => text);
    expect(firstSaid(pages, /🐕 \d{3}/g).toSorted()).toEqual(shortNames);
    for (const text of pages) expect(text).not.toContain('…');
    expect(pages[0]).toMatch(/^Handover to /);
  }, 60_000);
});

it('30 lines that were shared out are counted to whoever accepts, a few of them named', async () => {
  const bot = await begin(at('18:20'));
  await register(bot, 30, 1_000);
  await bot.type(ina, 'assign all @teo next shift');
  await bot.type(ina, 'handover');
  await bot.quiet();
  const accepted = await bot.press(ina, 'accept', { message: lastOf(bot, 'handover') });
  expect(accepted.text).toMatch(
    /from 19:00 Patient 000 .*, Patient 011 \(left dorsal pedal\) and 18 more with Teo Marchetti\.$/,
  );
});

describe('30 lines due in one round', () => {
  it.each([
    ['plain names', plain, /Patient \d{3}/g],
    ['the widest names', wide, /🐕 \d{3}/g],
  ])(
    'are asked for in messages that fit, each line once, with buttons that work (%s)',
    async (_what, name, pattern) => {
      const bot = await begin(at('18:00'));
      await bot.type(ina, 'oncall @suvi');
      const names = await register(bot, 30, 1_000, name);
      await bot.advanceTo(at('18:10'));
      const nudges = messagesOf(bot, 'nudge');
      // Two duties each: rows of words, and one tap for all.
      expect(nudges.length).toBeLessThanOrEqual(name === plain ? 2 : 4);
      expect(
        firstSaid(
          nudges.map(({ text }) => text),
          pattern,
        ),
      ).toHaveLength(30);
      for (const nudge of nudges) {
        expect(nudge.text).not.toContain('…');
        expect(actionsOf(nudge).some((id) => id.startsWith('done:all'))).toBe(true);
      }
      expect(actionsOf(nudges[0]!)).toContain('open:mine');
      // Every line stands in one message and no other.
      const perLine = Map.groupBy(nudges.flatMap(linesOf), (id) => id);
      expect([...perLine.values()].every(({ length }) => length === 1)).toBe(true);
      expect(perLine.size).toBe(30);

      await bot.advanceTo(at('18:41'));
      const told = messagesOf(bot, 'escalation', suvi);
      expect(told).toHaveLength(1);
      // The widest names don't all fit one message: the rest are counted, and none of the 30 is lost.
      const named = firstSaid(
        told.map(({ text }) => text),
        pattern,
      ).length;
      const unnamed = Number(/; (\d+) not named here/.exec(told[0]?.text ?? '')?.[1] ?? 0);
      expect(named + unnamed).toBe(30);
      expect(name === plain ? unnamed : 0).toBe(0);
      for (const nudge of nudges) {
        for (const done of actionsOf(nudge).filter((id) => id.startsWith('done:all')))
          expect((await bot.press(ina, done, { message: nudge })).text).toMatch(/^Recorded for /);
      }
      await bot.quiet();
      for (const name of names) expect((await bot.line(name)).last.zeroed).toBeDefined();
      // No tap says for many lines at once how their traces rang.
      for (const name of names) expect((await bot.line(name)).last.fastFlushTested).toBeUndefined();
      expect(names).toHaveLength(30);
    },
    60_000,
  );

  it('with nobody on call, the ward is told of every one', async () => {
    const bot = await begin(at('18:00'));
    const names = await register(bot, 30, 1_000);
    await bot.advanceTo(at('18:41'));
    const loud = messagesOf(bot, 'notice').map(({ text }) => text);
    for (const text of loud) expect(text).toMatch(/^NOBODY IS ON CALL\./);
    expect(firstSaid(loud, /Patient \d{3}/g).toSorted()).toEqual(names);
  }, 60_000);

  it('after the bot was down, the ward is told from when to when, and what came due', async () => {
    const bot = await begin(at('18:00'));
    const names = await register(bot, 30, 1_000);
    const now = Date.now;
    Date.now = () => now() + hour;
    bot.clock.jumpTo(at('18:00') + hour + 5 * minute);
    await bot.sweep();
    Date.now = now;
    const down = messagesOf(bot, 'notice').filter(({ text }) =>
      text.startsWith('The bot was down from 18:00 to 19:05'),
    );
    expect(
      firstSaid(
        down.map(({ text }) => text),
        /Patient \d{3}/g,
      ).toSorted(),
    ).toEqual(names);
    expect(bot.platform.messages(east).every(({ text }) => !text.includes('undefined'))).toBe(true);
  }, 60_000);
});
