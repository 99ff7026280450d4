import { randomBytes } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { AppDeps } from '../../src/app/app-deps.ts';
import { AuditFailed, type Audits } from '../../src/app/audits.ts';
import { placeLine } from '../../src/app/place-line.ts';
import { recordOnLines } from '../../src/app/record-on-lines.ts';
import { recordOnWard } from '../../src/app/record-on-ward.ts';
import { wardAudit } from '../../src/domain/audit/ward-audit.ts';
import { defaultPolicy, type WardPolicy } from '../../src/domain/policy/ward-policy.ts';
import {
  type BotOnPlatform,
  type BotOptions,
  east,
  hour,
  ina,
  minute,
  outsider,
  suvi,
  teo,
  wardId,
} from '../support/bot-on-platform.ts';
import { actionsOf, botTests, lastOf, messagesOf, place } from '../support/bot-tests.ts';
import { placedBody } from '../support/line-builder.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const utc = (text: string) => Date.parse(`${text}:00Z`);
const begin = (startMs: number, options: Partial<BotOptions> = {}, ending: { troubles?: RegExp } = {}) =>
  // By requests: a busy machine that counts and draws may keep a socket's sign of life waiting.
  start({ mode: 'http', redis, startMs, ...options }, { names: ['Biscuit'], ...ending });

/** The use cases as the bot has them, for a record that is made without a thumb. */
function deps(bot: BotOnPlatform): AppDeps {
  const nothing = () => undefined;
  return {
    record: bot.record,
    clock: bot.clock,
    alarm: { wakeAt: async () => undefined, postsWaiting: async () => undefined },
    newId: () => randomBytes(5).toString('hex'),
    watch: {
      entryAccepted: nothing,
      conflict: nothing,
      notified: nothing,
      posted: nothing,
      repaired: nothing,
      trouble: nothing,
    },
  };
}

let animals = 0;
/** A line of two hours in an animal of its own, placed by `operator` at the try given; it is out and closed. */
async function lineBy(bot: BotOnPlatform, operator: string, tries: number, reason: 'death' | null = 'death') {
  animals += 1;
  const placed = await placeLine(
    deps(bot),
    { wardId, by: ina, via: 'form', at: bot.clock.now() - 2 * hour },
    placedBody({ patient: { name: `Animal ${animals}` }, nurse: ina, operator, tries }),
  );
  if (placed.is !== 'placed') throw new Error(placed.is);
  if (reason)
    await recordOnLines(deps(bot), { wardId, by: ina, via: 'form' }, [
      { lineId: placed.line.id, draft: { kind: 'removed', body: { reason } } },
    ]);
}

async function setPolicy(bot: BotOnPlatform, changes: Partial<WardPolicy>) {
  await recordOnWard(
    deps(bot),
    { wardId, by: suvi, via: 'form' },
    { kind: 'policySet', body: { policy: { ...defaultPolicy('UTC'), ...changes } } },
  );
}

/** Every text that this person can read somewhere: in the channel, in direct messages, privately, below pictures. */
function readableBy(bot: BotOnPlatform, user: string): string {
  const seen = [
    ...(user === outsider ? [] : bot.platform.messages(east)),
    ...bot.platform.messages(user),
    ...bot.platform.ephemerals(user),
  ];
  return seen
    .flatMap(({ text, blocks, files }) => [
      text,
      JSON.stringify(blocks ?? []),
      ...(files ?? []).flatMap(({ title, alt_txt }) => [String(title), String(alt_txt)]),
    ])
    .join('\n');
}

const picturesIn = (bot: BotOnPlatform, place: string) =>
  bot.platform.messages(place).filter(({ files }) => (files ?? []).length > 0);
/** Whose learning curves are pictured in a place. */
const curvesFor = (bot: BotOnPlatform, place: string) =>
  picturesIn(bot, place).flatMap(({ files }) => {
    const title = String(files?.[0]?.title);
    return /curve/i.test(title) ? [title.replace(/^.*: /, '')] : [];
  });
const reportsTo = (bot: BotOnPlatform, place: string) => messagesOf(bot, 'report', place);

/** Audits that take their time, on the real record. */
function slowAudits(bot: () => BotOnPlatform, tookMs: number, isCounting = true): Audits {
  return {
    async of(ward, period, { progress } = {}) {
      if (isCounting) progress?.({ linesDone: 4_000, lines: 10_000 });
      await new Promise((resolve) => setTimeout(resolve, tookMs));
      const copy = (await bot().record.readCopy(ward)) ?? { wardEntries: [], lines: [] };
      return { audit: wardAudit(copy, defaultPolicy('UTC'), period), pictures: [], curvePictures: {} };
    },
  };
}

describe('/artline audit', () => {
  it('answers at once and sends the report by direct message, pictures in its thread', async () => {
    const bot = await begin(utc('2026-11-24T19:20'));
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    for (let tries = 1; tries <= 3; tries++) await lineBy(bot, ina, tries);
    bot.clock.jumpTo(bot.clock.now() + 30 * minute);
    const answer = await bot.type(ina, 'audit 12 weeks');
    expect(answer.text).toBe(
      'Counting the lines of 1 Sep to 24 Nov 2026. The report comes to you by direct message.',
    );
    await bot.platform.until('the curve', () => curvesFor(bot, ina).length === 1);
    const [ward, own, ...more] = reportsTo(bot, ina);
    expect(more).toEqual([]);
    expect(ward?.text).toMatch(
      /^Audit of the arterial lines of <#C0WARDEAST>, 1 Sep to 24 Nov 2026\. Lines\. 4 lines were in at some time: dogs 4\. .*First try succeeded: 1 of 3, 33\.3 % .*recorded for 3 of 4 lines placed.*A count of what was recorded, for learning\./,
    );
    expect(own?.text).toMatch(
      /^Tries at placing on <#C0WARDEAST>, 1 Sep to 24 Nov 2026\. Only you see this; a ward lead, once the policy names one, sees everybody’s\. You\. 6 attempts recorded, 3 failed: .*It is feedback, not a licence\./,
    );
    const threads = picturesIn(bot, ina).map(({ thread_ts }) => thread_ts);
    expect(threads.length).toBeGreaterThan(2);
    expect(threads).toEqual([...threads.slice(1).map(() => ward?.ts), own?.ts]);
    for (const { files } of picturesIn(bot, ina))
      expect(String(files?.[0]?.alt_txt).length).toBeGreaterThan(40);
    expect(curvesFor(bot, ina)).toEqual(['you']);
    await bot.platform.until(
      'the last word',
      () =>
        bot.platform.ephemerals(ina).at(-1)?.text ===
        'The audit of 1 Sep to 24 Nov 2026 is in your direct messages.',
    );
    expect(reportsTo(bot, east)).toEqual([]);
    expect(bot.platform.messages(suvi)).toEqual([]);
  });

  it('is posted in the ward by one tap, once, without any person’s figures', async () => {
    const bot = await begin(utc('2026-11-24T19:20'));
    for (let tries = 1; tries <= 3; tries++) await lineBy(bot, ina, tries);
    await bot.type(ina, 'audit');
    const ward = await bot.platform.until('the report', () => reportsTo(bot, ina)[0]);
    expect(actionsOf(ward)).toEqual(['done:audit']);
    await bot.platform.until('the last word', () =>
      bot.platform.ephemerals(ina).some(({ text }) => text.endsWith('is in your direct messages.')),
    );
    const pressed = await bot.press(ina, 'done:audit', { message: ward });
    expect(pressed.text).toBe(
      'The ward’s part is being posted in the ward’s channel. It names nobody and holds no learning curve.',
    );
    await bot.quiet();
    const [posted] = reportsTo(bot, east);
    expect(posted?.text).toBe(ward.text);
    expect(actionsOf(posted!)).toEqual([]);
    await bot.platform.until('its pictures', () => picturesIn(bot, east).length > 0);
    expect(picturesIn(bot, east).every(({ thread_ts }) => thread_ts === posted?.ts)).toBe(true);
    expect((await bot.press(ina, 'done:audit', { message: ward })).text).toMatch(
      /^This report is already in the ward’s channel/,
    );
    await bot.quiet();
    expect(reportsTo(bot, east)).toHaveLength(1);
    expect(readableBy(bot, suvi)).not.toMatch(/6 attempts recorded, 3 failed|learning curve/i);
  });

  it('shows each their own learning curve, the ward lead everybody’s, and nobody else anybody’s', async () => {
    const bot = await begin(utc('2026-11-24T19:20'));
    await setPolicy(bot, { lead: suvi });
    for (const tries of [2, 2, 2]) await lineBy(bot, ina, tries);
    for (const tries of [5, 4]) await lineBy(bot, teo, tries);
    for (const user of [ina, teo, suvi]) {
      await bot.type(user, 'audit 30d');
      await bot.platform.until('the report', () => reportsTo(bot, user).length === 2);
      await bot.platform.until('the curves', () => curvesFor(bot, user).length === (user === suvi ? 2 : 1));
    }
    const ward = reportsTo(bot, ina)[0]!;
    await bot.press(ina, 'done:audit', { message: ward });
    await bot.quiet();
    await bot.platform.until('the ward’s pictures', () => picturesIn(bot, east).length > 0);
    const inas = /6 attempts recorded, 3 failed|6 tries, 3 failed/;
    const teos = /9 attempts recorded, 7 failed|9 tries, 7 failed/;
    expect(readableBy(bot, ina)).toMatch(inas);
    expect(readableBy(bot, ina)).not.toMatch(teos);
    expect(readableBy(bot, teo)).toMatch(teos);
    expect(readableBy(bot, teo)).not.toMatch(inas);
    expect(readableBy(bot, suvi)).toMatch(inas);
    expect(readableBy(bot, suvi)).toMatch(teos);
    expect(reportsTo(bot, suvi)[1]?.text).toMatch(
      /You see everybody’s as the ward lead; .*Ina Brandvold\. 6 attempts recorded, 3 failed.*Teo Marchetti\. 9 attempts recorded, 7 failed/,
    );
    expect(curvesFor(bot, ina)).toEqual(['you']);
    expect(curvesFor(bot, teo)).toEqual(['you']);
    expect(curvesFor(bot, suvi).toSorted()).toEqual(['Ina Brandvold', 'Teo Marchetti']);
    expect(readableBy(bot, outsider)).not.toMatch(/attempts recorded|curve/i);
    expect(curvesFor(bot, east)).toEqual([]);
  });

  it('lets nobody make themselves the ward lead, and says in the ward who is', async () => {
    const bot = await begin(utc('2026-11-24T19:20'));
    await setPolicy(bot, { lead: suvi });
    await bot.type(ina, 'policy');
    const refused = await bot.submit(ina, { lead: ina });
    expect(refused.errors.lead).toMatch(
      /^Only the ward lead, a clinician of this policy or whoever is on call/,
    );
    expect((await bot.record.readWardState(wardId)).policy.lead).toBe(suvi);
    await bot.submit(ina, { lead: suvi, flushEveryMin: '45' });
    await bot.quiet();
    expect(lastOf(bot, 'notice').text).toMatch(
      /^Ina Brandvold changed the ward policy\..* Ward lead, who sees everybody’s learning curve: Dr Suvi Aaltola\.$/,
    );
    await bot.type(suvi, 'policy');
    await bot.submit(suvi, { lead: teo });
    expect((await bot.record.readWardState(wardId)).policy.lead).toBe(teo);
  });

  it('is asked for by thumb, and a time without its unit is refused at the field', async () => {
    const bot = await begin(utc('2026-11-24T19:20'));
    await lineBy(bot, ina, 1);
    const menu = await bot.type(ina, '');
    await bot.press(ina, 'open:audit', { view: menu.view! });
    const wrong = await bot.submit(ina, { other: '90' });
    expect(wrong.errors).toEqual({
      other:
        '90 of what? Give it with its unit, for example 90d, 12 weeks or 6 months, or a first day: since 2026-09-01.',
    });
    const taken = await bot.submit(ina, { other: 'since 2026-11-01' });
    expect(taken.answer?.text).toBe(
      'Counting the lines of 1 Nov to 24 Nov 2026. The report comes to you by direct message.',
    );
    expect((await bot.platform.until('the report', () => reportsTo(bot, ina)[0])).text).toContain('dogs 1');
  });

  it.each([
    ['audit 90', /^Not counted\. 90 of what\?/],
    ['audit since 2027-01-01', /^Not counted\. 2027-01-01 has not come yet/],
    ['audit <!channel>', /^Not counted\. “&lt;!channel&gt;” is no length of time/],
  ])('says what to write instead of “%s”', async (typed, said) => {
    const bot = await begin(utc('2026-11-24T19:20'));
    expect((await bot.type(ina, typed)).text).toMatch(said);
    expect(bot.platform.messages(ina)).toEqual([]);
  });

  it.each([
    ['counted', true, 'Counting: 4,000 of 10,000 lines.'],
    ['still read', false, 'Reading the ward’s whole record; the lines are counted next.'],
  ])(
    'says how far it is when it takes long, in place of its first answer: %s',
    async (_how, isCounting, said) => {
      const running: { bot?: BotOnPlatform } = {};
      running.bot = await begin(utc('2026-11-24T19:20'), {
        audits: slowAudits(() => running.bot!, 2_600, isCounting),
      });
      const { bot } = running as { bot: BotOnPlatform };
      await lineBy(bot, ina, 1);
      await bot.type(ina, 'audit');
      await bot.platform.until('progress', () => bot.platform.ephemerals(ina).at(-1)?.text === said, 5_000);
      expect(reportsTo(bot, ina)).toEqual([]);
      await bot.platform.until('the report', () => reportsTo(bot, ina).length === 2);
      await bot.platform.until('the end', () =>
        bot.platform.ephemerals(ina).at(-1)?.text.endsWith('is in your direct messages.'),
      );
      expect(bot.platform.ephemerals(ina)).toHaveLength(1);
    },
  );

  it('is posted in the ward once it is counted, where that takes long', async () => {
    const running: { bot?: BotOnPlatform; calls: number } = { calls: 0 };
    const [quick, slow] = [0, 1_600].map((tookMs) => slowAudits(() => running.bot!, tookMs, false));
    running.bot = await begin(utc('2026-11-24T19:20'), {
      // Asked for, pressed, composed: only the third takes long.
      audits: { of: (...asked) => ((running.calls += 1) === 3 ? slow! : quick!).of(...asked) },
    });
    const { bot } = running as { bot: BotOnPlatform };
    await lineBy(bot, ina, 1);
    await bot.type(ina, 'audit');
    const report = await bot.platform.until('the report', () => reportsTo(bot, ina)[0]);
    // The first answer is replaced at the end of its errand: only after that is one to the press told from it.
    await bot.platform.until('the end', () =>
      bot.platform.ephemerals(ina).at(-1)?.text.endsWith('is in your direct messages.'),
    );
    await bot.press(ina, 'done:audit', { message: report });
    await bot.quiet();
    expect(running.calls).toBeGreaterThan(3);
    expect(reportsTo(bot, east).map(({ text }) => text)).toEqual([report.text]);
  });

  it('says once that pictures are missing where the platform takes none', async () => {
    const bot = await begin(utc('2026-11-24T19:20'), {}, { troubles: /a picture of an audit/ });
    for (let tries = 1; tries <= 3; tries++) await lineBy(bot, ina, tries);
    bot.platform.fault({
      method: 'files.getUploadURLExternal',
      kind: 'platformError',
      error: 'missing_scope',
      times: 20,
    });
    await bot.type(ina, 'audit');
    await bot.platform.until('the end', () =>
      bot.platform.ephemerals(ina).some(({ text }) => text.endsWith('is in your direct messages.')),
    );
    const said = bot.platform.ephemerals(ina).filter(({ text }) => text.includes('pictures'));
    expect(said.map(({ text }) => text)).toEqual([
      'Not all pictures could be posted; the report says it all in words.',
    ]);
    expect(reportsTo(bot, ina)).toHaveLength(2);
  });

  it('says so when the lines could not be counted', async () => {
    const bot = await begin(utc('2026-11-24T19:20'), {
      audits: { of: () => Promise.reject(new AuditFailed('The lines could not be counted just now.')) },
    });
    await bot.type(ina, 'audit');
    await bot.platform.until(
      'the sentence',
      () => bot.platform.ephemerals(ina).at(-1)?.text === 'The lines could not be counted just now.',
    );
    expect(bot.platform.messages(ina)).toEqual([]);
  });
});

describe('the personal part', () => {
  it('speaks of no curve to somebody who has none', async () => {
    const bot = await begin(utc('2026-11-24T19:20'));
    await lineBy(bot, ina, 1);
    await bot.type(teo, 'audit');
    const own = await bot.platform.until('the personal part', () => reportsTo(bot, teo)[1]);
    expect(own.text).toMatch(
      / Only you see this; a ward lead, once the policy names one, sees everybody’s\. You\. No attempts are recorded, so there’s no learning curve\./,
    );
    expect(own.text).not.toContain('CUSUM');
    await bot.platform.until('the pictures', () => picturesIn(bot, teo).length > 0);
    expect(curvesFor(bot, teo)).toEqual([]);
  });
});

describe('the month’s audit', () => {
  it('comes by itself at the first shift of the month, once, with each person’s own by direct message', async () => {
    const bot = await begin(utc('2026-11-29T18:00'));
    await setPolicy(bot, { lead: suvi });
    for (const tries of [2, 2, 2]) await lineBy(bot, ina, tries);
    for (const tries of [5, 4]) await lineBy(bot, teo, tries);
    await bot.advanceTo(utc('2026-12-01T06:59'));
    expect(reportsTo(bot, east)).toEqual([]);
    await bot.advanceTo(utc('2026-12-01T07:00'));
    const [report, ...more] = reportsTo(bot, east);
    expect(more).toEqual([]);
    expect(report?.text).toMatch(
      /^Audit of the arterial lines of <#C0WARDEAST>, 1 Nov to 30 Nov 2026\. Lines\. 5 lines were in at some time: dogs 5\./,
    );
    await bot.platform.until('the pictures', () => picturesIn(bot, east).length > 0);
    expect(picturesIn(bot, east).every(({ thread_ts }) => thread_ts === report?.ts)).toBe(true);
    expect([ina, teo, suvi].map((user) => reportsTo(bot, user).length)).toEqual([1, 1, 1]);
    expect(readableBy(bot, ina)).toMatch(/6 attempts recorded, 3 failed/);
    expect(readableBy(bot, ina)).not.toMatch(/9 attempts recorded/);
    expect(readableBy(bot, suvi)).toMatch(/6 attempts recorded, 3 failed.*9 attempts recorded, 7 failed/s);
    expect(readableBy(bot, outsider)).not.toMatch(/attempts recorded/);
    await bot.platform.until(
      'the curves',
      () => picturesIn(bot, ina).length + picturesIn(bot, teo).length === 2,
    );

    await bot.restart();
    await bot.advanceTo(utc('2026-12-01T19:30'));
    expect(reportsTo(bot, east)).toHaveLength(1);
    const kinds = (await bot.record.readWardLog(wardId)).map(({ kind }) => kind);
    expect(kinds.filter((kind) => kind === 'audited')).toHaveLength(1);
    await bot.advanceTo(utc('2027-01-01T08:00'));
    // In December no line was in: it is written down and nothing is said.
    expect(reportsTo(bot, east)).toHaveLength(1);
    expect((await bot.record.readWardState(wardId)).auditedTo).toBe(utc('2027-01-01T00:00'));
  });

  it('goes to whoever leads the ward when it is posted, all pages, and to a former lead as to anybody', async () => {
    // The two dozen who placed besides are in no directory: their direct messages are refused.
    const bot = await begin(utc('2026-11-29T18:00'), {}, { troubles: /a message was refused for good/ });
    await setPolicy(bot, { lead: teo });
    for (let index = 0; index < 24; index++)
      await lineBy(bot, `U0PLACER${String(index).padStart(2, '0')}`, 2);
    for (const operator of [suvi, teo]) await lineBy(bot, operator, 5);
    bot.clock.jumpTo(utc('2026-12-01T06:30'));
    await setPolicy(bot, { lead: suvi });
    await bot.advanceTo(utc('2026-12-01T07:00'));
    const toSuvi = reportsTo(bot, suvi)
      .map(({ text }) => text)
      .join('\n');
    expect(toSuvi).toMatch(/You see everybody’s as the ward lead/);
    expect(toSuvi.match(/attempts recorded, /g)).toHaveLength(26);
    const toTeo = reportsTo(bot, teo)
      .map(({ text }) => text)
      .join('\n');
    expect(toTeo).toMatch(/Only you and the ward lead see this/);
    expect(toTeo.match(/attempts recorded, /g)).toHaveLength(1);
  });

  it('comes of each month at whose end the bot was down, the older first, and once', async () => {
    const bot = await begin(utc('2026-10-10T18:00'));
    await lineBy(bot, ina, 1, null);
    await setPolicy(bot, {});
    await bot.restart('killed');
    bot.clock.jumpTo(utc('2026-12-05T13:00'));
    const months = () => reportsTo(bot, east).map(({ text }) => /, (.*?)\. Lines/.exec(text)?.[1]);
    // One month at a sweep; a message waits while its figures are being counted.
    for (let sweeps = 0; sweeps < 9 && months().length < 2; sweeps += 1) await bot.sweep();
    expect(months()).toEqual(['1 Oct to 31 Oct 2026', '1 Nov to 30 Nov 2026']);
    await bot.restart();
    await bot.sweep();
    expect(months()).toHaveLength(2);
  });

  it('comes late and once where the bot was down at the turn of the month', async () => {
    const bot = await begin(utc('2026-11-20T18:00'));
    await lineBy(bot, ina, 1);
    await setPolicy(bot, {});
    await bot.restart('killed');
    bot.clock.jumpTo(utc('2026-12-05T13:00'));
    await bot.sweep();
    expect(reportsTo(bot, east).map(({ text }) => text.slice(0, 72))).toEqual([
      'Audit of the arterial lines of <#C0WARDEAST>, 1 Nov to 30 Nov 2026. Line',
    ]);
    await bot.sweep();
    await bot.restart();
    await bot.sweep();
    expect(reportsTo(bot, east)).toHaveLength(1);
  });

  it.each([
    ['October, in which clocks go back', '2026-10-24T10:00', '2026-11-01T06:00', '1 Oct to 31 Oct 2026'],
    ['March, in which clocks go forward', '2026-03-27T10:00', '2026-04-01T05:00', '1 Mar to 31 Mar 2026'],
  ])('keeps to the ward’s own clock after %s', async (_month, from, firstShift, time) => {
    const bot = await begin(utc(from));
    await setPolicy(bot, { shifts: { ...defaultPolicy('Europe/Berlin').shifts } });
    await lineBy(bot, ina, 1);
    bot.clock.jumpTo(utc(firstShift) - minute);
    await bot.sweep();
    expect(reportsTo(bot, east)).toEqual([]);
    expect(await bot.record.nextWake(wardId)).toBe(utc(firstShift));
    bot.clock.jumpTo(utc(firstShift));
    await bot.sweep();
    expect(lastOf(bot, 'report').text).toContain(`, ${time}.`);
  });

  it('leaves a direct message that cannot be delivered between that person and the bot', async () => {
    const bot = await begin(utc('2026-11-29T18:00'), {}, { troubles: /a message was refused for good/ });
    await lineBy(bot, 'U0GONE0000', 3);
    await setPolicy(bot, {});
    bot.clock.jumpTo(utc('2026-12-01T07:00'));
    await bot.sweep();
    expect(reportsTo(bot, east)).toHaveLength(1);
    expect(readableBy(bot, ina)).not.toMatch(/U0GONE0000.*could NOT|could NOT be reached|attempts recorded/);
  });

  it('is not posted for a ward that began this month', async () => {
    const bot = await begin(utc('2026-11-24T19:20'));
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await bot.advanceTo(bot.clock.now() + 2 * hour);
    expect((await bot.record.readWardLog(wardId)).map(({ kind }) => kind)).not.toContain('audited');
  });
});
