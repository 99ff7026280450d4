import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type BotOnPlatform, ina, outsider, suvi, teo } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, filledIn, lastOf, messagesOf, place, within } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-${clock < '12:00' ? '25' : '24'}T${clock}:00Z`);
const jorn = 'U0LEADJORN';
const names = ['Biscuit', 'Mochi', 'Olive'];

/** Two lines with Ina since 16:00, in order, so that little is due; the day shift ends 19:00. */
async function twoLines(startAt: string): Promise<BotOnPlatform> {
  const bot = await start({ mode: 'http', redis, startMs: at(startAt) }, { names });
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  await place(bot, 'Mochi dog 9kg median caudal 22g manual');
  return bot;
}
const card = (bot: BotOnPlatform, name: string) =>
  messagesOf(bot, 'card').findLast(({ text }) => text.includes(name))!.text;
const notice = (bot: BotOnPlatform, place?: string) => lastOf(bot, 'notice', place).text;

describe('a line given to a nurse', () => {
  it('by words is theirs at once: the card says so, they hear of it, the nudge calls them', async () => {
    const bot = await twoLines('16:00');
    const told = await bot.type(ina, 'assign biscuit to @teo');
    expect(told.text).toBe(
      'With Teo Marchetti now: Biscuit (left dorsal pedal). Teo Marchetti is told by direct message.',
    );
    await bot.quiet();
    expect(notice(bot, teo)).toBe(
      'An arterial line is with you in <#C0WARDEAST> now, given by Ina Brandvold: Biscuit (left dorsal pedal). Reminders come to you.',
    );
    expect(card(bot, 'Biscuit')).toContain('With Teo Marchetti.');
    expect(card(bot, 'Mochi')).toContain('With Ina Brandvold.');
    await bot.advanceTo(at('16:11'));
    // A message for each nurse’s own visit.
    const visits = messagesOf(bot, 'nudge').map(({ text }) => text);
    expect(visits).toHaveLength(2);
    expect(visits.join()).toContain(`Due now, with <@${teo}>: Biscuit (left dorsal pedal)`);
    expect(visits.join()).toContain(`Due now, with <@${ina}>: Mochi (median caudal)`);
    await bot.advanceTo(at('16:26'));
    expect(lastOf(bot, 'escalation', teo).text).toContain('Biscuit');
    expect(lastOf(bot, 'escalation', teo).text).not.toContain('Mochi');
    expect(lastOf(bot, 'escalation', ina).text).toContain('Mochi');
  });

  it('for the next shift is theirs when it begins, by time alone, though another accepts the handover', async () => {
    const bot = await twoLines('18:31');
    const told = await bot.type(ina, 'assign Biscuit @teo next shift');
    expect(told.text).toContain('With Teo Marchetti from 19:00: Biscuit (left dorsal pedal).');
    await bot.advanceTo(at('18:46'));
    const pages = messagesOf(bot, 'handover');
    expect(pages.map(({ text }) => text).join('\n')).toContain(
      'with Ina Brandvold; from 19:00 with Teo Marchetti.',
    );
    expect(lastOf(bot, 'handover').text).toMatch(
      /On call: NOBODY from 19:00\. Set one: \/artline oncall @name\. 2 lines at .* Shared out: Teo Marchetti: Biscuit\. Mochi goes to whoever accepts\./,
    );
    const accepted = await bot.press(jorn, 'accept', within(bot, 'handover'));
    expect(accepted.text).toBe(
      'You have the ward. Reminders of its lines go to you from now on, but for what was shared out already: from 19:00 Biscuit (left dorsal pedal) with Teo Marchetti.',
    );
    await bot.quiet();
    expect(card(bot, 'Biscuit')).toContain('With Ina Brandvold.');
    expect(card(bot, 'Mochi')).toContain('With Jorn Achterberg.');
    await bot.advanceTo(at('19:00'));
    expect(card(bot, 'Biscuit')).toContain('With Teo Marchetti.');
    expect(card(bot, 'Mochi')).toContain('With Jorn Achterberg.');
    expect((await bot.type(ina, 'due')).text).toMatch(/Biscuit.*with Teo Marchetti/);
    const rounds = (await bot.type(teo, 'round')).text;
    expect(rounds.indexOf('With Teo Marchetti')).toBeLessThan(rounds.indexOf('With Jorn Achterberg'));
  });

  it('when its flush is late already is theirs with that: they are reminded at once', async () => {
    const bot = await twoLines('16:00');
    await bot.advanceTo(at('17:11'));
    expect(lastOf(bot, 'escalation', ina).text).toContain('flush, 10 min late');
    await bot.type(ina, 'assign Biscuit @teo');
    await bot.look();
    await bot.quiet();
    expect(lastOf(bot, 'escalation', teo).text).toMatch(
      /^Biscuit \(left dorsal pedal\): .*flush, 11 min late/,
    );
    expect(messagesOf(bot, 'escalation', teo)).toHaveLength(1);
  });

  it('for the next shift by two who share out at once is with whom it was given last, and the other reads so', async () => {
    const bot = await twoLines('18:46');
    await bot.type(ina, 'assign all @teo next shift');
    await bot.quiet();
    await bot.type(jorn, 'assign Biscuit @suvi next shift');
    await bot.quiet();
    expect(notice(bot, suvi)).toContain('from 19:00, given by Jorn Achterberg: Biscuit (left dorsal pedal).');
    expect(notice(bot, teo)).toBe(
      'An arterial line is with you in <#C0WARDEAST> from 19:00, given by Ina Brandvold: Mochi (median caudal). Reminders come to you. No longer with you: Biscuit (left dorsal pedal).',
    );
    bot.clock.jumpTo(at('18:47'));
    await bot.type(jorn, 'assign Mochi @suvi next shift');
    await bot.quiet();
    expect(notice(bot, teo)).toBe(
      'No arterial line is with you in <#C0WARDEAST> from 19:00. No longer with you: Biscuit (left dorsal pedal), Mochi (median caudal).',
    );
  });

  it('is one of all, by one word, and a repeated press is written once', async () => {
    const bot = await twoLines('16:00');
    const told = await bot.type(ina, 'assign all @teo');
    expect(told.text).toContain(
      'With Teo Marchetti now: Biscuit (left dorsal pedal) and Mochi (median caudal).',
    );
    await bot.quiet();
    expect(notice(bot, teo)).toMatch(
      /^2 arterial lines are with you .* Biscuit \(left dorsal pedal\), Mochi/,
    );
    expect(messagesOf(bot, 'notice', teo)).toHaveLength(1);
  });

  it('is refused for the bot, for somebody outside the channel, and where words do not fit', async () => {
    const bot = await twoLines('16:00');
    const refused = async (words: string) => (await bot.type(ina, words)).text;
    expect(await refused(`assign Biscuit <@U0PRACTBOT>`)).toContain('I can’t have a line');
    expect(await refused(`assign Biscuit <@${outsider}>`)).toContain('Rui Esteves isn’t in this channel');
    expect(await refused('assign Biscuit @teo on Sunday')).toContain('I didn’t understand “on Sunday”');
    expect(await refused('assign Bisqit @teo')).toContain('No line here is called “Bisqit”');
    expect(await refused('assign @teo')).toContain('Which line?');
    expect((await bot.line('Biscuit')).last.assigned).toBeUndefined();
  });
});

describe('the list of who has which line', () => {
  it('opened from the accepted handover is for the coming shift, and one submit gives all lines in one change', async () => {
    const bot = await twoLines('18:30');
    await bot.advanceTo(at('18:46'));
    await bot.press(ina, 'accept', within(bot, 'handover'));
    await bot.quiet();
    expect(actionsOf(lastOf(bot, 'handover'))).toEqual(['open:assign']);
    const form = await bot.press(ina, 'open:assign', within(bot, 'handover'));
    expect(filledIn(form.view!)).toMatchObject({ from: 'coming' });
    expect(form.text).toContain('From 19:00, the night shift');
    expect(form.text).toContain('With Ina Brandvold. Left empty, that stays.');
    const mochi = await bot.line('Mochi');
    const sent = await bot.submit(ina, { all: ina, [`line.${mochi.id}`]: teo });
    expect(sent.answer?.text).toBe(
      'With Ina Brandvold from 19:00: Biscuit (left dorsal pedal).\nWith Teo Marchetti from 19:00: Mochi (median caudal). Teo Marchetti is told by direct message.',
    );
    await bot.advanceTo(at('19:00'));
    expect(card(bot, 'Biscuit')).toContain('With Ina Brandvold.');
    expect(card(bot, 'Mochi')).toContain('With Teo Marchetti.');
  });

  it('in the middle of a shift is for now, and one sent empty says what to do', async () => {
    const bot = await twoLines('16:00');
    const menu = await bot.type(ina, '');
    const form = await bot.press(ina, 'open:assign', { view: menu.view! });
    expect(filledIn(form.view!)).toMatchObject({ from: 'now' });
    expect((await bot.submit(ina)).errors).toEqual({ from: 'Choose a nurse for at least one line.' });
    const biscuit = await bot.line('Biscuit');
    const outside = await bot.submit(ina, { [`line.${biscuit.id}`]: outsider });
    expect(outside.errors[`line.${biscuit.id}`]).toContain('Rui Esteves isn’t in this channel');
    await bot.submit(ina, { [`line.${biscuit.id}`]: teo });
    await bot.quiet();
    expect(card(bot, 'Biscuit')).toContain('With Teo Marchetti.');
  });

  it('sent after the shift had begun gives the lines at once', async () => {
    const bot = await twoLines('18:50');
    await bot.type(ina, 'assign');
    bot.clock.jumpTo(at('19:03'));
    const sent = await bot.submit(ina, { all: teo });
    expect(sent.answer?.text).toContain('With Teo Marchetti now: Biscuit');
  });

  it('sent after the ward’s shifts were changed gives nothing, and says so once', async () => {
    const bot = await twoLines('18:31');
    await bot.type(ina, 'assign');
    const { id } = bot.platform.view(ina)!;
    await bot.type(jorn, 'policy');
    const changed = await bot.submit(jorn, { shifts: 'day 07:00, night 20:00' });
    expect(changed.errors).toEqual({});
    expect(bot.platform.view(ina)?.id).toBe(id);
    const sent = await bot.submit(ina, { all: teo, from: 'coming' });
    expect(sent.answer?.text).toBe(
      'Not recorded: the next shift doesn’t start 19:00. Open the form again; it shows the next shift.',
    );
  });

  it('of one line is opened from that line’s page', async () => {
    const bot = await twoLines('16:00');
    const biscuit = await bot.line('Biscuit');
    const page = await bot.press(ina, `open:card:${biscuit.id}`, {
      message: messagesOf(bot, 'card').find(({ text }) => text.includes('Biscuit'))!,
    });
    const form = await bot.press(ina, 'open:assign', { view: page.view! });
    expect(form.text).not.toContain('Mochi');
    await bot.submit(ina, { [`line.${biscuit.id}`]: teo });
    await bot.quiet();
    expect(card(bot, 'Biscuit')).toContain('With Teo Marchetti.');
  });
});

describe('cover for somebody who is away', () => {
  it('has reminders go to the stand-in, said for whom, until it ends by time alone', async () => {
    const bot = await twoLines('16:00');
    const told = await bot.type(ina, 'cover @ina by @teo until 16:40');
    expect(told.text).toBe(
      'Teo Marchetti covers for Ina Brandvold until 16:40. I’m telling both of them and the channel.',
    );
    await bot.quiet();
    expect(notice(bot)).toBe(
      'Ina Brandvold is away until 16:40. Teo Marchetti covers, set by Ina Brandvold, and gets the reminders and calls.',
    );
    expect(notice(bot, teo)).toContain('You cover for Ina Brandvold in <#C0WARDEAST> until 16:40');
    expect(card(bot, 'Biscuit')).toContain('With Teo Marchetti for Ina Brandvold.');
    await bot.advanceTo(at('16:26'));
    expect(lastOf(bot, 'nudge').text).toContain(`Due now, with <@${teo}> for Ina Brandvold: Biscuit`);
    const late = lastOf(bot, 'escalation', teo);
    expect(late.text).toContain('You’re covering for Ina Brandvold.');
    expect(messagesOf(bot, 'escalation', ina)).toEqual([]);
    expect((await bot.type(teo, 'due')).text).toContain('with Teo Marchetti for Ina Brandvold');
    expect((await bot.type(teo, 'round')).text).toContain('With Teo Marchetti');
    await bot.advanceTo(at('16:40'));
    expect(card(bot, 'Biscuit')).toContain('With Ina Brandvold.');
    expect(notice(bot, teo)).toBe('You covered for Ina Brandvold in <#C0WARDEAST>. That’s over.');
  });

  it('of the clinician on call has overdue duties go to the stand-in, who may decide', async () => {
    const bot = await twoLines('16:00');
    await bot.type(ina, 'oncall @suvi');
    await bot.type(ina, 'cover @suvi by @jorn');
    expect((await bot.type(ina, 'oncall')).text).toBe(
      'On call now: Jorn Achterberg for Dr Suvi Aaltola, set 16:00 by Ina Brandvold. Next shift, night from 19:00: Dr Suvi Aaltola, set 16:00 by Ina Brandvold.',
    );
    await bot.quiet();
    expect(notice(bot, jorn)).toContain('You cover for Dr Suvi Aaltola');
    expect(notice(bot, suvi)).toContain('Jorn Achterberg covers for you');
    await bot.advanceTo(at('16:41'));
    expect(messagesOf(bot, 'escalation', suvi)).toEqual([]);
    const told = lastOf(bot, 'escalation', jorn);
    expect(told.text).toContain('You’re covering for Dr Suvi Aaltola.');
    const form = await bot.press(jorn, 'open:letgo', { message: told });
    expect(form.view?.spec.callback_id).toBe('letgo');
    // Suvi got nothing, but is not locked out of what she is on call for.
    const biscuit = await bot.line('Biscuit');
    await bot.type(suvi, `check Biscuit cold`);
    expect((await bot.line('Biscuit')).version).toBeGreaterThan(biscuit.version);
  });

  it('is said to whoever accepts the ward, or is put on call, while they count as away', async () => {
    const bot = await twoLines('18:46');
    bot.clock.jumpTo(at('18:47'));
    await bot.type(teo, 'cover @teo by @ina until 20:00');
    await bot.type(teo, 'handover');
    await bot.quiet();
    const accepted = await bot.press(teo, 'accept', within(bot, 'handover'));
    expect(accepted.text).toBe(
      'You have the ward. Reminders of its lines go to you from now on. You count as away until 20:00, and Ina Brandvold gets your reminders. If that’s over: /artline cover, then “Back now”.',
    );
    await bot.quiet();
    expect(card(bot, 'Biscuit')).toContain('With Ina Brandvold for Teo Marchetti.');
    bot.clock.jumpTo(at('18:49'));
    await bot.type(ina, 'assign Mochi @teo next shift');
    await bot.type(ina, 'handover');
    await bot.quiet();
    const stood = await bot.press(ina, 'accept', within(bot, 'handover'));
    expect(stood.text).toContain(
      'but for what was shared out already: from 19:00 Mochi (median caudal) with you for Teo Marchetti.',
    );
    bot.clock.jumpTo(at('18:50'));
    const given = await bot.type(ina, 'assign Biscuit @teo');
    expect(given.text).toContain(
      'Teo Marchetti is away until 20:00, and Ina Brandvold stands in: reminders go there.',
    );
    expect((await bot.type(ina, 'oncall @teo')).text).toContain(
      'who is away until 20:00: Ina Brandvold stands in and is told.',
    );
    await bot.quiet();
    expect(notice(bot, teo)).toContain('and away: Ina Brandvold gets your calls.');
  });

  it('is said in the message of lines given to them, by whoever stands in at last', async () => {
    const bot = await twoLines('16:00');
    await bot.type(jorn, 'cover @teo by @ina until 20:00');
    await bot.type(jorn, 'cover @ina by @suvi until 20:00');
    const given = await bot.type(jorn, 'assign Biscuit @teo');
    expect(given.text).toContain('Teo Marchetti is away until 20:00, and Dr Suvi Aaltola stands in');
    await bot.quiet();
    expect(notice(bot, teo)).toMatch(
      /Biscuit \(left dorsal pedal\)\. You count as away until 20:00: Dr Suvi Aaltola is reminded for you\. Back early\?/,
    );
  });

  it('of whoever is put on call has the stand-in and the channel hear who is called', async () => {
    const bot = await twoLines('16:00');
    await bot.type(ina, 'cover @suvi by @jorn until 20:00');
    await bot.type(ina, 'oncall @suvi');
    await bot.quiet();
    expect(notice(bot, jorn)).toMatch(
      /^You are on call for Dr Suvi Aaltola, who is away, for the arterial lines/,
    );
    expect(notice(bot)).toBe('On call now: Jorn Achterberg for Dr Suvi Aaltola, set by Ina Brandvold.');
    await bot.advanceTo(at('20:00'));
    expect(notice(bot, jorn)).toMatch(/^You were on call/);
  });

  it('of a clinician of the rota may be somebody outside the channel, before their shift as well', async () => {
    const bot = await twoLines('16:00');
    await bot.type(ina, 'policy');
    await bot.submit(ina, { 'rota:1': suvi });
    const told = await bot.type(ina, `cover @suvi by <@${outsider}> until 23:00`);
    expect(told.text).toContain('Rui Esteves covers for Dr Suvi Aaltola until 23:00.');
  });

  it('is ended by “Back now”, and both and the channel hear of it', async () => {
    const bot = await twoLines('16:00');
    await bot.type(ina, 'cover @ina by @teo');
    await bot.quiet();
    const form = await bot.type(jorn, 'cover');
    expect(form.text).toContain('*Ina Brandvold* is away until 19:00; Teo Marchetti stands in.');
    const back = await bot.press(jorn, `done:back:${ina}`, { view: form.view! });
    expect(back.text).toContain('Ina Brandvold is back');
    await bot.quiet();
    expect(notice(bot)).toBe(
      'Ina Brandvold has been back since 16:00, says Jorn Achterberg, and gets the reminders and calls again.',
    );
    expect(notice(bot, ina)).toContain('says you’ve been back');
    expect(notice(bot, teo)).toContain('Ina Brandvold has been back');
    expect(card(bot, 'Biscuit')).toContain('With Ina Brandvold.');
    expect((await bot.type(ina, 'cover @ina back')).text).toBe(
      'Nobody covers for Ina Brandvold; nothing was changed.',
    );
  });

  it('told ahead is said to both, begins and ends by time alone, and is said again then', async () => {
    const bot = await twoLines('16:00');
    const told = await bot.type(jorn, 'cover @ina by @teo from 16:30 until 16:50');
    expect(told.text).toBe(
      'Teo Marchetti covers for Ina Brandvold from 16:30 until 16:50. I’m telling both of them and the channel now, and Teo Marchetti and the channel again when it begins.',
    );
    await bot.quiet();
    expect(notice(bot)).toBe(
      'Ina Brandvold will be away from 16:30 until 16:50. Teo Marchetti covers, set by Jorn Achterberg, and gets the reminders and calls.',
    );
    expect(notice(bot, teo)).toBe(
      'You cover for Ina Brandvold in <#C0WARDEAST> from 16:30 until 16:50, set by Jorn Achterberg: then you get their reminders and calls.',
    );
    expect(notice(bot, ina)).toContain('In after all? /artline cover, then “Take back”.');
    expect(card(bot, 'Biscuit')).toContain('With Ina Brandvold.');
    // Zero is due at 16:00 and goes to Ina at 16:25; at 16:30 it is Teo's, late already.
    await bot.advanceTo(at('16:29'));
    expect(messagesOf(bot, 'escalation', ina)).toHaveLength(1);
    expect(messagesOf(bot, 'escalation', teo)).toEqual([]);
    await bot.advanceTo(at('16:30'));
    expect(card(bot, 'Biscuit')).toContain('With Teo Marchetti for Ina Brandvold.');
    expect(notice(bot)).toContain('Ina Brandvold is away until 16:50. Teo Marchetti covers');
    expect(messagesOf(bot, 'notice', teo).filter(({ text }) => text.includes('You cover'))).toHaveLength(2);
    expect(lastOf(bot, 'escalation', teo).text).toContain('You’re covering for Ina Brandvold.');
    await bot.advanceTo(at('16:50'));
    expect(notice(bot, ina)).toBe(
      'Teo Marchetti covered for you in <#C0WARDEAST> until 16:50. That’s over: you’ll get the reminders and calls again. Still away? /artline cover.',
    );
    expect(notice(bot, teo)).toBe('You covered for Ina Brandvold in <#C0WARDEAST>. That’s over.');
    expect(card(bot, 'Biscuit')).toContain('With Ina Brandvold.');
  });

  it('told ahead is taken back before it begins, in the form or in words', async () => {
    const bot = await twoLines('16:00');
    await bot.type(jorn, 'cover @ina by @teo from 17:00 until 18:00');
    await bot.quiet();
    bot.clock.jumpTo(at('16:01'));
    const form = await bot.type(jorn, 'cover');
    expect(form.text).toContain(
      '*Ina Brandvold* will be away from 17:00 until 18:00; Teo Marchetti stands in.',
    );
    const { covers } = await bot.record.readWardState('T0PRACTICE.C0WARDEAST');
    const other = await bot.type(teo, 'cover');
    const back = await bot.press(jorn, `done:there:${covers[0]?.number}`, { view: form.view! });
    expect(back.text).toBe(
      'Ina Brandvold is in from 17:00 until 18:00 after all; Teo Marchetti isn’t needed to cover. I’m telling both of them and the channel.',
    );
    await bot.quiet();
    expect(notice(bot)).toBe(
      'Ina Brandvold is in from 17:00 until 18:00 after all, says Jorn Achterberg: Teo Marchetti isn’t needed to cover.',
    );
    expect(messagesOf(bot, 'notice', teo).map(({ text }) => text)).toEqual([
      'You were going to cover for Ina Brandvold in <#C0WARDEAST> from 17:00 until 18:00. That’s been cancelled.',
      'You don’t need to cover for Ina Brandvold in <#C0WARDEAST> from 17:00 until 18:00, says Jorn Achterberg.',
    ]);
    const stale = await bot.press(teo, `done:there:${covers[0]?.number}`, { view: other.view! });
    expect(stale.text).toBe('That cover is over or has been changed; nothing was changed.');
    await bot.type(ina, 'cover @ina by @teo from 17:00 until 18:00');
    await bot.type(ina, 'cover @ina by @jorn from 18:30 until 18:45');
    expect((await bot.type(ina, 'cover @ina back')).text).toBe(
      'Ina Brandvold is in from 17:00 until 18:00 after all; Teo Marchetti isn’t needed to cover. I’m telling both of them and the channel. Jorn Achterberg still covers from 18:30 until 18:45.',
    );
    await bot.advanceTo(at('17:30'));
    expect(card(bot, 'Biscuit')).toContain('With Ina Brandvold.');
  });

  it('told later about the same time says what became of the one told before', async () => {
    const bot = await twoLines('16:00');
    await bot.type(ina, 'cover @ina by @teo until 18:00');
    const told = await bot.type(ina, 'cover @ina by @jorn from 16:30 until 17:00');
    expect(told.text).toContain(
      'Until then Teo Marchetti covers, as set before; from 17:00 Ina Brandvold gets the reminders and calls again.',
    );
    await bot.quiet();
    expect(notice(bot, teo)).toContain('You cover for Ina Brandvold in <#C0WARDEAST> until 16:30');
    await bot.type(ina, 'cover @teo by @suvi from 17:30 until 18:00');
    expect((await bot.type(ina, 'cover @teo by @suvi until 17:45')).text).toContain(
      'Taken back: Dr Suvi Aaltola for Teo Marchetti from 17:30 until 18:00.',
    );
    expect((await bot.type(ina, 'cover @ina by @suvi')).text).toContain(
      'Teo Marchetti no longer covers there.',
    );
  });

  it('of the clinician on call, told ahead, is said by oncall and on the handover', async () => {
    const bot = await twoLines('16:00');
    await bot.type(ina, 'oncall @suvi');
    await bot.type(ina, 'cover @suvi by @jorn from 17:00 until 18:00');
    expect((await bot.type(ina, 'oncall')).text).toContain(
      'On call now: Dr Suvi Aaltola, set 16:00 by Ina Brandvold. Away from 17:00 until 18:00: Jorn Achterberg stands in.',
    );
    await bot.type(ina, 'handover');
    await bot.quiet();
    expect(JSON.stringify(within(bot, 'handover').message?.blocks)).toContain(
      'Dr Suvi Aaltola from 17:00 until 18:00, Jorn Achterberg stands in',
    );
    await bot.advanceTo(at('17:01'));
    const late = lastOf(bot, 'escalation', jorn);
    expect(late.text).toContain('You’re covering for Dr Suvi Aaltola.');
  });

  it('by form names what cannot be, beside its field', async () => {
    const bot = await twoLines('16:00');
    await bot.type(ina, 'cover @ina');
    const wrong = await bot.submit(ina, { by: ina, until: at('15:00') / 1000 });
    expect(wrong.errors.by).toContain('nobody covers for themselves');
    expect(wrong.errors.until).toContain('is past');
    const outside = await bot.submit(ina, { by: outsider, until: at('20:00') / 1000 });
    expect(outside.errors.by).toContain('Rui Esteves isn’t in this channel');
    const sent = await bot.submit(ina, { by: teo, until: at('20:00') / 1000 });
    expect(sent.answer?.text).toContain('Teo Marchetti covers for Ina Brandvold until 20:00.');
  });

  it.each([
    ['cover ina by @teo', /I can’t tell who “ina” is: type @ and choose the person/],
    ['cover @ina by teo', /Who stands in\?/],
    ['cover @ina by @teo until noon', /“noon” isn’t a time still to come/],
    ['cover @ina by <@U0PRACTBOT>', /I can’t cover for anybody/],
    ['cover @ina by @teo until tomorrow 25:00', /“tomorrow 25:00” isn’t a time still to come/],
    ['cover @ina by @teo from 02:00 until 06:00 until 07:00', /doesn’t say clearly from when/],
    ['cover @ina by @teo from tomorrow 09:00 until tomorrow 08:00', /isn’t after the start/],
  ])('typed as “%s” is refused with what to write', async (words, expected) => {
    const bot = await start({ mode: 'http', redis, startMs: at('16:00') }, { names });
    expect((await bot.type(ina, words)).text).toMatch(expected);
    const { covers } = await bot.record.readWardState('T0PRACTICE.C0WARDEAST');
    expect(covers).toEqual([]);
  });
});

describe('the rota of the ward policy', () => {
  it('puts its clinician on call when the shift begins, and oncall says who is and who comes', async () => {
    const bot = await twoLines('18:30');
    await bot.type(ina, 'oncall @suvi');
    await bot.type(ina, 'policy');
    const sent = await bot.submit(ina, { 'rota:1': jorn });
    expect(sent.errors).toEqual({});
    expect((await bot.type(ina, 'oncall')).text).toBe(
      'On call now: Dr Suvi Aaltola, set 18:30 by Ina Brandvold. Next shift, night from 19:00: Jorn Achterberg, by the rota.',
    );
    await bot.advanceTo(at('19:11'));
    expect((await bot.type(ina, 'oncall')).text).toMatch(
      /^On call now: Jorn Achterberg, by the rota\. Next shift, day from/,
    );
    expect(lastOf(bot, 'escalation', jorn).text).toContain('Biscuit');
  });

  it('ends at the shift’s start what whoever was on call reads, by time alone', async () => {
    const bot = await twoLines('18:31');
    await bot.type(ina, 'policy');
    await bot.submit(ina, { 'rota:1': jorn });
    await bot.type(ina, 'oncall @suvi');
    await bot.advanceTo(at('18:46'));
    await bot.press(ina, 'accept', within(bot, 'handover'));
    await bot.quiet();
    expect(notice(bot, suvi)).toMatch(/^You are on call/);
    await bot.advanceTo(at('19:00'));
    expect(notice(bot, suvi)).toMatch(/^You were on call .* On call now: Jorn Achterberg\.$/);
  });

  it('has its clinician hear at the shift’s start what was cried out while nobody was on call', async () => {
    const bot = await twoLines('18:31');
    await bot.type(ina, 'policy');
    await bot.submit(ina, { 'rota:1': jorn });
    await bot.advanceTo(at('18:47'));
    await bot.type(ina, 'check Biscuit cold');
    await bot.sweep();
    expect(notice(bot)).toMatch(/^NOBODY IS ON CALL/);
    expect((await bot.type(ina, 'oncall')).text).toMatch(
      /^Nobody is on call\. Next shift, night from 19:00: Jorn Achterberg, by the rota\. Set one:/,
    );
    await bot.advanceTo(at('18:59'));
    expect(messagesOf(bot, 'escalation', jorn)).toEqual([]);
    await bot.advanceTo(at('19:00'));
    expect(lastOf(bot, 'escalation', jorn).text).toContain(
      'cold hind foot, limb at risk. Ina Brandvold saw it 18:47',
    );
  });
});
