import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { attemptsOf } from '../../src/domain/audit/attempts-of.ts';
import { type BotOnPlatform, ina, outsider, suvi, teo, wardId } from '../support/bot-on-platform.ts';
import { amend, botTests, filledIn, lastOf, messagesOf, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);
const begin = () => start({ mode: 'socket', redis, startMs: at('19:20') });

const shown = (bot: BotOnPlatform, user = ina) => {
  const view = bot.platform.view(user);
  if (!view) throw new Error(`${user} has no form open`);
  return view;
};
const bodyOf = async (bot: BotOnPlatform, name: string) => {
  const { id } = await bot.line(name);
  const [placed] = await bot.record.readLog(wardId, id);
  if (placed?.kind !== 'placed') throw new Error('the log does not begin with a placing');
  return placed.body;
};
const failedTries = async (bot: BotOnPlatform) => {
  const copy = await bot.record.readCopy(wardId);
  return (copy?.wardEntries ?? []).filter(({ kind }) => kind === 'triesFailed');
};

/** Presses "Screen first…", or "Change cautions…", in a registering form. */
async function screenHere(bot: BotOnPlatform): Promise<void> {
  const { id: viewId } = shown(bot);
  await bot.platform.press({ user: ina, actionId: 'open:screen', viewId });
  await bot.platform.until('the form to ask for cautions', () =>
    JSON.stringify(shown(bot).spec).includes('Reasons not to place it'),
  );
}

describe('before placing, by thumb', () => {
  it('screens, asks for a clinician’s decision where the ward wants one, and shows both on card and handover', async () => {
    const bot = await begin();
    await bot.type(ina, 'oncall @suvi');
    const page = await bot.type(ina, 'place');
    expect(page.view?.spec.callback_id).toBe('screening');
    expect(page.text).toContain('Clot and limb loss: warned at 6 h, limit 8 h on this ward.');

    const both = await bot.submit(ina, { cautions: ['none', 'cat'] });
    expect(both.errors.cautions).toContain('both ticked');
    await bot.submit(ina, { why: 'Repeated blood gases', cautions: ['cat', 'bleeding disorder'] });
    const form = shown(bot);
    expect(form.spec.callback_id).toBe('place');
    expect(filledIn(form)).toMatchObject({
      species: 'cat',
      indication: 'Repeated blood gases',
      overrideBy: null,
    });
    expect(JSON.stringify(form.spec)).toContain('platelets below 50,000/µL');

    const patient = { name: 'Mochi', weightKg: '4.2', side: 'left', gauge: '24' };
    const alone = await bot.submit(ina, patient);
    expect(Object.keys(alone.errors)).toEqual(['overrideBy', 'overrideReason']);
    const nurse = await bot.submit(ina, { overrideBy: teo, overrideReason: 'pressures for noradrenaline' });
    expect(nurse.errors.overrideBy).toContain('/artline oncall shows who is on call');
    const sent = await bot.submit(ina, { overrideBy: suvi, operator: teo, tries: '2' });
    expect(sent.errors).toEqual({});
    const decided =
      'autions: bleeding disorder, cat; placed by decision of Dr Suvi Aaltola, recorded 19:20: “pressures for noradrenaline”';
    expect(sent.answer?.text).toContain(
      `Registered: Mochi (left dorsal pedal). C${decided}. *Bleeding disorder: nobody has said whether there’s heparin in the flush.* Now zero`,
    );
    await bot.quiet();
    expect(lastOf(bot, 'card').text).toContain(`C${decided}`);
    expect(lastOf(bot, 'card').text).toMatch(/placed 19:20 by Teo \S+ at the 2nd try/);
    const heard = messagesOf(bot, 'notice', 'D0CLINSUVI').filter(({ text }) => text.includes('names you'));
    expect(heard.map(({ text }) => text)).toEqual([
      'Ina Brandvold registered Mochi (left dorsal pedal) on <#C0WARDEAST> and names you as the clinician who decided to place it (cautions: bleeding disorder, cat): “pressures for noradrenaline”. If you did not decide this, call the ward now: the line is in.',
    ]);
    expect(bot.platform.notified.filter(({ line }) => line.includes('names you'))).toMatchObject([
      { userIds: [suvi], why: 'direct message' },
    ]);
    expect(await bodyOf(bot, 'Mochi')).toMatchObject({
      operator: teo,
      tries: 2,
      indication: 'Repeated blood gases',
      patient: { species: 'cat', bleeding: true },
      screening: {
        cautions: ['bleeding disorder', 'cat'],
        override: { clinician: suvi, at: at('19:20'), reason: 'pressures for noradrenaline' },
      },
    });
    await bot.type(teo, 'handover');
    await bot.quiet();
    const details = messagesOf(bot, 'handover').find(({ text }) => text.startsWith('Each patient'));
    expect(details?.text).toContain(`c${decided}`);
  });

  it('asks where nothing is ticked, goes on with “Not looked at”, and says that nobody screened', async () => {
    const bot = await begin();
    await bot.type(ina, 'place');
    expect((await bot.submit(ina)).errors).toHaveProperty('cautions');
    const next = await bot.submit(ina, { cautions: ['not looked at'] });
    expect(next.answer?.text).toContain('*Not screened:* nobody looked.');
    const sent = await bot.submit(ina, { name: 'Biscuit', species: 'dog', weightKg: '28', side: 'left' });
    expect(sent.answer?.text).toContain('Registered: Biscuit (left dorsal pedal). Not screened. Now zero');
    expect(await bodyOf(bot, 'Biscuit')).not.toHaveProperty('screening');
  });

  it('leads back from the form to the page, where the ticks can be changed', async () => {
    const bot = await begin();
    await bot.type(ina, '');
    await bot.press(ina, 'open:place', { view: shown(bot) });
    await bot.submit(ina, { cautions: ['broken skin'] });
    // The third of three that the platform stacks: menu, page, form.
    const { rootViewId, previousViewId } = shown(bot);
    expect(previousViewId).not.toBe(rootViewId);
    await bot.platform.close({ user: ina, viewId: shown(bot).id });
    expect(JSON.stringify(shown(bot).values)).toContain('"value":"broken skin"');
    await bot.submit(ina, { cautions: ['none'] });
    expect(JSON.stringify(shown(bot).spec)).toContain('*Screened: no cautions.*');
  });

  it('changes the ticks in the form itself, and loses nothing typed there', async () => {
    const bot = await begin();
    await bot.type(ina, 'oncall @suvi');
    await bot.type(ina, 'place');
    await bot.submit(ina, { cautions: ['bleeding disorder', 'cat'] });
    const typed = { name: 'Biscuit', species: 'dog', weightKg: '28', side: 'left' };
    const decided = { overrideBy: suvi, overrideReason: 'no other artery' };
    const slip = await bot.submit(ina, { ...typed, ...decided });
    expect(Object.keys(slip.errors)).toEqual(['species']);
    await screenHere(bot);
    expect(filledIn(shown(bot))).toMatchObject({ ...typed, ...decided });
    expect(JSON.stringify(shown(bot).values)).toMatch(/"bleeding disorder".*"cat"/);
    const sent = await bot.submit(ina, { cautions: ['bleeding disorder'] });
    expect(sent.answer?.text).toContain('Cautions: bleeding disorder; placed by decision of Dr Suvi Aaltola');
  });
});

describe('before placing, in words', () => {
  it('opens the registering form at once, unscreened, and its button to screen loses nothing typed', async () => {
    const bot = await begin();
    const form = await bot.type(ina, 'place Biscuit dog 28kg left dorsal pedal 20g manual 3 tries @teo');
    expect(form.view?.spec.callback_id).toBe('place');
    expect(form.text).toContain('*Not screened.*');
    expect(filledIn(form.view!)).toMatchObject({ name: 'Biscuit', operator: teo, tries: '3' });

    await bot.platform.fill(shown(bot).id, { indication: 'septic abdomen', weightKg: '27.5', when: '30' });
    await screenHere(bot);
    expect(filledIn(shown(bot))).toMatchObject({
      name: 'Biscuit',
      species: 'dog',
      weightKg: '27.5',
      site: 'dorsal pedal',
      side: 'left',
      gauge: '20',
      flushMode: 'manual',
      indication: 'septic abdomen',
      operator: teo,
      tries: '3',
      nurse: ina,
    });
    const sent = await bot.submit(ina, { cautions: ['walking patient'] });
    expect(sent.answer?.text).toContain('Cautions: walking patient');
    expect(bot.platform.view(ina)).toBeUndefined();
    const { placed, screening } = await bot.line('Biscuit');
    expect(placed.at).toBe(at('18:50'));
    expect(screening).toEqual({ cautions: ['walking patient'] });
  });

  it('asks in the same form for a clinician’s decision where what is ticked there needs one', async () => {
    const bot = await begin();
    await bot.type(ina, 'oncall @suvi');
    await bot.type(ina, 'place Biscuit dog 28kg left dorsal pedal 20g manual');
    await screenHere(bot);
    const viewId = shown(bot).id;
    await bot.platform.fill(viewId, { cautions: ['no pulse or collateral flow'] });
    expect((await bot.platform.submit({ user: ina, viewId })).accepted).toBe(true);
    expect(shown(bot).id).toBe(viewId);
    expect(filledIn(shown(bot))).toMatchObject({ name: 'Biscuit', overrideBy: null });
    const alone = await bot.submit(ina);
    expect(alone.errors.overrideBy).toBe('Choose the clinician who decided.');
    const sent = await bot.submit(ina, { overrideBy: suvi, overrideReason: 'no other artery' });
    expect(sent.answer?.text).toContain(
      'Cautions: no pulse or collateral flow; placed by decision of Dr Suvi Aaltola, recorded 19:20: “no other artery”',
    );
  });

  it('registers at once whoever does not screen', async () => {
    const bot = await begin();
    await bot.type(ina, 'place Biscuit dog 28kg left dorsal pedal 20g manual');
    const sent = await bot.submit(ina);
    expect(sent.answer?.text).toContain('Registered: Biscuit (left dorsal pedal). Not screened. Now zero');
  });
});

describe('tries that came to no line', () => {
  it('are recorded from words, once, with what the puncture asks for', async () => {
    const bot = await begin();
    const told = await bot.type(
      ina,
      'attempt Biscuit dog left dorsal pedal 22g 2 tries haematoma 10 min ago',
    );
    expect(told.text).toMatch(
      /^Recorded: 2 failed tries by Ina \S+, Biscuit \(left dorsal pedal\), haematoma, 19:10\. No line\./,
    );
    expect(told.text).toContain(
      'Hold firm pressure for 5 min (10 with a bleeding disorder), as this ward does after a removal. Published for dogs: at least 4 min.',
    );
    expect(told.text).toContain(
      'Then look for a haematoma, and whether the hind foot is warm and has its pulse.',
    );
    expect(told.text).toContain('The attending clinician, hospital protocol and local codes decide.');
    expect(await failedTries(bot)).toEqual([
      {
        kind: 'triesFailed',
        at: at('19:10'),
        told: at('19:20'),
        by: ina,
        via: 'command',
        body: {
          animal: expect.any(String),
          patient: { name: 'Biscuit', species: 'dog' },
          site: 'dorsal pedal',
          side: 'left',
          gauge: 22,
          operator: ina,
          tries: 2,
          why: 'haematoma',
        },
      },
    ]);
  });

  it('told by two within a minute stand once, and the second hears who was first', async () => {
    const bot = await begin();
    await bot.type(ina, 'attempt Biscuit dog left dorsal pedal 22g 2 tries by @teo');
    const second = await bot.type(teo, 'attempt biscuit dog left dorsal pedal 2 tries haematoma');
    expect(second.text).toBe('Ina Brandvold already recorded that, 19:20. It’s recorded once.');
    expect(await failedTries(bot)).toHaveLength(1);
    const another = await bot.type(teo, 'attempt Biscuit dog right dorsal pedal 2 tries');
    expect(another.text).toMatch(/^Recorded: /);
    expect(await failedTries(bot)).toHaveLength(2);
  });

  it('told in error are struck with a tap, once, and the first telling stays', async () => {
    const bot = await begin();
    const { message } = await bot.type(ina, 'attempt Biscuit dog left dorsal pedal 22g 2 tries');
    if (!message) throw new Error('nobody was answered');
    const struck = await bot.press(ina, 'done:untried', { message });
    expect(struck.text).toBe('Struck out: those attempts no longer count. The original stays in the record.');
    // It takes the place of the answer, so that nobody strikes twice.
    expect(bot.platform.ephemerals(ina).map(({ text }) => text)).toEqual([struck.text]);
    expect((await bot.record.readWardState(wardId)).failedTries).toEqual([]);
    expect(await failedTries(bot)).toHaveLength(1);
  });

  it('are recorded by thumb, from the menu and from the page before placing', async () => {
    const bot = await begin();
    await bot.type(ina, '');
    await bot.press(ina, 'open:attempt', { view: shown(bot) });
    const tail = { name: 'Mochi', species: 'cat', site: 'median caudal', operator: teo };
    const sent = await bot.submit(ina, tail);
    expect(sent.answer?.text).toMatch(/^Recorded: 1 failed try by Teo \S+, Mochi \(median caudal\), 19:20\./);
    expect(sent.answer?.text).not.toContain('Published for dogs');
    expect(sent.answer?.text).toContain('whether the tail is warm');
    await bot.type(ina, 'place');
    await bot.press(ina, 'open:attempt', { view: shown(bot) });
    await bot.submit(ina, { ...tail, tries: '2' });
    expect((await failedTries(bot)).map(({ body }) => body)).toMatchObject([
      { tries: 1, operator: teo },
      { tries: 2, operator: teo },
    ]);
  });

  it('hold longer at once where another line of this animal told that it bleeds, or at the femoral artery', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual bleeding disorder');
    const same = await bot.type(ina, 'attempt BISCUIT dog right dorsal pedal');
    expect(same.text).toContain('Hold firm pressure for 10 min, as this ward');
    const femoral = await bot.type(ina, 'attempt Mochi cat right femoral');
    expect(femoral.text).toContain('Hold firm pressure for 10 min, as this ward');
  });

  it('open the form where words are missing or not understood, with what was understood, and record nothing', async () => {
    const bot = await begin();
    const form = await bot.type(ina, 'attempt Biscuit left radial zorp');
    expect(form.view?.spec.callback_id).toBe('attempt');
    expect(form.text).toContain('I didn’t understand “zorp”');
    expect(form.text).toContain('Which animal is it? Choose the species.');
    expect(filledIn(form.view!)).toMatchObject({ name: 'Biscuit', site: 'radial', side: 'left' });
    expect(await failedTries(bot)).toEqual([]);
    await bot.submit(ina, { species: 'dog' });
    expect(await failedTries(bot)).toHaveLength(1);
  });

  it('are refused more than a day late', async () => {
    const bot = await begin();
    const late = await bot.type(ina, 'attempt Biscuit dog tail 26 h ago');
    expect(late.text).toContain('is too long ago. The earliest you can record is');
    await bot.type(ina, 'attempt');
    const old = await bot.submit(ina, {
      name: 'Biscuit',
      species: 'dog',
      side: 'left',
      whenAt: (at('19:20') - 25 * 3_600_000) / 1000,
    });
    expect(old.errors.whenAt).toContain('too long ago');
    expect(await failedTries(bot)).toEqual([]);
  });

  it('stand at the end of the next handover', async () => {
    const bot = await begin();
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    await bot.type(ina, 'attempt Mochi cat right radial 2 tries spasm 30 min ago');
    await bot.type(teo, 'handover');
    await bot.quiet();
    expect(lastOf(bot, 'handover').text).toContain(
      'Tried, no line: Mochi (right radial) 18:50, 2 tries, pulse lost in spasm. Look at the punctures and below them.',
    );
  });

  it('and the line that came of them are one placing in the audit', async () => {
    const bot = await begin();
    await bot.type(teo, 'attempt Biscuit dog left dorsal pedal 2 tries');
    await place(bot, 'Biscuit dog 28kg right dorsal pedal 20g manual');
    const copy = await bot.record.readCopy(wardId);
    const attempts = attemptsOf(copy?.wardEntries ?? [], copy?.lines ?? []);
    expect(attempts.map(({ by, succeeded }) => [by, succeeded])).toEqual([
      [teo, false],
      [teo, false],
      [ina, true],
    ]);
    expect(new Set(attempts.map(({ placing }) => placing)).size).toBe(1);
  });
});

it('a clinician’s decision that the policy asks for is the ward’s to choose', async () => {
  const bot = await begin();
  await bot.type(ina, 'policy');
  const set = await bot.submit(ina, { overrideFor: ['walking patient'] });
  expect(set.errors).toEqual({});
  await bot.type(ina, 'place');
  await bot.submit(ina, { cautions: ['bleeding disorder'] });
  expect(JSON.stringify(shown(bot).spec)).not.toContain('A clinician decides first');
  await bot.type(ina, 'place');
  await bot.submit(ina, { cautions: ['walking patient'] });
  expect(JSON.stringify(shown(bot).spec)).toContain('in spite of: walking patient');
});

describe('what is told of the animal', () => {
  const form = { name: 'Mochi', weightKg: '4.2', side: 'left' };

  it('is a caution that was found, though none of these was ticked, and asks for the decision it needs', async () => {
    const bot = await begin();
    await bot.type(ina, 'oncall @suvi');
    await bot.type(ina, 'place');
    await bot.submit(ina, { cautions: ['none'] });
    const viewId = shown(bot).id;
    await bot.platform.fill(viewId, { ...form, species: 'cat', bleeding: ['bleeding'] });
    expect((await bot.platform.submit({ user: ina, viewId })).accepted).toBe(true);
    expect(JSON.stringify(shown(bot).spec)).toContain('in spite of: bleeding disorder');
    const sent = await bot.submit(ina, { overrideBy: suvi, overrideReason: 'pressures for noradrenaline' });
    expect(sent.answer?.text).toContain('Cautions: bleeding disorder, cat; placed by decision of Dr Suvi');
    expect((await bodyOf(bot, 'Mochi')).screening?.cautions).toEqual(['bleeding disorder', 'cat']);
  });

  it('is no screening where nobody looked', async () => {
    const bot = await begin();
    await bot.type(ina, 'place');
    await bot.submit(ina, { cautions: ['not looked at'] });
    await bot.submit(ina, { ...form, species: 'cat', bleeding: ['bleeding'] });
    expect(await bodyOf(bot, 'Mochi')).not.toHaveProperty('screening');
  });
});

it('another species by a name that has a line there is neither taken for that line nor registered beside it unasked', async () => {
  const bot = await begin();
  await place(bot, 'Mochi dog 28kg left dorsal pedal 20g manual');
  await bot.type(ina, 'place Mochi cat 4kg left dorsal pedal 24g manual');
  const { errors } = await bot.submit(ina);
  expect(errors.name).toBe(
    'Mochi, dog, 28 kg, has a line there already, placed 19:20. The same animal: take that line out first, put it right (/artline amend), or check site and side here. Another of that name: add something to the name.',
  );
  expect((await bot.submit(ina, { name: 'Mochi cat' })).errors).toEqual({});
  const { lines } = await bot.record.readWard(wardId);
  expect(lines.map(({ patient }) => patient.species).toSorted()).toEqual(['cat', 'dog']);
});

it('a cat registered as a dog, and a bleeding disorder known only later, are put right with what hangs on them', async () => {
  const bot = await begin();
  await place(bot, 'Mochi dog 4kg left dorsal pedal 24g manual');
  expect(lastOf(bot, 'card').text).not.toContain('dwell limit');
  await bot.type(ina, 'amend Mochi');
  const own = await amend(bot, ina, /placed/, { operator: bot.platform.world.app.botUserId });
  expect(own.errors.operator).toMatch(/^I can’t place lines\./);
  const sent = await bot.submit(ina, { operator: ina, species: 'cat', bleeding: 'yes' });
  expect(sent.errors).toEqual({});
  await bot.quiet();
  expect(lastOf(bot, 'card').text).toContain('cat, 4 kg, bleeding disorder');
  expect(lastOf(bot, 'card').text).toContain('Cat: dwell limit 03:20');
  expect((await bot.type(ina, 'remove Mochi planned, tip whole')).text).toContain('Hold pressure 10 min');
});

it('a caution found later is put right, goes to the clinician on call, and is decided on', async () => {
  const bot = await begin();
  await bot.type(ina, 'oncall @suvi');
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  bot.clock.jumpTo(bot.clock.now() + 60_000);
  await bot.type(ina, 'amend Biscuit');
  const sent = await amend(bot, ina, /placed/, { cautions: ['no pulse or collateral flow'] });
  expect(sent.errors).toEqual({});
  await bot.quiet();
  expect(lastOf(bot, 'card').text).toContain(
    'autions: no pulse or collateral flow; no clinician has decided yet',
  );
  expect(lastOf(bot, 'notice', suvi).text).toBe(
    'Ina Brandvold recorded a reason against Biscuit (left dorsal pedal) on <#C0WARDEAST>, which is in: no pulse or collateral flow. The ward wants a clinician’s decision: leave it in, or have it taken out? Left in, it is recorded with /artline amend, the placing: who decided and why.',
  );
  bot.clock.jumpTo(bot.clock.now() + 60_000);
  await bot.type(ina, 'amend Biscuit');
  await amend(bot, ina, /placed/, {
    overrideBy: suvi,
    overrideReason: 'pressures for noradrenaline',
  });
  await bot.quiet();
  expect(lastOf(bot, 'card').text).toContain(
    'autions: no pulse or collateral flow; left in by decision of Dr Suvi Aaltola, recorded 19:22: “pressures for noradrenaline”',
  );
  expect(lastOf(bot, 'notice', suvi).text).toContain(
    'Ina Brandvold put the cautions of Biscuit (left dorsal pedal) on <#C0WARDEAST> right and names you as the clinician who decided to leave it in',
  );
});

it('whoever registers a line second, with cautions the first did not tick, hears that they do not stand', async () => {
  const bot = await begin();
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  await bot.type(teo, 'place Biscuit dog 28kg left dorsal pedal 20g manual');
  const { answer } = await bot.submit(teo);
  expect(answer?.text).toBe(
    'Ina Brandvold registered that line first: Biscuit (left dorsal pedal). It’s recorded once. Nothing of your form was added, cautions neither: look at the card, and put right there what differs.',
  );
});

it('a line is with nobody who could tell nothing of it; the bot itself has none, places none and tries none', async () => {
  const bot = await begin();
  await bot.type(ina, 'place Biscuit dog 28kg left dorsal pedal 20g manual');
  const own = bot.platform.world.app.botUserId;
  const sent = await bot.submit(ina, { nurse: own, operator: own });
  expect(sent.errors).toEqual({
    nurse: 'I can’t have a line. Choose the nurse who does.',
    operator: 'I can’t place lines. Choose who did, or leave it empty if it was you.',
  });
  const away = await bot.submit(ina, { nurse: outsider, operator: ina });
  expect(away.errors.nurse).toMatch(/ isn’t in this channel and couldn’t record anything\. Invite them/);
  expect((await bot.record.readWard(wardId)).lines).toEqual([]);
  const typed = await bot.type(ina, `attempt Biscuit dog left radial <@${own}>`);
  expect(typed.view?.spec.callback_id).toBe('attempt');
  expect(typed.text).toContain('I can’t place lines.');
  const tried = await bot.submit(ina, { operator: own });
  expect(tried.errors).toEqual({
    operator: 'I can’t place lines. Choose who did, or leave it empty if it was you.',
  });
  expect(await failedTries(bot)).toEqual([]);
});

it('where nobody can decide, the form says so before anything is typed in vain, and what to do', async () => {
  const bot = await begin();
  await bot.type(ina, 'place');
  await bot.submit(ina, { cautions: ['bleeding disorder'] });
  expect(JSON.stringify(shown(bot).spec)).toContain(
    'Nobody is on call, and the ward policy names no clinician.',
  );
  const sent = await bot.submit(ina, {
    name: 'Mochi',
    species: 'cat',
    weightKg: '4.2',
    side: 'left',
    overrideBy: suvi,
    overrideReason: 'pressures for noradrenaline',
  });
  expect(sent.errors.overrideBy).toContain('/artline oncall @name');
});
