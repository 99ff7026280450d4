import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type BotOnPlatform, ina, suvi, teo } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, lastOf, messagesOf, place, within } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string, day = 24) => Date.parse(`2026-11-${day}T${clock}:00Z`);

async function withLine(words = 'Biscuit dog 28kg left dorsal pedal 20g manual'): Promise<BotOnPlatform> {
  const bot = await start({ mode: 'socket', redis, startMs: at('19:20') }, { names: ['Biscuit', 'Mochi'] });
  await bot.type(ina, 'oncall @suvi');
  await place(bot, words);
  return bot;
}
const nudges = (bot: BotOnPlatform) => messagesOf(bot, 'nudge').map(({ text }) => text);
const told = (bot: BotOnPlatform) => lastOf(bot, 'escalation', suvi);

describe('the hold after a removal', () => {
  it.each([
    ['Biscuit dog 28kg left dorsal pedal 20g manual', '5 min'],
    ['Biscuit dog 28kg left femoral 18g manual', '10 min'],
    ['Biscuit dog 28kg left dorsal pedal 20g manual bleeding disorder', '10 min'],
  ])('of %s is %s, and one that oozes is held again', async (words, span) => {
    const bot = await withLine(words);
    const out = await bot.type(ina, 'remove Biscuit planned, tip whole');
    const ends = { '5 min': '19:25', '10 min': '19:30' }[span];
    expect(out.text).toContain(`Hold pressure ${span}, until ${ends}; then look: does it ooze?`);
    // Whoever holds usually tells how it ended: the ward is asked 2 min later.
    const askedMs = (Number.parseInt(span, 10) + 2) * 60_000;
    const over = at('19:20') + askedMs;
    await bot.advanceTo(over - 60_000);
    expect(nudges(bot).join()).not.toContain('look at the puncture after the hold');
    await bot.advanceTo(over);
    expect(nudges(bot).at(-1)).toContain('look at the puncture after the hold');
    const again = await bot.press(ina, 'done:oozing', within(bot, 'nudge'));
    expect(again.text).toContain('still oozing, held again');
    expect(again.text).not.toContain('is told now');
    await bot.advanceTo(over + askedMs);
    const second = await bot.press(ina, 'done:oozing', within(bot, 'nudge'));
    expect(second.text).toContain('Dr Suvi Aaltola, on call, is being told now.');
    await bot.look();
    await bot.quiet();
    expect(told(bot).text).toMatch(
      /: ooze, limb at risk\. Ina Brandvold saw it 19:\d\d\..* Risk: ischaemia, bleeding/,
    );
  });
});

it('a puncture that nobody looked at after the hold says so on card and handover, until somebody looks', async () => {
  const bot = await withLine();
  await bot.type(ina, 'remove Biscuit planned, tip whole');
  await bot.quiet();
  const card = () => lastOf(bot, 'card').text;
  const page = () =>
    messagesOf(bot, 'handover')
      .map(({ text }) => text)
      .join();
  expect(card()).not.toContain('Puncture');
  await bot.advanceTo(at('20:26'));
  expect(card()).toContain('Puncture not looked at after the hold.');
  await bot.type(ina, 'handover');
  await bot.quiet();
  expect(page()).toContain('Pulse not checked since. Puncture not looked at after the hold.');
  await bot.type(teo, 'check Biscuit clean');
  await bot.quiet();
  expect(card()).toContain('Puncture looked at 20:26: nothing amiss.');
});

it('a puncture that oozes, told by two at once, is held again and calls nobody', async () => {
  const bot = await withLine();
  await bot.type(ina, 'remove Biscuit planned, tip whole');
  await bot.advanceTo(at('19:27'));
  const nudge = within(bot, 'nudge');
  const both = await Promise.all([
    bot.press(ina, 'done:oozing', nudge),
    bot.press(teo, 'done:oozing', nudge),
  ]);
  expect(both.map(({ text }) => text).join()).toContain('already recorded that, 19:27');
  await bot.look();
  await bot.quiet();
  expect(messagesOf(bot, 'escalation', suvi)).toEqual([]);
});

describe('a catheter tip', () => {
  it('that is not whole is told to the clinician at once, with what it risks, until the piece is found', async () => {
    const bot = await withLine();
    const out = await bot.type(ina, 'remove Biscuit dislodged, tip not whole');
    expect(out.text).toContain(
      'Dr Suvi Aaltola, on call, is being told now. *The catheter tip is not whole: a piece may be in the artery, and the blood may carry it on.* Keep the catheter and every piece for the clinician. Hold pressure 5 min',
    );
    await bot.look();
    await bot.quiet();
    expect(told(bot).text).toMatch(
      /^BISCUIT dog: catheter tip not whole, limb at risk\. Ina Brandvold saw it 19:20\. Call the ward or take it\..* · with Ina Brandvold\..* Risk: a piece in the artery, loss of the hind foot\./,
    );
    expect(told(bot).text).toContain('Keep the catheter and every piece for the clinician');
    expect(actionsOf(told(bot)).some((action) => action.startsWith('open:reading'))).toBe(false);
    expect(lastOf(bot, 'card').text).toContain('Tip not whole. Keep the catheter and every piece');
    await bot.type(ina, 'check Biscuit ok');
    await bot.advanceTo(at('19:50'));
    expect(messagesOf(bot, 'escalation', suvi).length).toBeGreaterThan(1);
    const found = await bot.press(suvi, 'done:tip', { message: told(bot) });
    expect(found.text).toBe('Recorded for Biscuit (left dorsal pedal): tip not whole, every piece found.');
    await bot.quiet();
    expect(told(bot).text).toContain('Clinician’s look at the finding: every piece found.');
    expect(actionsOf(told(bot))).toEqual([]);
    const count = messagesOf(bot, 'escalation', suvi).length;
    await bot.advanceTo(at('20:30'));
    expect(messagesOf(bot, 'escalation', suvi)).toHaveLength(count);
  });

  it('decided on says until when, and that the decision can be the last word', async () => {
    const bot = await withLine();
    await bot.type(ina, 'remove Biscuit dislodged, tip not whole');
    await bot.look();
    await bot.quiet();
    const form = await bot.press(suvi, 'open:letgo', within(bot, 'escalation', suvi));
    expect(form.text).toContain('nobody asks about the missing piece again');
    const until = at('21:00', 25);
    const sent = await bot.submit(suvi, { reason: 'seen on the film, stays', until: until / 1000 });
    expect(sent.answer?.text).toContain('Next reminder: Wed 25 Nov 21:00.');
    await bot.advanceTo(at('20:20'));
    await bot.type(ina, 'pulse Biscuit present, warm');
    await bot.advanceTo(at('19:20', 25));
    await bot.type(ina, 'pulse Biscuit present, warm');
    const count = messagesOf(bot, 'escalation', suvi).length;
    await bot.advanceTo(at('22:00', 25));
    expect(messagesOf(bot, 'escalation', suvi)).toHaveLength(count);
    expect((await bot.type(ina, 'due')).text).toContain('No arterial lines on this ward.');
  });

  it('of a patient that was transferred is asked about for a day, and then says so', async () => {
    const bot = await withLine();
    await bot.type(ina, 'remove Biscuit transfer, tip not whole');
    bot.clock.jumpTo(at('19:10', 25));
    await bot.sweep();
    expect(told(bot).text).toContain('needs looking at now');
    bot.clock.jumpTo(at('19:20', 25));
    await bot.sweep();
    expect(told(bot).text).toContain('no longer asked here');
  });

  it('of which words say nothing is asked for once, and a press adds it', async () => {
    const bot = await withLine();
    const out = await bot.type(ina, 'remove Biscuit planned');
    expect(out.text).toContain('Was the catheter tip whole? Look before it is thrown away.');
    await bot.quiet();
    expect(lastOf(bot, 'card').text).toContain('planned. Tip not looked at. Site not looked at.');
    const message = out.message as { ts: string };
    const line = await bot.line('Biscuit');
    const answered = await bot.press(ina, `done:tip:${line.id}:missing`, { message });
    expect(answered.text).toContain(
      'tip not whole. *The catheter tip is not whole: a piece may be in the artery',
    );
    expect(answered.text).toContain('Dr Suvi Aaltola, on call, is being told now.');
    await bot.look();
    await bot.quiet();
    expect(told(bot).text).toContain('catheter tip not whole');
    bot.slowly();
    const again = await bot.press(ina, `done:tip:${line.id}:missing`, { message });
    expect(again.text).toContain('Already recorded');
  });

  it('is asked for by the form, and so is the site', async () => {
    const bot = await withLine();
    await bot.type(ina, 'remove Biscuit');
    const empty = await bot.submit(ina, { reason: 'planned' });
    expect(Object.keys(empty.errors)).toEqual(['tip']);
    // A tick answers it as well, so that it is no field the client itself would ask for.
    const unsaid = await bot.submit(ina, { tip: 'tip whole' });
    expect(unsaid.errors.site).toContain('Did you look at the site and below it?');
    const torn = await bot.submit(ina, { site: 'nothing amiss', findings: ['ooze'] });
    expect(torn.errors.site).toContain('You’ve ticked a finding too');
    const sent = await bot.submit(ina, { site: 'something amiss' });
    expect(sent.answer?.text).toContain('Dr Suvi Aaltola, on call, is being told now.');
    expect(sent.answer?.text).not.toContain('Was the catheter tip whole?');
    await bot.look();
    await bot.quiet();
    expect(told(bot).text).toMatch(
      /^BISCUIT dog: ooze, limb at risk\. Ina Brandvold saw it 19:20\..* Risk: ischaemia, bleeding/,
    );
    expect((await bot.line('Biscuit')).removed).toMatchObject({ tipWhole: true, finding: { ooze: true } });
  });
});

describe('a limb after a removal', () => {
  it('is followed up on the list, in the handovers and up the ladder until both checks are told', async () => {
    const bot = await withLine();
    await bot.type(ina, 'remove Biscuit planned, tip whole');
    await bot.advanceTo(at('19:27'));
    await bot.press(ina, 'done', within(bot, 'nudge'));
    await bot.advanceTo(at('20:20'));
    expect(nudges(bot).at(-1)).toContain('pulse check of the hind foot');
    await bot.advanceTo(at('20:35'));
    expect(lastOf(bot, 'escalation', ina).text).toContain('pulse check of the hind foot, 15 min late');
    expect(lastOf(bot, 'card').text).toContain(
      'Still owed: Pulse check of the hind foot due since 20:20, Next-day',
    );
    await bot.advanceTo(at('20:50'));
    expect(told(bot).text).toMatch(/pulse check 30 min late, limb at risk\..* Risk: occlusion unseen/);
    const first = await bot.type(ina, 'pulse Biscuit weak, warm');
    expect(first.text).not.toContain('is told now');
    await bot.advanceTo(at('06:46', 25));
    const page = messagesOf(bot, 'handover').find(({ text }) => text.startsWith('Each patient'))?.text;
    expect(page).toContain('taken out 19:20: planned, tip whole');
    expect(page).toContain('Line out, limb follow-up still open.');
    expect(page).toContain('next-day pulse check of the hind foot');
    expect((await bot.type(teo, 'due')).text).toContain('Next-day pulse check of the hind foot');
    await bot.advanceTo(at('19:20', 25));
    expect(nudges(bot).at(-1)).toContain('next-day pulse check of the hind foot');
    const weak = await bot.type(teo, 'pulse Biscuit weak, warm');
    expect(weak.text).toContain('Dr Suvi Aaltola, on call, is being told now.');
    await bot.look();
    await bot.quiet();
    expect(told(bot).text).toMatch(
      /^BISCUIT dog: pulse weak, limb at risk\. .*Pulse weak, as before, seen 19:20/,
    );
    expect((await bot.type(ina, 'due')).text).toContain('Biscuit');
    await bot.type(teo, 'pulse Biscuit present, warm');
    await bot.quiet();
    expect((await bot.type(ina, 'due')).text).toContain('No arterial lines on this ward.');
  });

  it('without a pulse is told to the clinician at once', async () => {
    const bot = await withLine();
    await bot.type(ina, 'remove Biscuit planned, tip whole');
    const absent = await bot.type(ina, 'pulse Biscuit absent');
    expect(absent.text).toContain('Dr Suvi Aaltola, on call, is being told now.');
    await bot.look();
    await bot.quiet();
    expect(told(bot).text).toMatch(/^BISCUIT dog: pulse absent, limb at risk\..* Risk: ischaemia/);
  });

  it.each([
    [
      'transfer',
      'The limb is not followed up here: tell whoever takes the patient over to check the pulse below the site 20:20 and Wed 25 Nov 19:20.',
    ],
    ['death', 'taken out: death, 19:20.'],
  ])('of a patient that is gone by %s is asked of nobody', async (reason, said) => {
    const bot = await withLine();
    const out = await bot.type(ina, `remove Biscuit ${reason} tip whole`);
    expect(out.text).toContain(said);
    expect(out.text).not.toContain('Pulse checks');
    await bot.advanceTo(at('20:40'));
    expect(nudges(bot).join()).not.toContain('pulse check');
    await bot.type(ina, 'handover');
    await bot.quiet();
    expect(
      messagesOf(bot, 'handover')
        .map(({ text }) => text)
        .join(),
    ).not.toContain('limb follow-up still open');
  });

  it('of a patient whose transfer is told late is to be checked now', async () => {
    const bot = await withLine();
    bot.clock.jumpTo(at('21:20'));
    const out = await bot.type(ina, 'remove Biscuit transfer tip whole at 19:40');
    expect(out.text).toContain('to check the pulse below the site now and Wed 25 Nov 19:40.');
  });
});
