import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Json } from '../../src/practice/platform/message.ts';
import {
  type BotOnPlatform,
  buttonsIn,
  east,
  ina,
  minute,
  outsider,
  suvi,
  tearoom,
  teo,
  wardId,
} from '../support/bot-on-platform.ts';
import { actionsOf, botTests, lastOf, messagesOf, place, within } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

const biscuit = 'Biscuit dog 28kg left dorsal pedal 20g manual';
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);
const seconds = (clock: string) => String(at(clock) / 1000);

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const begin = (ending = {}) => start({ mode: 'socket', redis }, ending);

/** Nothing was written to the line's log by what follows, and nobody but the person heard of it. */
async function unchanged(bot: BotOnPlatform, act: () => Promise<void>): Promise<void> {
  const logs = async () => {
    const { ward, lines } = await bot.record.readWard(wardId);
    return JSON.stringify([ward.version, lines.map(({ id, version }) => [id, version])]);
  };
  const before = await logs();
  const heard = bot.platform.notified.length;
  const posted = bot.platform.messages(east).length;
  await act();
  await bot.quiet();
  expect(await logs()).toBe(before);
  expect(bot.platform.notified).toHaveLength(heard);
  expect(bot.platform.messages(east)).toHaveLength(posted);
}

describe('a name and nothing else', () => {
  it('opens the page of the line, and is refused where it names none', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    const { view } = await bot.type(ina, 'biscuit');
    expect(JSON.stringify(view?.spec)).toContain('Biscuit');
    expect(view?.spec.callback_id).toBe('line');
    const other = await bot.type(ina, 'Otto');
    expect(other.text).toMatch(/I don’t know “Otto”/);
  });
});

describe('a command that cannot be taken', () => {
  it.each([
    ['flsh Biscuit', /I don’t know “flsh”\. Did you mean \/artline flush Biscuit\?/],
    ['Biscuit flush', /Put what was done first: \/artline flush Biscuit\./],
    ['qwertz', /I don’t know “qwertz”\. \/artline help lists what you can type/],
    ['fault Biscuit sideways', /Not recorded\..*sideways/],
    ['export pdf', /Nothing was exported: “pdf” is not a format\. Write csv, ndjson or fhir/],
    ['export cvs', /for example \/artline export csv/],
    ['audit 90', /Not counted\. 90 of what\?/],
    ['flush Bisquit', /No line here is called “Bisquit”\. Did you mean Biscuit\?/],
    ['flush Otto', /No line here is called “Otto”\. Lines here: Biscuit \(left dorsal pedal\)/],
    ['flush Biscuit 1', /Not recorded\..*1 .*mL/],
    ['sample Biscuit 2', /Not recorded\..*mL/],
    ['flush Biscuit 400 ml', /Not recorded\..*400 mL cannot be right.*20 mL/],
    ['reading Biscuit 64/118 mmHg', /Not recorded\b.*Diastolic 118 mmHg/],
    ['reading Biscuit 118/64 mmHg mean 20 mmHg', /Not recorded\b.*[Mm]ean/],
    ['flush Biscuit at 19:30', /Not recorded/],
    ['flush Biscuit at 19:10', /Not recorded: 19:10 is before the line was placed \(19:20\)/],
    ['flush Biscuit yesterday 10:00', /Not recorded/],
    ['pulse Biscuit present', /No line here|still in/],
    ['remove Biscuit because', /Not recorded\./],
    ['oncall nobody in particular', /Not set: “nobody in particular” is not one person/],
    ['oncall @dicrotic', /Not set/],
    ['oncall <@U0PRACTBOT>', /Not set: I cannot be on call/],
  ])('%s is answered privately with what was wrong, and nothing is written', async (words, answer) => {
    const bot = await begin();
    await place(bot, biscuit);
    await unchanged(bot, async () => {
      const said = await bot.type(ina, words);
      expect(said.text.replaceAll('\n', ' ')).toMatch(answer);
      expect(said.view).toBeUndefined();
      expect(bot.platform.ephemerals(teo)).toEqual([]);
    });
  });

  it('offers the form beside the refusal, and the form records what was meant', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    const said = await bot.type(ina, 'sample Biscuit 2');
    await bot.press(ina, 'open:sample', { message: said.message! });
    const sent = await bot.submit(ina, { volume: '2' });
    expect(sent.answer?.text).toContain('sample 2 mL');
  });

  it('asks by buttons which of two lines is meant, and takes the one pressed', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    await place(bot, 'Biscuit dog 28kg right radial 22g manual');
    const which = await bot.type(ina, 'redress Biscuit');
    expect(which.text).toMatch(/Biscuit has 2 lines: .*Which one\?/);
    expect(buttonsIn(which.message?.blocks ?? []).map(({ text }) => (text as Json).text)).toEqual(
      expect.arrayContaining(['Biscuit, left dorsal pedal', 'Biscuit, right radial']),
    );
    const right = buttonsIn(which.message?.blocks ?? []).find(({ text }) =>
      String((text as Json).text).includes('radial'),
    );
    const form = await bot.press(ina, String(right?.action_id), { message: which.message! });
    expect(form.text).toContain('right radial');
    const unsaid = await bot.submit(ina);
    expect(unsaid.errors.site).toContain('Did you look at the site and below it?');
    const sent = await bot.submit(ina, { site: 'nothing amiss' });
    expect(sent.answer?.text).toContain(
      'Recorded for Biscuit (right radial): redressed, site: nothing amiss',
    );
    expect((await bot.type(ina, 'flush Biscuit left dorsal pedal')).text).toContain(
      'Recorded for Biscuit (left dorsal pedal)',
    );
  });

  it('says in a direct message that a ward is a channel', async () => {
    const bot = await begin();
    await bot.type(ina, 'oncall @suvi');
    await bot.quiet();
    const direct = `D${suvi.slice(1)}`;
    const said = await bot.type(suvi, 'due', direct);
    expect(said.text).toMatch(/A line belongs to a ward, and a ward is a channel\./);
  });

  it.each(['place Otto dog 20kg left radial 22g manual', 'due', '', 'oncall @suvi', 'handover'])(
    'says how to invite the bot in a channel it is not in (%s), and registers nothing there',
    async (words) => {
      const bot = await begin();
      const said = await bot.type(ina, words, tearoom);
      expect(said.text).toMatch(/\/invite @Dicrotic/);
      expect(said.view).toBeUndefined();
      expect(await bot.record.wardIds()).toEqual([]);
    },
  );

  it('takes commands at once after it was invited', async () => {
    const bot = await begin();
    await bot.type(ina, 'due', tearoom);
    await bot.platform.join({ user: bot.platform.world.app.botUserId, channel: tearoom });
    expect((await bot.type(ina, 'due', tearoom)).text).toContain('No arterial lines on this ward.');
  });

  it('refuses a payload that claims another workspace', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    await unchanged(bot, async () => {
      await bot.platform.slash({ user: ina, text: 'flush Biscuit', team: 'T0ELSEWHERE' });
      await bot.platform.until('the refusal', () =>
        bot.platform.ephemerals(ina).at(-1)?.text.includes('another workspace'),
      );
    });
  });
});

describe('a form with a slip in it', () => {
  it.each([
    [{ weightKg: '0' }, 'weightKg', /0/],
    [{ weightKg: '400' }, 'weightKg', /400/],
    [{ weightKg: 'heavy' }, 'weightKg', /“heavy” is not a number|number/],
    [{ name: '  ' }, 'name', /./],
    [{ name: 'x'.repeat(41) }, 'name', /40/],
    [{ side: null }, 'side', /Left or right dorsal pedal\?/],
    [{ flushMode: 'continuous' }, 'rateMlPerH', /Give the rate/],
    [{ whenAt: seconds('19:30') }, 'whenAt', /19:30 is still to come/],
    [{ whenAt: String(Date.parse('2026-11-01T00:00:00Z') / 1000) }, 'whenAt', /too long ago/],
  ])('%j is told beside its field, and what was typed stays', async (slip, field, message) => {
    const bot = await begin();
    await bot.type(ina, `place ${biscuit}`);
    const sent = await bot.submit(ina, slip as Record<string, string>);
    expect(sent.accepted).toBe(false);
    expect(sent.errors[field]).toMatch(message);
    const stays = bot.platform.view(ina);
    expect(JSON.stringify(stays?.values)).toContain('"selected_user":"U0NURSEINA"');
    expect(await bot.record.wardIds()).toEqual([]);

    const mended = await bot.submit(ina, {
      name: 'Biscuit',
      weightKg: '28',
      side: 'left',
      flushMode: 'manual',
      whenAt: null,
    });
    expect(mended.answer?.text).toMatch(/^Registered: Biscuit/);
  });

  it('says above the form what of the typed words was not understood, and fills in the rest', async () => {
    const bot = await begin();
    const form = await bot.type(ina, 'place Biscuit dog 400kg left dorsal pedal 20g manual sideways');
    expect(form.text).toMatch(/400 kg is too heavy for a dog/);
    expect(form.text).toMatch(/I didn’t understand “sideways”/);
    expect(form.text).toContain('"initial_value":"Biscuit"');
  });
});

describe('the same thing told twice', () => {
  it('makes one entry when two people tell it within a minute, and tells the second who was first', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    await bot.type(ina, 'flush Biscuit');
    await bot.advanceTo(at('19:20') + 40_000);
    const { version } = await bot.line('Biscuit');
    const second = await bot.type(teo, 'flush Biscuit');
    expect(second.text).toMatch(/^Ina Brandvold already recorded that, 19:20: .*It’s recorded once\./);
    expect((await bot.line('Biscuit')).version).toBe(version);
  });

  it.each(['slash_commands', 'interactive'] as const)(
    'makes one entry when the platform delivers %s again',
    async (kind) => {
      const bot = await begin();
      await place(bot, biscuit);
      await bot.advanceTo(at('19:25'));
      if (kind === 'slash_commands') await bot.type(ina, 'sample Biscuit 1 ml');
      else await bot.press(ina, 'done:flush', within(bot, 'card'));
      const { version } = await bot.line('Biscuit');
      await bot.advanceTo(at('19:28'));
      const told = bot.platform.ephemerals(ina).length;
      await bot.platform.redeliver(kind);
      await bot.platform.until('an answer', () => bot.platform.ephemerals(ina).length > told);
      expect(bot.platform.ephemerals(ina).at(-1)?.text).toBe('Already recorded; nothing was written twice.');
      expect((await bot.line('Biscuit')).version).toBe(version);
    },
  );

  it('registers a line once when its form is delivered again, and when two nurses register it', async () => {
    const bot = await begin();
    await bot.type(ina, `place ${biscuit}`);
    await bot.type(teo, `place ${biscuit}`);
    expect((await bot.submit(ina)).accepted).toBe(true);
    await bot.platform.redeliver('interactive');
    const second = await bot.submit(teo);
    expect(second.answer?.text).toMatch(/^Ina Brandvold registered that line first: Biscuit/);
    await bot.quiet();
    expect((await bot.record.readWard(wardId)).lines).toHaveLength(1);
    expect(messagesOf(bot, 'card')).toHaveLength(1);

    await bot.advanceTo(at('19:25'));
    await bot.type(teo, `place ${biscuit}`);
    const later = await bot.submit(teo);
    expect(later.errors.name).toMatch(/Biscuit, dog, 28 kg, has a line there already, placed 19:20/);
    expect((await bot.record.readWard(wardId)).lines).toHaveLength(1);
  });
});

describe('a button that is old or not for this person', () => {
  it('writes nothing for a duty that was done since, and says who told it', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    await bot.type(ina, 'zero Biscuit');
    await bot.type(ina, 'test Biscuit normal');
    await bot.advanceTo(at('20:20'));
    const nudge = lastOf(bot, 'nudge');
    await bot.press(ina, 'done', { message: nudge });
    await bot.advanceTo(at('20:30'));
    await unchanged(bot, async () => {
      const said = await bot.press(teo, 'done', { message: nudge }, { stale: nudge.blocks! });
      expect(said.text).toMatch(
        /^Nothing recorded for Biscuit \(left dorsal pedal\): flush was recorded 20:20 by Ina Brandvold/,
      );
    });
  });

  it.each(['done', 'later', 'cannot', 'earlier'])(
    'says of a line that is out that it is out (%s)',
    async (verb) => {
      const bot = await begin();
      await place(bot, biscuit);
      await bot.type(ina, 'zero Biscuit');
      await bot.type(ina, 'test Biscuit normal');
      await bot.advanceTo(at('20:20'));
      const nudge = lastOf(bot, 'nudge');
      await bot.type(ina, 'remove Biscuit planned');
      await bot.quiet();
      await unchanged(bot, async () => {
        const said = await bot.press(teo, verb, { message: nudge }, { stale: nudge.blocks! });
        expect(said.text).toMatch(/taken out 20:20 by Ina Brandvold/);
        expect(said.view).toBeUndefined();
      });
    },
  );

  it('says of a pulse that was felt since who felt it, not that the line is out', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    await bot.advanceTo(at('19:40'));
    await bot.type(ina, 'remove Biscuit planned');
    await bot.advanceTo(at('20:40'));
    const nudge = lastOf(bot, 'nudge');
    expect(nudge.text).toContain('pulse check');
    await bot.type(ina, 'pulse Biscuit present');
    await bot.quiet();
    await unchanged(bot, async () => {
      const said = await bot.press(teo, 'done', { message: nudge }, { stale: nudge.blocks! });
      expect(said.text).toMatch(/pulse check of the hind foot was recorded 20:40 by Ina Brandvold/);
    });
  });

  it('takes no button it does not know for one it does', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    const card = lastOf(bot, 'card');
    const spoilt = JSON.parse(JSON.stringify(card.blocks!).replace('done:zero:', 'done:sing:'));
    await unchanged(bot, async () => {
      const said = await bot.press(
        teo,
        'done:sing',
        { message: { ...card, blocks: spoilt } },
        { stale: spoilt },
      );
      expect(said.text).toMatch(/^This button is from an older version/);
    });
  });

  it('tells with a time what happened before the line came out, and refuses what did not', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    await bot.advanceTo(at('19:40'));
    await bot.type(ina, 'remove Biscuit planned');
    await bot.advanceTo(at('19:45'));
    expect((await bot.type(ina, 'flush Biscuit')).text).toMatch(
      /Not recorded: Biscuit \(left dorsal pedal\) was taken out 19:40/,
    );
    expect((await bot.type(ina, 'flush Biscuit at 19:35')).text).toMatch(
      /Recorded for Biscuit .*flushed 2 mL \(the usual\), 19:35/,
    );
  });

  it('says so to somebody who is not in the ward’s channel, privately, and writes nothing', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    const card = lastOf(bot, 'card');
    await unchanged(bot, async () => {
      // A message shared elsewhere carries the button along: press it from the tea room.
      const elsewhere = await bot.platform.say({ user: outsider, channel: tearoom, text: 'look' });
      await bot.platform.press({
        user: outsider,
        channel: tearoom,
        messageTs: elsewhere.ts,
        stale: card.blocks!,
        actionId: actionsOf(card)[0]!,
      });
      const told = await bot.platform.until('the refusal', () => bot.platform.ephemerals(outsider).at(-1));
      expect(told.text).toMatch(/^You are not in this ward’s channel/);
    });
  });

  it('takes no press from another workspace', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    await unchanged(bot, async () => {
      const said = await bot.press(ina, 'done:flush', within(bot, 'card'), { as: { team: 'T0ELSEWHERE' } });
      expect(said.text).toMatch(/another workspace/);
    });
  });

  it('takes no form from another workspace', async () => {
    const bot = await begin();
    await bot.type(ina, `place ${biscuit}`);
    const view = bot.platform.view(ina)!;
    const sent = await bot.platform.submit({ user: ina, viewId: view.id, team: 'T0ELSEWHERE' });
    expect(Object.values(sent.errors).join()).toContain('another workspace');
    expect(await bot.record.wardIds()).toEqual([]);
  });

  it.each([
    ['another channel’s ward', (value: Json) => ({ ...value, w: `T0PRACTICE.${tearoom}` })],
    ['another workspace’s ward', (value: Json) => ({ ...value, w: `T0ELSEWHERE.${east}` })],
    ['a ward id that is none', (value: Json) => ({ ...value, w: 'T0PRACTICE.{x} y' })],
    ['a line that is none', (value: Json) => ({ ...value, l: 'ffffffffff' })],
    ['a duty never asked', (value: Json) => ({ ...value, d: [['redress', 1]] })],
    ['text that is no value', () => 'x'],
  ])('writes nothing for a value changed to %s', async (_what, change) => {
    const bot = await begin({ troubles: /a listener failed|a button could not be read/ });
    await place(bot, biscuit);
    const card = lastOf(bot, 'card');
    const blocks = structuredClone(card.blocks!);
    const [button] = buttonsIn(blocks);
    const changed = change(JSON.parse(String(button?.value)) as Json);
    button!.value = typeof changed === 'string' ? changed : JSON.stringify(changed);
    await unchanged(bot, async () => {
      await bot.platform.press({
        user: ina,
        messageTs: card.ts,
        actionId: String(button?.action_id),
        stale: blocks,
      });
      // Either a sentence or nothing at all: an unreadable value is nobody's button.
      if (button!.value !== 'x')
        await bot.platform.until('a sentence', () => bot.platform.ephemerals(ina).length > 1);
    });
    expect(await bot.record.wardIds()).toEqual([wardId]);
  });

  it.each([
    [
      'another channel’s ward',
      { ward: `T0PRACTICE.${tearoom}` },
      /isn’t on this ward’s record|older version/,
    ],
    ['no ward', {}, /older version|another workspace|not in this ward/],
    [
      'a line that is none',
      { ward: wardId, line: 'ffffffffff', verb: 'flush' },
      /isn’t on this ward’s record/,
    ],
    ['a verb that is none', { ward: wardId, verb: 'explode' }, /older version/],
  ])('writes nothing for a form whose private part was changed to %s', async (_what, meta, message) => {
    const bot = await begin({ troubles: /a listener failed|could not be answered/ });
    await place(bot, biscuit);
    await unchanged(bot, async () => {
      await bot.type(ina, 'sample Biscuit');
      const view = bot.platform.view(ina)!;
      view.spec.private_metadata = JSON.stringify(meta);
      await bot.platform.fill(view.id, { volume: '2' });
      const before = bot.platform.ephemerals(ina).length;
      const sent = await bot.platform.submit({ user: ina, viewId: view.id });
      const told = sent.accepted
        ? await bot.platform.until('a sentence', () => bot.platform.ephemerals(ina)[before]?.text)
        : Object.values(sent.errors).join();
      expect(told).toMatch(message);
    });
    expect(await bot.record.wardIds()).toEqual([wardId]);
  });
});

describe('hostile text', () => {
  const hostile: [string, string][] = [
    ['a broadcast', '<!channel>'],
    ['a mention', '<@U0LEADJORN>'],
    ['a false link', '<http://evil.example|x>'],
    ['stars and backticks', '*bold* `code` _x_'],
    ['right-to-left and an override', 'שלום \u202Eabc'],
    ['heaped marks', `Z${'\u0301'.repeat(30)}algo`],
    ['emoji', '🐕‍🦺🇳🇴 Rex'],
    ['an escape typed out', '&lt;!here&gt;'],
    ['ampersands', '&'.repeat(40)],
  ];

  it.each(hostile)('%s as a patient’s name pings nobody and breaks no message', async (_what, name) => {
    const bot = await begin({ names: [] });
    await bot.type(ina, 'oncall @suvi');
    await bot.type(ina, '');
    await bot.press(ina, 'open:place', { view: bot.platform.view(ina)! });
    await bot.submit(ina, { cautions: ['not looked at'] });
    const sent = await bot.submit(ina, {
      name,
      species: 'cat',
      weightKg: '4',
      site: 'median caudal',
      indication: `${name} `.repeat(3).slice(0, 100),
    });
    expect(sent.errors).toEqual({});
    await bot.advanceTo(at('19:50'));
    await bot.press(ina, 'cannot', within(bot, 'nudge'));
    const reason = `${name} <!everyone> `.repeat(20).slice(0, 290);
    await bot.submit(ina, { reason });
    await bot.sweep();
    await bot.type(ina, 'due');
    await bot.type(ina, '');
    await bot.type(ina, 'handover');
    await bot.quiet();
    // The first message, the patient, and what the shift needs.
    expect(messagesOf(bot, 'handover')).toHaveLength(3);
    const pinged = bot.platform.notified.filter(({ why }) => why !== 'direct message');
    for (const { userIds, why } of pinged) {
      expect(why).toBe('mention');
      expect(userIds).toEqual([ina]);
    }
    for (const { text } of bot.platform.messages(east))
      expect(text).not.toMatch(/<!|<http|\u202E|<@U0LEADJORN>/);
  });

  it('4,000 characters are refused where they are typed, and quoted back in a few', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    const long = '<!channel> lorem '.repeat(240).slice(0, 4_000);
    const unknown = await bot.type(ina, long);
    expect(unknown.text.length).toBeLessThan(400);
    const note = await bot.type(ina, `check Biscuit note ${long}`);
    expect(note.text.length).toBeLessThan(600);
    const patient = await bot.type(ina, `place ${long}`);
    expect(patient.view?.spec.callback_id).toBe('place');
    await bot.platform.close({ user: ina, viewId: patient.view!.id });
    expect((await bot.type(ina, `flush ${long}`)).text.length).toBeLessThan(600);
    expect(bot.platform.notified).toEqual([]);
  });

  it('a nudge settles without pinging anybody anew', async () => {
    const bot = await begin();
    await place(bot, biscuit);
    await bot.advanceTo(at('19:30'));
    const pinged = bot.platform.notified.length;
    await bot.press(teo, 'done', within(bot, 'nudge'));
    await bot.advanceTo(at('19:30') + 5 * minute);
    expect(bot.platform.notified).toHaveLength(pinged);
    expect(lastOf(bot, 'nudge').text).not.toContain('<@');
  });
});
