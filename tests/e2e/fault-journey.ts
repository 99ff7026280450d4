import { describe, expect, it } from 'vitest';
import type { OpenView } from '../../src/practice/platform/views.ts';
import { type BotOnPlatform, buttonsIn, ina, suvi, teo, wardId } from '../support/bot-on-platform.ts';
import { actionsOf, botTests, lastOf, messagesOf, place, within } from '../support/bot-tests.ts';
import type { SharedRedis } from '../support/shared-redis.ts';

const at = (clock: string) => Date.parse(`2026-11-${clock < '12:00' ? '25' : '24'}T${clock}:00Z`);

const shown = (view: OpenView | undefined) => JSON.stringify(view?.spec ?? null);

/** The button of this person's page whose action id begins or ends with `which`. */
function actionIn(view: OpenView, which: string): string {
  const ids = buttonsIn(view.spec.blocks as never).map(({ action_id }) => String(action_id));
  const found = ids.find((id) => id.startsWith(which) || id.endsWith(`:${which}`));
  if (!found) throw new Error(`No button ${which} here; there is ${ids.join(', ')}.`);
  return found;
}

/** Presses in this person's page of a fault and waits until that page shows something else. */
async function pressPage(bot: BotOnPlatform, user: string, which: string): Promise<string> {
  const view = bot.platform.view(user);
  if (!view) throw new Error(`${user} has no page open.`);
  const { hash } = view;
  await bot.platform.press({ user, actionId: actionIn(view, which), viewId: view.id });
  return bot.platform.until(`the page of ${user} to change after ${which}`, () => {
    const now = bot.platform.view(user);
    return now && now.hash !== hash ? shown(now) : undefined;
  });
}

async function told(bot: BotOnPlatform, name = 'Biscuit'): Promise<string[]> {
  const { id } = await bot.line(name);
  const log = await bot.record.readLog(wardId, id);
  return log.flatMap(({ kind, body }) => {
    if (kind === 'faultOpened') return [`opened ${body.sign}`];
    if (kind === 'faultStep') return [`${body.step}=${body.answer}`];
    return kind === 'faultClosed' ? [body.resolved ? 'resolved' : 'left'] : [];
  });
}

/** Something is wrong with the trace: from the first question to its end, through the real Bolt path. */
export function faultJourney(mode: 'socket' | 'http', redis: () => SharedRedis): void {
  const start = botTests();
  const begin = async () => {
    const bot = await start({ mode, redis: redis() });
    await bot.type(ina, 'oncall @suvi');
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await bot.type(ina, 'zero Biscuit');
    await bot.type(ina, 'test Biscuit normal');
    await bot.quiet();
    return bot;
  };

  describe('a fault', () => {
    it('opens by typing, asks one thing at a time, goes on where it was left, and ends resolved', async () => {
      const bot = await begin();
      const first = await bot.type(ina, 'fault Biscuit flat');
      expect(first.view?.spec.callback_id).toBe('fault');
      expect(first.text).toContain('Step 1 of 9: patient');
      expect(first.text).toContain('Feel a pulse elsewhere, look at the gums, take a cuff pressure.');
      expect(await told(bot)).toEqual(['opened flat']);

      expect(await pressPage(bot, ina, 'well')).toContain('Step 2 of 9: catheter');
      expect(await told(bot)).toEqual(['opened flat', 'flat.patient=well']);
      expect(await pressPage(bot, ina, 'good')).toContain('Bent, pinched by tape, or partly out?');
      const asked = await pressPage(bot, ina, 'freed');
      expect(asked).toContain('Is it as it should be now?');
      expect(asked).toContain('Bent catheter straightened');
      await bot.quiet();
      expect(lastOf(bot, 'card').text).toContain('Open fault flat since 19:20, at catheter');

      // Closed, and gone on with by somebody else, without the sign.
      await bot.platform.close({ user: ina, viewId: bot.platform.view(ina)!.id });
      const again = await bot.type(teo, 'fault Biscuit');
      expect(again.text).toContain('Step 3 of 9: catheter');
      expect(again.text).toContain('Is it as it should be now?');
      expect(await pressPage(bot, teo, 'not-yet')).toContain('draw back gently');
      expect(await pressPage(bot, teo, 'freely')).toContain('Step 5 of 9: tap');
      await pressPage(bot, teo, 'turned');
      bot.clock.jumpTo(at('19:25'));
      const ended = await pressPage(bot, teo, 'solved');
      expect(ended).toContain('*Resolved 19:25.* Tap or cap put right.');
      expect(ended).toContain('Due now: zero and level and fast-flush test.');
      expect(await told(bot)).toEqual([
        'opened flat',
        'flat.patient=well',
        'flat.limb=good',
        'flat.kink=freed',
        'flat.kink.fixed=not yet',
        'flat.draw=freely',
        'flat.tap=turned',
        'flat.tap.fixed=solved',
        'resolved',
      ]);
      const zeroed = await pressPage(bot, teo, 'done:zero');
      expect(zeroed).toContain('Due now: fast-flush test.');
      await bot.quiet();
      expect(lastOf(bot, 'card').text).toContain(
        'Last fault flat of 19:20: resolved 19:25, tap or cap put right',
      );
      await bot.type(ina, 'handover');
      await bot.quiet();
      const pages = messagesOf(bot, 'handover').map(({ text }) => text);
      expect(pages.join(' ')).toContain('fault flat of 19:20: resolved 19:25, tap or cap put right');
      expect(messagesOf(bot, 'escalation', suvi)).toEqual([]);
    });

    it('opens by thumb from the menu, and goes to the clinician at once where the patient looks bad', async () => {
      const bot = await begin();
      const menu = await bot.type(ina, '');
      const page = await bot.press(ina, 'open:card', { view: menu.view! });
      const choice = await bot.press(ina, 'open:fault', { view: page.view! });
      expect(choice.text).toContain('What does the trace do?');
      expect(await told(bot)).toEqual([]);
      expect(await pressPage(bot, ina, 'none')).toContain('No trace can be no pulse.');
      const ended = await pressPage(bot, ina, 'bad');
      expect(ended).toContain('*Not resolved 19:20.* Patient looks bad.');
      expect(ended).toContain('Dr Suvi Aaltola, on call, is told.');
      expect(await told(bot)).toEqual(['opened none', 'none.patient=bad', 'left']);
      await bot.sweep();
      const call = lastOf(bot, 'escalation', suvi);
      expect(call.text).toMatch(
        /^BISCUIT dog: fault not solved \(no trace\), may clot\. Ina Brandvold left it 19:20\. Call the ward or take it\..*Line fault not resolved: no trace, patient looks bad, recorded 19:20 .*Risk: pressures unseen, clot, lost line\./,
      );
      await bot.platform.close({ user: ina, viewId: bot.platform.view(ina)!.id });
      await bot.platform.until('the line’s page under it to show it', () =>
        shown(bot.platform.view(ina)).includes('Line fault not resolved: no trace, patient looks bad'),
      );
      expect(bot.platform.view(ina)?.spec.callback_id).toBe('line');

      // Claimed, told again when the claim ends, tried again from the message, resolved.
      expect((await bot.press(suvi, 'claim', { message: call })).text).toContain('You have it until 19:50');
      await bot.advanceTo(at('19:49'));
      expect(messagesOf(bot, 'escalation', suvi)).toHaveLength(1);
      await bot.advanceTo(at('19:50'));
      expect(messagesOf(bot, 'escalation', suvi).length).toBeGreaterThan(1);
      const retry = await bot.press(suvi, 'open:fault', within(bot, 'escalation', suvi));
      expect(retry.text).toContain('Step 1 of 9: patient');
      expect(await pressPage(bot, suvi, 'done:solved')).toContain('*Resolved 19:50.*');
      await bot.quiet();
      expect(await told(bot)).toEqual(['opened none', 'none.patient=bad', 'left', 'opened none', 'resolved']);
      const calls = messagesOf(bot, 'escalation', suvi).filter(({ text }) => text.includes('fault'));
      expect(calls.length).toBeGreaterThan(1);
      for (const { text } of calls)
        expect(text).toContain('Line fault: resolved 19:50, recorded by Dr Suvi Aaltola.');
    });

    it('is cried out where nobody is on call, told to whoever comes, and settled when the line is out', async () => {
      const bot = await start({ mode, redis: redis() });
      await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
      await bot.type(ina, 'fault Biscuit drifting');
      await pressPage(bot, ina, 'well');
      expect(await pressPage(bot, ina, 'done:left')).toContain(
        'Nobody is on call, so I’m telling the ward. Call a clinician yourself now.',
      );
      await bot.sweep();
      expect(lastOf(bot, 'notice').text).toMatch(
        /^NOBODY IS ON CALL\. A clinician must see this now: Biscuit \(left dorsal pedal\): line fault not resolved: drifting, stopped at catheter, recorded 19:20/,
      );
      await bot.type(ina, 'oncall @suvi');
      await bot.sweep();
      expect(lastOf(bot, 'escalation', suvi).text).toContain('Line fault not resolved: drifting');
      await bot.press(suvi, 'open:remove', within(bot, 'escalation', suvi));
      await bot.submit(suvi, { reason: 'occluded', tip: 'tip not looked at', site: 'site not looked at' });
      await bot.quiet();
      const settled = lastOf(bot, 'escalation', suvi);
      expect(settled.text).toMatch(/^Settled/);
      expect(actionsOf(settled)).toEqual([]);
      expect((await bot.type(ina, 'fault Biscuit flat')).text).toContain('was taken out');
    });

    it('writes a double press once, and a press on a page that is behind not at all', async () => {
      const bot = await begin();
      await bot.type(ina, 'fault Biscuit spiky');
      await bot.type(teo, 'fault Biscuit spiky');
      expect(await told(bot)).toEqual(['opened spiky']);
      const view = bot.platform.view(ina)!;
      const press = { user: ina, actionId: actionIn(view, 'well'), viewId: view.id };
      await Promise.all([bot.platform.press(press), bot.platform.press(press)]);
      await bot.platform.until('the next question', () =>
        shown(bot.platform.view(ina)).includes('Step 2 of 7: catheter'),
      );
      await bot.quiet();
      expect(await told(bot)).toEqual(['opened spiky', 'spiky.patient=well']);

      // The other nurse still sees the first question: the same answer shows what is asked now, another says why not.
      expect(await pressPage(bot, teo, 'well')).toContain('Step 2 of 7: catheter');
      await pressPage(bot, ina, 'still');
      const behind = await pressPage(bot, teo, 'rested');
      expect(behind).toContain('somebody has answered that question already');
      expect(behind).toContain('Step 3 of 7: tap');
      expect(await told(bot)).toEqual(['opened spiky', 'spiky.patient=well', 'spiky.moves=still']);
      expect(messagesOf(bot, 'escalation', suvi)).toEqual([]);

      // Both end it: it ends once.
      expect(await pressPage(bot, ina, 'done:solved')).toContain('*Resolved 19:20.*');
      const after = await pressPage(bot, teo, 'done:left');
      expect(after).toContain('has no open fault');
      expect((await told(bot)).at(-1)).toBe('resolved');
    });

    it('takes the time at which it began, and asks for the sign where none is told', async () => {
      const bot = await begin();
      await bot.advanceTo(at('19:40'));
      const choice = await bot.type(ina, 'fault Biscuit');
      expect(choice.text).toContain('What does the trace do?');
      await bot.platform.close({ user: ina, viewId: choice.view!.id });
      const opened = await bot.type(ina, 'fault Biscuit no trace at 19:30');
      expect(opened.text).toContain('fault no trace since 19:30');
      await bot.quiet();
      expect(lastOf(bot, 'card').text).toContain('Open fault no trace since 19:30, at patient');
      const refused = await bot.type(ina, 'fault Biscuit flat at 19:10');
      expect(refused.text).toContain('Not recorded: 19:10 is before the line was placed');
      expect(await told(bot)).toEqual(['opened none']);
    });

    it('keeps two signs apart, and is left by a whole path that finds nothing', async () => {
      const bot = await begin();
      await bot.type(ina, 'fault Biscuit spiky');
      await pressPage(bot, ina, 'well');
      expect(await pressPage(bot, ina, 'choose')).toContain('Spiky: overshoots, rings (go on, since 19:20)');
      expect(await pressPage(bot, ina, 'drifting')).toContain('Step 1 of 8: patient');
      for (const answer of ['well', 'straight', 'right', 'clear', 'good', 'level', 'not'])
        await pressPage(bot, ina, answer);
      expect(shown(bot.platform.view(ina))).toContain('if it finds nothing, I tell the clinician on call');
      expect(await pressPage(bot, ina, 'right')).toContain('*Not resolved 19:20.*');
      await bot.sweep();
      expect(lastOf(bot, 'escalation', suvi).text).toContain(
        'Line fault not resolved: drifting, nothing solved it, recorded 19:20',
      );
      await bot.quiet();
      expect(lastOf(bot, 'card').text).toContain('Open fault spiky since 19:20, at catheter');
      expect(await told(bot)).toHaveLength(2 + 1 + 8 + 1);
    });
  });
}
