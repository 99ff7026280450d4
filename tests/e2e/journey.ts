import { describe, expect, it } from 'vitest';
import type { StoredMessage } from '../../src/practice/platform/message.ts';
import { east, hour, ina, minute, suvi, teo, wardId } from '../support/bot-on-platform.ts';
import {
  actionsOf,
  amend,
  botTests,
  filledIn,
  lastOf,
  messagesOf,
  place,
  within,
} from '../support/bot-tests.ts';
import type { SharedRedis } from '../support/shared-redis.ts';

const at = (clock: string) => Date.parse(`2026-11-${clock < '12:00' ? '25' : '24'}T${clock}:00Z`);
const texts = (messages: readonly StoredMessage[]) => messages.map(({ text }) => text);

/** The main job from the registering to the last pulse check, through the real Bolt path; ward time starts at 19:20. */
export function journey(mode: 'socket' | 'http', redis: () => SharedRedis): void {
  const start = botTests();
  const begin = (options: { startMs?: number } = {}, ending = {}) =>
    start({ mode, redis: redis(), ...options }, ending);

  describe('registering', () => {
    it('fills the form with what was typed, registers on submit, answers privately and posts the card', async () => {
      const bot = await begin();
      const { view } = await bot.type(ina, 'place Biscuit dog 28kg left dorsal pedal 20g manual');
      expect(view && filledIn(view)).toMatchObject({
        name: 'Biscuit',
        species: 'dog',
        weightKg: '28',
        site: 'dorsal pedal',
        side: 'left',
        gauge: '20',
        flushMode: 'manual',
        nurse: ina,
      });
      expect(bot.platform.messages(east)).toEqual([]);

      const sent = await bot.submit(ina);
      expect(sent.accepted).toBe(true);
      expect(bot.platform.view(ina)).toBeUndefined();
      expect(sent.answer?.text).toContain(
        'Registered: Biscuit (left dorsal pedal). Not screened. Now zero and level it',
      );
      expect(
        sent.answer?.message &&
          actionsOf(sent.answer.message).map((id) => id.split(':').slice(0, 2).join(':')),
      ).toEqual(['done:zero', 'open:test', 'done:undo', 'open:amend']);
      expect(bot.platform.ephemerals(teo)).toEqual([]);

      await bot.quiet();
      const card = lastOf(bot, 'card');
      expect(card.text).toContain('Arterial line: Biscuit, left dorsal pedal.');
      expect(card.text).toContain('dog, 28 kg');
      expect(card.text).toContain('With Ina Brandvold. Flush by hand, every 60 min.');
      const { id } = await bot.line('Biscuit');
      expect(card.metadata).toEqual({
        event_type: 'dicrotic_post',
        event_payload: { key: `9.card.${id}`, kind: 'card', ward: wardId, lines: [id] },
      });
      expect(bot.platform.notified).toEqual([]);
    });

    it('registers by thumb alone from the bare menu, and the form closes with the menu under it', async () => {
      const bot = await begin();
      const menu = await bot.type(ina, '');
      expect(menu.view?.spec.callback_id).toBe('menu');
      expect(menu.text).toContain('No arterial lines on this ward yet.');
      const page = await bot.press(ina, 'open:place', { view: menu.view! });
      expect(page.view?.spec.callback_id).toBe('screening');
      const next = await bot.submit(ina, { cautions: ['not looked at'] });
      expect(next.answer?.view?.spec.callback_id).toBe('place');
      const sent = await bot.submit(ina, {
        name: 'Mochi',
        species: 'cat',
        weightKg: '4.2',
        site: 'median caudal',
        gauge: '24',
      });
      expect(sent.errors).toEqual({});
      expect(bot.platform.view(ina)).toBeUndefined();
      await bot.quiet();
      expect(lastOf(bot, 'card').text).toContain('Cat: dwell limit 03:20.');
    });

    it('takes the tellings of the card, of the private answer and of a form, and keeps the card up to date', async () => {
      const bot = await begin();
      const form = await bot.type(ina, 'place Biscuit dog 28kg left dorsal pedal 20g manual');
      expect(form.view).toBeDefined();
      const { answer } = await bot.submit(ina);
      const zeroed = await bot.press(ina, 'done:zero', { message: answer!.message! });
      expect(zeroed.text).toContain(
        'Recorded for Biscuit (left dorsal pedal): level at the heart and zeroed, 19:20.',
      );
      // It takes the place of the answer it was pressed in: what is left to do is the test.
      expect(bot.platform.ephemerals(ina)).toHaveLength(1);
      expect(actionsOf(zeroed.message!).map((id) => id.split(':')[1])).toEqual(['test', 'undo', 'amend']);
      await bot.press(ina, 'open:test', { message: zeroed.message! });
      const tested = await bot.submit(ina, { verdict: 'underdamped' });
      expect(tested.answer?.text).toMatch(
        /fast-flush test: underdamped, 19:20\. First the animal: .* Fits: bubble, .* Then test again\. Next: flush 20:20\./,
      );
      await bot.quiet();
      expect(lastOf(bot, 'card').text).toContain(
        'Zero 19:20, level 19:20. Fast-flush test 19:20: underdamped.',
      );

      await bot.advanceTo(at('19:50'));
      expect(messagesOf(bot, 'nudge')).toEqual([]);
      const flushed = await bot.press(teo, 'done:flush', within(bot, 'card'));
      expect(flushed.text).toContain('flushed 2 mL (the usual), 19:50. Next: flush 20:50.');
      await bot.quiet();
      const card = lastOf(bot, 'card');
      expect(card.text).toContain('Flushed 19:50');
      expect(card.edited).toBeDefined();
      expect(messagesOf(bot, 'card')).toHaveLength(1);
    });

    it('tells from a line’s page in the menu, and brings page and menu up to date under it', async () => {
      const bot = await begin();
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
      await bot.advanceTo(at('20:20'));
      const menu = await bot.type(ina, '');
      expect(menu.text).toContain('Zero and level, fast-flush test, 1 h late; flush, now');
      const page = await bot.press(ina, 'open:card', { view: menu.view! });
      expect(page.view?.spec.callback_id).toBe('line');
      const done = await bot.press(ina, 'done', { view: page.view! });
      expect(done.text).toContain('Recorded for Biscuit');
      await bot.platform.until('the page to show it', () =>
        JSON.stringify(bot.platform.view(ina)?.spec).includes('Zero 20:20, level 20:20'),
      );
      await bot.platform.close({ user: ina, viewId: page.view!.id });
      await bot.platform.until('the menu to show it', () =>
        JSON.stringify(bot.platform.view(ina)?.spec).includes('Flush 21:20'),
      );
    });
  });

  describe('a flush that is missed', () => {
    it('climbs from the ward to the nurse to the clinician, is claimed, done, and every message about it settles', async () => {
      const bot = await begin();
      await bot.type(ina, 'oncall @suvi');
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
      expect((await bot.type(ina, 'zero Biscuit')).text).toContain('zeroed');
      expect((await bot.type(ina, 'test Biscuit normal')).text).toContain('normal');

      await bot.advanceTo(at('20:19'));
      expect(messagesOf(bot, 'nudge')).toEqual([]);
      await bot.advanceTo(at('20:20'));
      expect(lastOf(bot, 'nudge').text).toMatch(
        /^Due now, with <@U0NURSEINA>: Biscuit \(left dorsal pedal\): flush\./,
      );
      expect(bot.platform.notified.at(-1)).toMatchObject({ channel: east, userIds: [ina], why: 'mention' });

      await bot.advanceTo(at('20:30'));
      expect(lastOf(bot, 'escalation', ina).text).toMatch(
        /^Biscuit \(left dorsal pedal\): flush, 10 min late\. Risk: clot, lost line\./,
      );
      await bot.advanceTo(at('20:39'));
      expect(messagesOf(bot, 'escalation', suvi)).toEqual([]);
      await bot.advanceTo(at('20:40'));
      const told = lastOf(bot, 'escalation', suvi);
      expect(told.text).toMatch(
        /^BISCUIT dog: flush 20 min late, may clot\. Asked Ina Brandvold 20:30\. Call the ward or take it\..* · with Ina Brandvold\..* Risk: clot, lost line\./,
      );
      expect(actionsOf(told)[0]).toMatch(/^claim:/);

      const claimed = await bot.press(suvi, 'claim', { message: told });
      expect(claimed.text).toContain('taken over, 20:40');
      await bot.quiet();
      expect(lastOf(bot, 'nudge').text).toContain('Taken by Dr Suvi Aaltola until 21:10');
      await bot.advanceTo(at('21:09'));
      expect(messagesOf(bot, 'escalation', suvi)).toHaveLength(1);
      await bot.advanceTo(at('21:10'));
      expect(messagesOf(bot, 'escalation', suvi)).toHaveLength(2);

      const done = await bot.press(suvi, 'done', within(bot, 'escalation', suvi));
      expect(done.text).toContain('flushed 2 mL (the usual), 21:10');
      await bot.quiet();
      const all = [
        ...messagesOf(bot, 'nudge'),
        ...messagesOf(bot, 'escalation', ina),
        ...messagesOf(bot, 'escalation', suvi),
      ];
      expect(all).toHaveLength(4);
      for (const message of all) {
        expect(actionsOf(message)).toEqual([]);
        expect(message.text).toMatch(/^Settled|^Round of 20:20, nothing left to do/);
        expect(message.text).toContain('Flush: done 21:10 by Dr Suvi Aaltola.');
      }
      await bot.advanceTo(at('22:09'));
      expect(messagesOf(bot, 'nudge')).toHaveLength(1);
      await bot.advanceTo(at('22:10'));
      expect(messagesOf(bot, 'nudge')).toHaveLength(2);
    });

    it('is put off once by "later", told of by "cannot", and let go by the clinician alone', async () => {
      const bot = await begin();
      await bot.type(ina, 'oncall @suvi');
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
      await bot.type(ina, 'zero Biscuit');
      await bot.type(ina, 'test Biscuit normal');
      await bot.advanceTo(at('20:20'));
      const put = await bot.press(ina, 'later', within(bot, 'nudge'));
      expect(put.text).toContain('put off');
      await bot.quiet();
      expect(actionsOf(lastOf(bot, 'nudge')).some((id) => id.startsWith('later'))).toBe(false);
      expect(lastOf(bot, 'nudge').text).toContain('Put off until 20:30 by Ina Brandvold');

      await bot.press(ina, 'cannot', within(bot, 'nudge'));
      const cannot = await bot.submit(ina, { reason: 'no blood comes back' });
      expect(cannot.answer?.text).toContain('Recorded for Biscuit');
      await bot.sweep();
      expect(lastOf(bot, 'escalation', suvi).text).toContain(
        'Ina Brandvold could not: “no blood comes back”',
      );

      const refused = await bot.press(suvi, 'open:letgo', within(bot, 'escalation', suvi));
      expect(refused.view?.spec.callback_id).toBe('letgo');
      const letGo = await bot.submit(suvi, { reason: 'line comes out in theatre', for: '4' });
      expect(letGo.answer?.text).toContain('flush let go: line comes out in theatre');
      await bot.quiet();
      expect(lastOf(bot, 'nudge').text).toContain('let go until 00:20 by Dr Suvi Aaltola');
      expect(actionsOf(lastOf(bot, 'escalation', suvi))).toEqual([]);
      await bot.advanceTo(at('23:15'));
      expect(messagesOf(bot, 'nudge')).toHaveLength(1);
    });

    it('is told when it was done earlier, and counts from then', async () => {
      const bot = await begin();
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
      await bot.type(ina, 'zero Biscuit');
      await bot.type(ina, 'test Biscuit normal');
      await bot.advanceTo(at('20:25'));
      await bot.press(ina, 'earlier', within(bot, 'nudge'));
      const earlier = await bot.submit(ina, { when: '10' });
      expect(earlier.answer?.text).toContain('flushed 2 mL (the usual), 20:15. Next: flush 21:15.');
      await bot.quiet();
      expect(actionsOf(lastOf(bot, 'nudge'))).toEqual([]);
    });

    it('tells the ward loudly where nobody is on call, and takes it back when somebody is', async () => {
      const bot = await begin();
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
      await bot.advanceTo(at('20:00'));
      const loud = lastOf(bot, 'notice');
      expect(loud.text).toMatch(
        /^NOBODY IS ON CALL\. This is late: Biscuit \(left dorsal pedal\):? zero and level, fast-flush test, 40 min late/,
      );
      await bot.type(ina, 'oncall @suvi');
      await bot.quiet();
      const notices = messagesOf(bot, 'notice').map(({ text }) => text);
      expect(notices).toEqual([
        'Nobody had been on call. On call now: Dr Suvi Aaltola.',
        'On call now: Dr Suvi Aaltola, set by Ina Brandvold.',
      ]);
      expect(messagesOf(bot, 'notice', suvi).at(-1)?.text).toContain('You are on call');
    });
  });

  describe('a cat', () => {
    it('is warned of at 6 h and limited at 8 h; only a clinician keeps the line in, with a reason and an end', async () => {
      const bot = await begin();
      await bot.type(ina, 'oncall @suvi');
      await place(bot, 'Mochi cat 4.2kg median caudal 24g continuous syringe 50 ml 2 ml/h');
      await bot.type(ina, 'zero Mochi');
      await bot.type(ina, 'test Mochi normal');
      // A cat's site and limb are looked at every 2 h.
      for (const time of ['21:20', '23:20']) {
        await bot.advanceTo(at(time));
        await bot.press(ina, 'done', within(bot, 'nudge'));
      }
      await bot.advanceTo(at('01:19'));
      expect(messagesOf(bot, 'escalation', suvi)).toEqual([]);
      await bot.advanceTo(at('01:20'));
      // On the nurse’s visit; nobody is woken for a warning.
      expect(lastOf(bot, 'nudge').text).toMatch(/^Due now.*Mochi.*dwell warning/);
      expect(messagesOf(bot, 'escalation', suvi)).toEqual([]);

      const byNurse = await bot.press(ina, 'open:letgo', within(bot, 'nudge'));
      expect(byNurse.text).toMatch(/^Only the clinician on call/);
      expect(byNurse.view).toBeUndefined();
      expect(actionsOf(lastOf(bot, 'nudge')).some((id) => id.startsWith('later'))).toBe(false);
      await bot.press(ina, 'done', within(bot, 'nudge'));

      await bot.advanceTo(at('03:20'));
      expect(lastOf(bot, 'escalation', suvi).text).toMatch(
        /^MOCHI cat: dwell limit reached now, limb at risk\. .*Call the ward or decide\..* Risk: arterial thrombosis/,
      );
      await bot.press(ina, 'done', within(bot, 'nudge'));
      await bot.press(suvi, 'open:letgo', within(bot, 'escalation', suvi));
      const short = await bot.submit(suvi, { reason: 'no' });
      expect(short.errors.reason).toContain('3 characters or more');
      const kept = await bot.submit(suvi, { reason: 'needed until theatre at 05:00', for: '2' });
      expect(kept.answer?.text).toContain('line kept in: needed until theatre at 05:00');
      await bot.quiet();
      expect(lastOf(bot, 'card').text).toContain('Cat: dwell limit 05:20.');
      expect(lastOf(bot, 'escalation', suvi).text).toContain(
        'Line kept in by Dr Suvi Aaltola, asked again 05:20: “needed until theatre at 05:00”',
      );
      const before = messagesOf(bot, 'escalation', suvi).length;
      await bot.advanceTo(at('05:19'));
      expect(texts(messagesOf(bot, 'escalation', suvi)).filter((text) => /^Mochi.*dwell/.test(text))).toEqual(
        [],
      );
      await bot.advanceTo(at('05:20'));
      expect(messagesOf(bot, 'escalation', suvi).length).toBeGreaterThan(before);
      expect(lastOf(bot, 'escalation', suvi).text).toMatch(/dwell limit reached now/);
    });
  });

  describe('the handover', () => {
    it('comes by itself before the shift, is accepted, and from then on the lines are with who accepted', async () => {
      const bot = await begin({ startMs: at('18:30') });
      await bot.type(ina, 'oncall @suvi');
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
      await bot.type(ina, 'zero Biscuit');
      await bot.type(ina, 'test Biscuit normal');
      await bot.type(ina, 'reading Biscuit 118/64 mmHg');
      await bot.advanceTo(at('18:44'));
      expect(messagesOf(bot, 'handover')).toEqual([]);
      await bot.advanceTo(at('18:45'));
      const [first, patients, visits] = messagesOf(bot, 'handover');
      expect(messagesOf(bot, 'handover')).toHaveLength(3);
      expect([patients, visits].map((one) => one?.thread_ts)).toEqual([first?.ts, first?.ts]);
      const order = ['Identify', 'Situation', 'Background', 'Assessment', 'Recommendation'];
      const places = order.map((word) => patients?.text.indexOf(word) ?? -1);
      expect(places).toEqual(places.toSorted((a, b) => a - b));
      expect(places[0]).toBeGreaterThan(0);
      expect(patients?.text).toContain('Reading 18:30: 118/64 mmHg');
      expect(patients?.text).toContain('flush 19:30');
      expect(first?.text).toContain('flush: ☐ Biscuit');
      expect(visits?.text).toMatch(/^Stock for the shift\. \d+ flush syringes/);
      expect(first?.text).toMatch(
        /^Handover to night, Tue 24 Nov 19:00 to 07:00\. On call at 19:00: Dr Suvi Aaltola\. 1 line at 18:45, nothing to watch; all go to whoever accepts\./,
      );
      expect(first?.text).toContain('Biscuit: 118/64 (82) 18:30');
      expect(first?.text).toContain('Not a monitor');

      await bot.advanceTo(at('19:30'));
      expect(texts(messagesOf(bot, 'notice')).at(-1)).toMatch(
        /^Nobody has accepted the handover for 19:00 yet\./,
      );
      const accepted = await bot.press(teo, 'accept', { message: first! });
      expect(accepted.text).toContain('You have the ward.');
      await bot.quiet();
      expect(lastOf(bot, 'handover').text).toContain('Accepted 19:30 by Teo Marchetti, who took it.');
      expect(actionsOf(lastOf(bot, 'handover'))).toEqual(['open:assign']);
      expect(lastOf(bot, 'notice').text).toBe('The handover for 19:00 was accepted 19:30.');
      expect(lastOf(bot, 'card').text).toContain('With Teo Marchetti.');
      expect(lastOf(bot, 'nudge').text).toContain('with <@U0NURSETEO>');

      bot.slowly();
      const again = await bot.press(ina, 'accept', { message: first! }, { stale: first!.blocks! });
      expect(again.text).toContain('Teo Marchetti accepted this handover 19:30.');
    });

    it('answers a request in the channel, for every line, also for one that is out with its limb to follow', async () => {
      const bot = await begin();
      const none = await bot.type(ina, 'handover');
      expect(none.text).toBe('There is no arterial line on this ward, so there’s nothing to hand over.');
      await place(bot, 'Mochi cat 4.2kg median caudal 24g manual');
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
      await bot.type(ina, 'remove Mochi planned, tip whole');
      await bot.type(teo, 'handover');
      await bot.quiet();
      const [first, patients] = messagesOf(bot, 'handover');
      expect(patients?.text).toMatch(/Biscuit\..*Mochi\..*Line out, limb follow-up still open\./);
      expect(patients?.text).toContain('next-day pulse check of the tail Wed 25 Nov 19:20');
      expect(first?.text).toContain('2 lines at ');

      await bot.advanceTo(at('20:00'));
      await bot.type(teo, 'handover');
      await bot.quiet();
      const accepted = await bot.press(teo, 'accept', within(bot, 'handover'));
      expect(accepted.text).toContain('You have the ward.');
      await bot.quiet();
      const older = messagesOf(bot, 'handover')[0];
      expect(older?.text).toContain('a newer handover took its place');
      expect(actionsOf(older!)).toEqual([]);
    });
  });

  describe('taking a line out', () => {
    it('says when the pressure was held long enough, asks for both pulse checks, then closes the card', async () => {
      const bot = await begin();
      await bot.type(ina, 'oncall @suvi');
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
      await bot.advanceTo(at('19:35'));
      const nudged = lastOf(bot, 'nudge');
      expect(actionsOf(nudged)).not.toEqual([]);
      const out = await bot.type(ina, 'remove Biscuit planned, tip whole');
      expect(out.text).toContain(
        'taken out: planned, 19:35. Hold pressure 5 min, until 19:40; then look: does it ooze? Pulse checks 20:35 and Wed 25 Nov 19:35.',
      );
      await bot.quiet();
      expect(lastOf(bot, 'nudge').text).toContain('line taken out 19:35');
      expect(actionsOf(lastOf(bot, 'nudge'))).toEqual([]);
      expect(lastOf(bot, 'card').text).toContain('Taken out 19:35 by Ina Brandvold: planned. Tip whole.');

      await bot.advanceTo(at('19:42'));
      expect(lastOf(bot, 'nudge').text).toContain('look at the puncture after the hold');
      expect((await bot.press(ina, 'done', within(bot, 'nudge'))).text).toContain('not oozing');
      await bot.advanceTo(at('20:35'));
      expect(lastOf(bot, 'nudge').text).toContain('pulse check of the hind foot');
      expect((await bot.press(ina, 'done', within(bot, 'nudge'))).text).toContain('pulse present');
      await bot.advanceTo(Date.parse('2026-11-25T19:34:00Z'));
      expect(lastOf(bot, 'card').text).toContain('Still owed: Next-day pulse check');
      await bot.advanceTo(Date.parse('2026-11-25T19:35:00Z'));
      const felt = await bot.type(teo, 'pulse Biscuit present, warm');
      expect(felt.text).toContain('pulse present');
      await bot.quiet();
      expect(lastOf(bot, 'card').text).toContain('Nothing left to do.');
      expect(actionsOf(lastOf(bot, 'card'))).toEqual([]);
      expect((await bot.record.readWard(wardId)).lines).toEqual([]);
      expect((await bot.type(ina, 'due')).text).toContain('No arterial lines on this ward.');
      await bot.advanceTo(Date.parse('2026-11-26T12:00:00Z'));
      expect(messagesOf(bot, 'nudge').filter((message) => actionsOf(message).length > 0)).toEqual([]);
    });

    it('tells the clinician at once of a limb that is cold or has no pulse', async () => {
      const bot = await begin();
      await bot.type(ina, 'oncall @suvi');
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
      await bot.type(ina, 'check Biscuit cold, no pulse');
      await bot.look();
      await bot.quiet();
      expect(lastOf(bot, 'escalation', suvi).text).toMatch(
        /^BISCUIT dog: no pulse below, cold hind foot, limb at risk\. Ina Brandvold saw it 19:20\. Call the ward or take it\./,
      );
      expect(messagesOf(bot, 'escalation', suvi)).toHaveLength(1);
      expect((await bot.press(suvi, 'claim', within(bot, 'escalation', suvi))).text).toContain('You have it');
      await bot.advanceTo(at('19:49'));
      expect(messagesOf(bot, 'escalation', suvi)).toHaveLength(1);
      // The claim ends and nobody looked again: it is told again.
      await bot.advanceTo(at('19:50'));
      expect(lastOf(bot, 'escalation', suvi).text).toContain('Cold hind foot and no pulse below, seen 19:20');
      await bot.type(ina, 'check Biscuit ok');
      await bot.quiet();
      expect(lastOf(bot, 'escalation', suvi).text).toContain(
        'Finding: looked at again 19:50 by Ina Brandvold, nothing amiss.',
      );
      expect(messagesOf(bot, 'escalation', suvi).flatMap(actionsOf)).not.toContain('claim');
    });

    it('tells a finding to whoever is put on call after it, and settles it where it was told in error', async () => {
      const bot = await begin();
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
      expect((await bot.type(ina, 'check Biscuit swelling')).text).toContain(
        'Call a clinician yourself now.',
      );
      await bot.look();
      await bot.quiet();
      expect(lastOf(bot, 'notice').text).toMatch(
        /^NOBODY IS ON CALL\. A clinician must see this now: Biscuit \(left dorsal pedal\): swelling, seen 19:20/,
      );
      await bot.type(ina, 'oncall @suvi');
      await bot.look();
      await bot.quiet();
      expect(lastOf(bot, 'escalation', suvi).text).toMatch(
        /^BISCUIT dog: swelling, limb at risk\. Ina Brandvold saw it 19:20\./,
      );
      await bot.type(ina, 'amend Biscuit');
      await amend(bot, ina, /site and limb/, { strike: 'was another patient' });
      await bot.quiet();
      const settled = lastOf(bot, 'escalation', suvi);
      expect(settled.text).toContain('Clinician’s look at the finding: since corrected.');
      expect(actionsOf(settled)).toEqual([]);
    });

    it('can be put right for a day, whatever was told to be the reason, by typing and from the card', async () => {
      const bot = await begin();
      await bot.type(ina, 'oncall @suvi');
      await place(bot, 'Mochi cat 4kg median caudal 24g manual');
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
      await bot.advanceTo(at('19:40'));
      await bot.type(ina, 'remove Mochi death');
      await bot.quiet();
      const card = { message: messagesOf(bot, 'card')[0] ?? lastOf(bot, 'card') };
      expect(card.message.text).toContain(
        'Taken out in error? “More…” puts it right until Wed 25 Nov 19:40.',
      );
      expect((await bot.type(ina, 'due')).text).toContain('Taken out 19:40, nothing left to do');
      await bot.type(ina, 'handover');
      await bot.quiet();
      const pages = messagesOf(bot, 'handover').map(({ text }) => text);
      expect(pages[0]).toContain('1 line at ');
      expect(pages[0]).toContain('Taken out, nothing left to do: Mochi (median caudal) 19:40, death.');
      expect(pages.slice(1).join()).not.toContain('Mochi');
      await bot.type(ina, 'remove Biscuit death');
      await bot.advanceTo(Date.parse('2026-11-25T19:30:00Z'));
      const page = await bot.press(ina, 'open:card', card);
      await bot.press(ina, 'open:amend', { view: page.view! });
      const amended = await amend(bot, ina, /taken out/, { strike: 'was another patient' });
      expect(amended.answer?.text).toContain('Struck out for Mochi');
      await bot.look();
      await bot.quiet();
      expect(lastOf(bot, 'escalation', suvi).text).toContain('dwell limit');
      expect(messagesOf(bot, 'card')[0]?.text).toContain('Cat: dwell limit');
    });

    it('stops asking after a hold that nobody answered for an hour', async () => {
      const bot = await begin();
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
      await bot.advanceTo(at('19:35'));
      await bot.type(ina, 'remove Biscuit transfer');
      await bot.advanceTo(at('19:42'));
      expect(actionsOf(lastOf(bot, 'nudge'))).not.toEqual([]);
      await bot.advanceTo(at('20:40'));
      expect(actionsOf(lastOf(bot, 'nudge'))).toEqual([]);
      expect(lastOf(bot, 'nudge').text).toContain('nothing left to do');
      expect((await bot.record.readWard(wardId)).lines).toHaveLength(1);
      await bot.advanceTo(at('19:36') + 24 * 3_600_000);
      expect((await bot.record.readWard(wardId)).lines).toEqual([]);
    });
  });

  describe('what the ward changes', () => {
    it('times every line anew when the policy changes, and tells the channel who did it', async () => {
      const bot = await begin();
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
      await bot.type(ina, 'zero Biscuit');
      await bot.type(ina, 'test Biscuit normal');
      await bot.type(ina, 'policy');
      const sent = await bot.submit(ina, { flushEveryMin: '30' });
      expect(sent.errors).toEqual({});
      await bot.quiet();
      expect(lastOf(bot, 'card').text).toContain('Flush by hand, every 30 min.');
      expect(lastOf(bot, 'notice').text).toContain('Ina Brandvold changed the ward policy.');
      await bot.advanceTo(at('19:50'));
      expect(lastOf(bot, 'nudge').text).toMatch(/^Due now.*Biscuit.*: flush\./);
    });

    it('tells whoever is put on call and whoever is relieved, and leaves nobody believing they still are', async () => {
      const bot = await begin();
      await bot.type(ina, 'oncall @suvi');
      await bot.quiet();
      const told = () => bot.platform.messages(suvi).map(({ text }) => text);
      expect(told()).toEqual([
        expect.stringMatching(/^You are on call for the arterial lines of <#C0WARDEAST> now/),
      ]);
      await bot.advanceTo(at('20:00'));
      await bot.type(ina, 'oncall @jorn');
      await bot.quiet();
      expect(told()).toEqual([
        expect.stringMatching(/^You were on call .* from 19:20, set by Ina Brandvold\. On call now: /),
        expect.stringMatching(/^You were taken off call .* at 20:00, by Ina Brandvold\. On call now: /),
      ]);
    });

    it('refuses a policy made on an older one, and says so in the form', async () => {
      const bot = await begin();
      await bot.type(ina, 'policy');
      await bot.type(teo, 'policy');
      expect((await bot.submit(teo, { flushEveryMin: '45' })).accepted).toBe(true);
      const late = await bot.submit(ina, { flushEveryMin: '90' });
      expect(Object.values(late.errors).join()).toContain('Somebody else changed the policy');
      expect((await bot.record.readWardState(wardId)).policy.flushEveryMin).toBe(45);
    });

    it('derives everything after an amended entry anew, and the messages follow', async () => {
      const bot = await begin();
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
      await bot.type(ina, 'zero Biscuit');
      await bot.type(ina, 'test Biscuit normal');
      await bot.advanceTo(at('20:20'));
      await bot.type(ina, 'flush Biscuit');
      await bot.quiet();
      expect(lastOf(bot, 'nudge').text).toContain('nothing left to do');
      // It was told for the wrong patient.
      await bot.type(ina, 'amend Biscuit');
      const amended = await amend(bot, ina, /flushed/, { strike: 'was another patient' });
      expect(amended.answer?.text).toContain('Struck out for Biscuit');
      await bot.quiet();
      expect(lastOf(bot, 'nudge').text).toMatch(/^Due now.*Biscuit.*: flush/);
      expect(actionsOf(lastOf(bot, 'nudge')).some((id) => id.startsWith('done'))).toBe(true);
      expect(lastOf(bot, 'card').text).toContain('Not flushed since placing');
      await bot.advanceTo(at('20:30'));
      expect(lastOf(bot, 'escalation', ina).text).toContain('flush, 10 min late');
    });

    it('swaps the hourly flush for the run-out clock when a line is flushed continuously, and back', async () => {
      const bot = await begin();
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
      await bot.type(ina, 'zero Biscuit');
      await bot.type(ina, 'test Biscuit normal');
      const changed = await bot.type(ina, 'source Biscuit continuous syringe 20 ml 10 ml/h');
      expect(changed.text).toContain('flush now continuous');
      await bot.quiet();
      expect(lastOf(bot, 'card').text).toContain(
        'Flush continuous, syringe 20 mL at 10 mL/h (8.6 mL/kg/day, 17 % of maintenance).',
      );
      await bot.advanceTo(at('20:49'));
      expect(messagesOf(bot, 'nudge')).toEqual([]);
      // 20 mL at 10 mL/h is empty at 21:20; the source is changed 30 min before.
      await bot.advanceTo(at('20:50'));
      expect(lastOf(bot, 'nudge').text).toContain('flush source change before it runs out');
      expect((await bot.type(ina, 'source Biscuit manual')).text).toContain('flush now by hand');
      await bot.quiet();
      expect(actionsOf(lastOf(bot, 'nudge'))).toEqual([]);
      await bot.advanceTo(at('21:50'));
      expect(lastOf(bot, 'nudge').text).toMatch(/^Due now.*Biscuit.*: flush\./);
    });
  });

  describe('a restart', () => {
    it('loses nothing: the ladder goes on where it stood, and old buttons work', async () => {
      const bot = await begin();
      await bot.type(ina, 'oncall @suvi');
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
      await bot.type(ina, 'zero Biscuit');
      await bot.type(ina, 'test Biscuit normal');
      await bot.advanceTo(at('20:20'));
      const nudge = lastOf(bot, 'nudge');
      await bot.restart();
      await bot.advanceTo(at('20:40'));
      expect(messagesOf(bot, 'nudge')).toHaveLength(1);
      expect(messagesOf(bot, 'escalation', ina)).toHaveLength(1);
      expect(messagesOf(bot, 'escalation', suvi)).toHaveLength(1);
      expect((await bot.press(ina, 'done', { message: nudge })).text).toContain(
        'flushed 2 mL (the usual), 20:40',
      );
      await bot.quiet();
      expect(actionsOf(lastOf(bot, 'escalation', suvi))).toEqual([]);
      expect(lastOf(bot, 'card').text).toContain('Flushed 20:40');
      expect(hour / minute).toBe(60);
    });
  });
}
