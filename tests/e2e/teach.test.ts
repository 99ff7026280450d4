import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { screenGroups } from '../../src/chat/help/screens.ts';
import type { Json } from '../../src/practice/platform/message.ts';
import {
  type Answer,
  type BotOnPlatform,
  buttonsIn,
  east,
  ina,
  outsider,
  suvi,
  tearoom,
  teo,
} from '../support/bot-on-platform.ts';
import { botTests, goOn, lastOf, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);
const begin = () =>
  start({ mode: 'socket', redis, startMs: at('21:10') }, { names: ['Biscuit', 'Mochi', 'Pebble'] });

/** Everything the store holds, byte for byte. */
async function stored(): Promise<string[]> {
  const client = redis.client();
  const keys = (await client.keys('*')).toSorted();
  const values = await Promise.all(keys.map((key) => client.dump(key)));
  client.disconnect();
  return keys.map((key, index) => `${key} ${values[index]}`);
}

/** Runs `act`; the store is as it was, nobody was told anything in the channel, and the operator had nothing to look at. */
async function unrecorded(bot: BotOnPlatform, act: () => Promise<void>): Promise<void> {
  await bot.quiet();
  const before = await stored();
  expect(before.length).toBeGreaterThan(3);
  const posted = JSON.stringify(bot.platform.messages(east));
  const heard = bot.platform.notified.length;
  await act();
  await bot.quiet();
  expect(await stored()).toEqual(before);
  expect(JSON.stringify(bot.platform.messages(east))).toBe(posted);
  expect(bot.platform.notified).toHaveLength(heard);
}

/** What the person's view says, and what it is called. */
function shown(bot: BotOnPlatform): { callback: string; text: string } {
  const spec = bot.platform.view(ina)?.spec;
  return { callback: String(spec?.callback_id), text: JSON.stringify(spec ?? {}) };
}

async function becomes(bot: BotOnPlatform, what: RegExp): Promise<string> {
  return bot.platform.until(`a view like ${what}`, () => {
    const { text } = shown(bot);
    return what.test(text) ? text : undefined;
  });
}

/** Presses in the view that stands on top, which may be brought up to date in place. */
async function pressOn(bot: BotOnPlatform, action: string): Promise<void> {
  const view = bot.platform.view(ina);
  const button = buttonsIn((view?.spec.blocks ?? []) as Json[]).find(({ action_id }) =>
    String(action_id).startsWith(action),
  );
  if (!view || !button) throw new Error(`no button ${action} in ${JSON.stringify(view?.spec)}`);
  await bot.platform.press({ user: ina, actionId: String(button.action_id), viewId: view.id });
}

async function practise(bot: BotOnPlatform, verb: string): Promise<Answer> {
  const help = await bot.type(ina, `help ${verb}`);
  const form = await bot.press(ina, `open:practise:${verb}`, { message: help.message! });
  expect(form.view?.spec.callback_id).toMatch(/^practise:/);
  expect(form.text).toContain('Practice: nothing is recorded.');
  return form;
}

/** Sends the practice's form; gives the page that says what it came to. */
async function send(
  bot: BotOnPlatform,
  values: Parameters<BotOnPlatform['submit']>[1] = {},
): Promise<string> {
  const view = bot.platform.view(ina)!;
  await bot.platform.fill(view.id, values);
  const sent = await bot.platform.submit({ user: ina, viewId: view.id });
  expect(sent.errors).toEqual({});
  return becomes(bot, /Practice only, nothing was recorded/);
}

describe('help', () => {
  it('typed lists every verb in its group with a way to its screen', async () => {
    const bot = await begin();
    const help = await bot.type(ina, 'help');
    const learn = buttonsIn(help.message?.blocks ?? []).map(({ action_id }) => String(action_id));
    const verbs = screenGroups.flatMap(({ screens }) => screens.map(({ verb }) => verb));
    expect(learn).toEqual(verbs.map((verb) => `open:learn:${verb}`));
    expect(help.text).toMatch(/Open: does it flow\. Flush\. .*A reminder and a record, not a monitor\./);
  });

  it('of a word that is no verb says so and suggests the nearest', async () => {
    const bot = await begin();
    expect((await bot.type(ina, 'help flsh')).text).toMatch(
      /^No verb is called “flsh”\. Did you mean \/artline help flush\? /,
    );
    expect((await bot.type(ina, 'help <!channel>')).text).toMatch(
      /^No verb is called “&lt;!channel&gt;”\. Type/,
    );
  });

  it('of one verb speaks of what this ward has agreed on', async () => {
    const bot = await begin();
    // Pebble is flushed at 21:10, and the ward flushes every 60 min.
    expect((await bot.type(ina, 'help flush')).text).toContain('Counts as done: flush (next 22:10).');
    const policy = await bot.type(ina, 'policy');
    expect(policy.view?.spec.callback_id).toBe('policy');
    expect((await bot.submit(ina, { flushEveryMin: '90' })).errors).toEqual({});
    expect((await bot.type(ina, 'help flush')).text).toContain('Counts as done: flush (next 22:40).');
  });

  it('by thumb goes from the menu to a verb, to its practice and back to the list, on three views', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await bot.type(ina, '');
    await pressOn(bot, 'open:help');
    await becomes(bot, /"callback_id":"help"/);
    await pressOn(bot, 'open:learn:check');
    await becomes(bot, /"callback_id":"learn".*Site check:/);
    await pressOn(bot, 'open:practise:check');
    await becomes(bot, /"callback_id":"practise:tell:check"/);
    expect(await send(bot, { findings: ['cold'] })).toMatch(
      /Dr Quill \(invented\), on call, is being told now/,
    );
    await bot.platform.close({ user: ina, viewId: bot.platform.view(ina)!.id });
    await becomes(bot, /"callback_id":"learn"/);
    await pressOn(bot, 'open:help');
    await becomes(bot, /"callback_id":"help"/);
  });

  it('works in a channel that is no ward, and nothing is left there', async () => {
    const bot = await begin();
    const help = await bot.type(outsider, 'help zero', tearoom);
    const form = await bot.press(outsider, 'open:practise:zero', { message: help.message! });
    expect(form.view?.spec.callback_id).toBe('practise:tell:zero');
    expect(await bot.record.wardIds()).toEqual([]);
  });
});

/** What is filled in where the form asks for it, and what the answer says for real. */
const forms: readonly [verb: string, values: Parameters<BotOnPlatform['submit']>[1], answer: RegExp][] = [
  [
    'place',
    { name: 'Olive', species: 'dog', weightKg: '9', side: 'left' },
    /Registered: Olive.*Becomes due:.*flush/,
  ],
  [
    'attempt',
    { name: 'Olive', species: 'cat', side: 'left', tries: '2' },
    /2 failed tries by Ina Brandvold, Olive.*firm pressure/,
  ],
  ['zero', { open: ['open'], openToAir: '6' }, /The zero was 6 mmHg off.*Counts as done:.*zero and level/],
  ['level', { height: '8', where: 'below' }, /8 cm below the heart\)[^]*Pressures read 5\.9 mmHg too high/],
  ['test', { verdict: 'underdamped' }, /fast-flush test: underdamped.*Counts as done:.*fast-flush test/],
  [
    'reading',
    { sap: '120', dap: '70' },
    /Doubtful: not zeroed since the fault.*It clears no duty and brings none/,
  ],
  ['flush', { volume: '1' }, /Recorded for Pebble.*Counts as done:\* flush \(next 22:10\)/],
  ['source', { what: 'checked', volume: '30', pressure: '300' }, /Counts as done:.*flush source check/],
  ['redress', { site: 'nothing amiss' }, /redress.*Becomes due:\* zero and level/],
  ['check', { site: 'nothing amiss' }, /Counts as done:.*site and limb check/],
  ['moved', { how: 'disconnected' }, /disconnected.*Becomes due:\* zero and level/],
  ['sample', { volume: '1', discard: '2', discardReturned: 'returned' }, /1 mL of blood lost in 24 h/],
  [
    'remove',
    { reason: 'planned', tip: 'tip whole', site: 'nothing amiss' },
    /Hold pressure 5 min.*No longer due:.*flush.*Becomes due:/,
  ],
  ['pulse', { pulse: 'present' }, /No longer due:.*pulse check/],
  // Whoever is chosen is real, and hears nothing of it.
  ['assign', { from: 'now', 'line.pebble': teo }, /With Teo Marchetti now: Pebble \(left dorsal pedal\)/],
  ['cover', { away: ina, by: teo }, /Teo Marchetti covers for Ina Brandvold until/],
  ['oncall', { user: suvi }, /On call now: Dr Suvi Aaltola/],
];

describe('practice', () => {
  it.each(forms)('of %s answers as the real one would, and records nothing', async (verb, values, answer) => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await unrecorded(bot, async () => {
      await practise(bot, verb);
      // What is asked before placing is practised too: its next page takes its place.
      if (verb === 'place') {
        await becomes(bot, /"submit":\{"type":"plain_text","text":"Next"/);
        const page = bot.platform.view(ina)!.id;
        await bot.platform.fill(page, { cautions: ['not looked at'] });
        await bot.platform.submit({ user: ina, viewId: page });
        await becomes(bot, /"callback_id":"practise:place"/);
      }
      const text = await send(bot, values);
      expect(text).toMatch(answer);
      expect(shown(bot).callback).toBe('practise:practised');
      // Nothing in it leads out of practice.
      const spec = bot.platform.view(ina)?.spec;
      expect(buttonsIn((spec?.blocks ?? []) as Json[]).map(({ action_id }) => action_id)).toEqual([
        `open:practise:${verb}`,
      ]);
      await pressOn(bot, 'open:practise');
      await becomes(bot, /Practice: nothing is recorded/);
    });
  });

  it('of placing changes what was ticked without leaving the practice', async () => {
    const bot = await begin();
    await practise(bot, 'place');
    const page = bot.platform.view(ina)!;
    await bot.platform.fill(page.id, { cautions: ['broken skin'] });
    await bot.platform.submit({ user: ina, viewId: page.id });
    await becomes(bot, /Cautions: broken skin/);
    await pressOn(bot, 'open:screen');
    const text = await becomes(bot, /Reasons not to place it/);
    expect(text).toContain('Practice: nothing is recorded.');
    expect(shown(bot).callback).toBe('practise:place');
  });

  it.each([
    ['whoever is on call for real', 'oncall @suvi', suvi],
    ['whoever practises, where nobody may decide for real', null, ina],
  ])('of placing takes a decision by %s', async (_who, first, clinician) => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    if (first) await bot.type(ina, first);
    await unrecorded(bot, async () => {
      await practise(bot, 'place');
      const page = bot.platform.view(ina)!;
      await bot.platform.fill(page.id, { cautions: ['no pulse or collateral flow'] });
      await bot.platform.submit({ user: ina, viewId: page.id });
      await becomes(bot, /in spite of: no pulse/);
      const olive = { name: 'Olive', species: 'dog', weightKg: '9', side: 'left' };
      const decided = { overrideBy: clinician, overrideReason: 'no other artery' };
      expect(await send(bot, { ...olive, ...decided })).toMatch(/placed by decision of .*no other artery/);
    });
  });

  it('puts what is wrong beside the field, as the real form does', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await unrecorded(bot, async () => {
      await practise(bot, 'reading');
      const wrong = await bot.submit(ina, { sap: '64', dap: '118' });
      expect(wrong.errors.dap).toMatch(/Diastolic 118 mmHg/);
      await practise(bot, 'level');
      expect((await bot.submit(ina, { height: '8' })).errors.where).toMatch(/say below or above the heart/);
    });
  });

  it('of a fault asks its questions one by one and ends as for real', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await unrecorded(bot, async () => {
      await practise(bot, 'fault');
      await pressOn(bot, 'open:fault:pebble:none');
      await becomes(bot, /Step 1 of 9: patient/);
      await pressOn(bot, 'done:answer:pebble:well');
      await becomes(bot, /Step 2 of /);
      expect(shown(bot).callback).toBe('practise:fault');
      await pressOn(bot, 'open:fault:pebble:choose');
      await becomes(bot, /None: no trace at all \(go on, since 21:10\)/);
      await pressOn(bot, 'open:fault:pebble:none');
      await becomes(bot, /So far.*Step|Step 2 of /);
      await pressOn(bot, 'done:left');
      await becomes(bot, /Not resolved.*Dr Quill \(invented\), on call, is told/);
      await pressOn(bot, 'open:fault:pebble:again');
      await becomes(bot, /Step 1 of 9/);
      await pressOn(bot, 'done:solved');
      await becomes(bot, /Resolved.*Due now: .*zero and level/);
      await pressOn(bot, 'done:zero');
      expect(await becomes(bot, /Practice only/)).toMatch(
        /Recorded for Pebble.*Counts as done:.*zero and level/,
      );
    });
  });

  it('of amend works on what was invented', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await unrecorded(bot, async () => {
      const form = await practise(bot, 'amend');
      expect(form.view?.spec.callback_id).toBe('practise:amend:list');
      expect(form.text).toContain('Ina Brandvold');
      const entry = JSON.stringify(form.view?.spec).match(/flushed 1 mL[^}]*},"value":"(\d+)"/)?.[1] ?? '';
      await goOn(bot, ina, { entry });
      expect(bot.platform.view(ina)?.spec.callback_id).toBe('practise:amend');
      await pressOn(bot, 'open:amend');
      await becomes(bot, /"callback_id":"practise:amend:list"/);
      await goOn(bot, ina, { entry });
      await goOn(bot, ina, { volume: '0.5' });
      expect(await becomes(bot, /Practice only/)).toMatch(/Pebble/);
    });
  });

  it.each([
    ['due', /Practice: Due.*Pebble.*Fast-flush test|Pebble.*Flush/],
    ['round', /Practice: Rounds.*Pebble/],
    [
      'handover',
      /Practice: Handover.*On call: Dr Quill \(invented\).*Identify.*dog, 12 kg; left dorsal pedal, 22 G/,
    ],
  ])('of %s shows what it would answer, with nothing to press', async (verb, words) => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await unrecorded(bot, async () => {
      const page = await practise(bot, verb);
      expect(page.text).toMatch(words);
      expect(page.text).not.toContain('Biscuit');
      expect(buttonsIn((page.view?.spec.blocks ?? []) as Json[])).toEqual([]);
    });
  });

  it('sent twice, or hours later, is as good as the first time', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await practise(bot, 'flush');
    bot.clock.jumpTo(at('21:10') + 9 * 3_600_000);
    await bot.sweep();
    await unrecorded(bot, async () => {
      expect(await send(bot)).toMatch(/Recorded for Pebble.*Counts as done:\* flush/);
      await bot.platform.redeliver('interactive');
      expect(shown(bot).callback).toBe('practise:practised');
    });
  });
});

describe('practice and the real thing are never taken for each other', () => {
  it('a real form that carries a practice’s metadata is refused', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await practise(bot, 'flush');
    const { private_metadata: carried } = bot.platform.view(ina)!.spec;
    await unrecorded(bot, async () => {
      await bot.type(ina, 'policy');
      const real = bot.platform.view(ina)!;
      real.spec.private_metadata = carried;
      const sent = await bot.submit(ina);
      expect(sent.accepted).toBe(false);
      expect(Object.values(sent.errors).join()).toContain('another workspace');
    });
  });

  it('a practice’s form that carries a real line’s metadata tells it of nobody', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await bot.type(ina, 'zero Biscuit');
    await bot.quiet();
    const line = await bot.line('Biscuit');
    await unrecorded(bot, async () => {
      await practise(bot, 'flush');
      const view = bot.platform.view(ina)!;
      const meta = JSON.parse(String(view.spec.private_metadata)) as Json;
      const inner = { ward: 'T0PRACTICE.C0WARDEAST', verb: 'flush', line: line.id };
      view.spec.private_metadata = JSON.stringify({ ...meta, m: JSON.stringify(inner) });
      expect((await bot.submit(ina)).errors).toEqual({
        volume: 'This line isn’t on this ward’s record. Nothing was recorded.',
      });
      view.spec.private_metadata = JSON.stringify(inner);
      expect((await bot.submit(ina)).errors).toEqual({
        volume: 'This practice is from an older version. Close it and open it again; nothing was recorded.',
      });
    });
  });

  it('a press in a practice from another version says so', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await practise(bot, 'fault');
    await unrecorded(bot, async () => {
      const view = bot.platform.view(ina)!;
      view.spec.private_metadata = '{"practise":{}}';
      await pressOn(bot, 'open:fault:pebble:flat');
      expect(await becomes(bot, /"practise:broken"/)).toContain(
        'This practice is from an older version. Close it and open it again; nothing was recorded.',
      );
    });
  });

  it('a practice’s button in a real message does nothing', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    const card = lastOf(bot, 'card');
    await unrecorded(bot, async () => {
      const [button] = buttonsIn(card.blocks ?? []);
      const blocks = JSON.parse(
        JSON.stringify(card.blocks).replaceAll(
          JSON.stringify(String(button?.value)).slice(1, -1),
          JSON.stringify('{"w":"practise.pebble","l":"pebble"}').slice(1, -1),
        ),
      ) as Json[];
      const answer = await bot.press(ina, String(button?.action_id), { message: card }, { stale: blocks });
      expect(answer.text).toBe('This belongs to another workspace. Nothing was done.');
    });
  });
});
