import { describe, expect, it } from 'vitest';
import { placeForm, placeFormAnew } from '../../../src/chat/forms/place-form.ts';
import { readPlaceForm } from '../../../src/chat/forms/read-place-form.ts';
import { placeValuesFromWords } from '../../../src/chat/typed/place-words.ts';
import type { Caution } from '../../../src/domain/placing/screening.ts';
import { bodySchema } from '../../../src/domain/record/entry.ts';
import type { WardState } from '../../../src/domain/ward/ward-state.ts';
import type { RawValue } from '../../../src/practice/platform/element-values.ts';
import { testWard, wall, wardZone } from '../../support/line-builder.ts';
import {
  clientObjections,
  filledForm,
  hostileNames,
  inputIds,
  refusalOf,
  type Shown,
  shown,
  withoutEmpty,
} from './filled-form.ts';

const now = wall('02:40');
const ward = testWard({ rota: { day: 'U0VET', night: 'U0VET' } });
const typed = (text: string) => {
  const { values, at, problems, notes } = placeValuesFromWords(text, { now, zone: wardZone });
  const known = { values, ...(at === null ? {} : { at }) };
  return { known, problems: [...problems, ...notes], isTyped: true };
};
const given = { ward, user: 'U0NINA', screened: 'not yet' as const, now };
/** What a nurse puts in for an ordinary line; everything else stands there already. */
const thumbed: Record<string, RawValue> = { name: 'Biscuit', species: 'dog', weightKg: '28', side: 'left' };
const read = (raw: Record<string, RawValue>, view = shown(placeForm(given))) =>
  readPlaceForm(filledForm(view, raw), { ward, now });

describe('placeForm', () => {
  it('asks in the order of the cage card, what is seldom needed last', () => {
    expect(inputIds(shown(placeForm({ ...given, screened: 'before' })))).toEqual([
      'place:screen',
      'name',
      'species',
      'weightKg',
      'site',
      'side',
      'gauge',
      'transducer',
      'flushMode',
      'heparinUPerMl',
      'bleeding',
      'indication',
      'nurse',
      'operator',
      'tries',
      'speciesName',
      'when',
      'whenAt',
      'sourceKind',
      'volumeMl',
      'rateMlPerH',
      'pressureMmHg',
    ]);
  });

  it('registers an ordinary line with four inputs touched', () => {
    const form = filledForm(shown(placeForm(given)), thumbed);
    expect(clientObjections(shown(placeForm(given)), form)).toEqual({});
    for (const sent of [form, withoutEmpty(form)]) {
      expect(readPlaceForm(sent, { ward, now })).toEqual({
        is: 'ok',
        wardId: 'T0TEST.C0WARD',
        at: now,
        placed: {
          patient: { name: 'Biscuit', species: 'dog', weightKg: 28 },
          site: 'dorsal pedal',
          side: 'left',
          gauge: 22,
          flushMode: 'manual',
          nurse: 'U0NINA',
        },
      });
    }
  });

  it('is filled in from words, so that nothing is left but to send it', () => {
    const words = typed(
      'Mo cat 4.2kg tail 24g continuous syringe 50 mL 1 mL/h bleeding disorder at 01:10 2nd try by <@U0TEO> for ventilation',
    );
    const view = shown(placeForm({ ...given, ...words }));
    expect(read({}, view)).toEqual({
      is: 'ok',
      wardId: 'T0TEST.C0WARD',
      at: wall('01:10'),
      placed: {
        patient: { name: 'Mo', species: 'cat', weightKg: 4.2, bleeding: true },
        site: 'median caudal',
        gauge: 24,
        flushMode: 'continuous',
        source: { kind: 'syringe', volumeMl: 50, rateMlPerH: 1 },
        indication: 'ventilation',
        nurse: 'U0NINA',
        operator: 'U0TEO',
        tries: 2,
      },
    });
  });

  it('keeps the word for an animal, beside its species where one was typed, and asks which an other animal is', () => {
    const pony = shown(placeForm({ ...given, ...typed('Mo pony 180kg left radial 20g manual') }));
    expect(inputIds(pony).slice(1, 5)).toEqual(['name', 'species', 'speciesName', 'weightKg']);
    expect(read({}, pony)).toMatchObject({
      placed: { patient: { species: 'horse', speciesName: 'pony', weightKg: 180 } },
    });
    expect(read({ species: 'dog', weightKg: '28' }, pony)).toMatchObject({
      errors: { speciesName: '“pony” is not a dog. Choose horse as the species, or empty this.' },
    });
    expect(read({ ...thumbed, species: 'other' })).toEqual({
      is: 'wrong',
      errors: { speciesName: 'Which animal is it? Write it here, for example wallaby.' },
    });
    expect(read({ ...thumbed, species: 'other', speciesName: 'rabbit', weightKg: '2.1' })).toMatchObject({
      placed: { patient: { species: 'rabbit' } },
    });
    expect(read({ ...thumbed, species: 'other', speciesName: ' red panda' })).toMatchObject({
      placed: { patient: { species: 'other', speciesName: 'red panda' } },
    });
  });

  it('leaves empty, and asks first, what words did not say or were not understood of', () => {
    const view = shown(placeForm({ ...given, ...typed('Zed cat 4.2kg left cephalic 24g') }));
    expect(inputIds(view).slice(0, 3)).toEqual(['site', 'side', 'flushMode']);
    expect(JSON.stringify(view.blocks[0])).toContain(
      'I didn’t understand “cephalic”: that’s a vein. Choose the artery.',
    );
    const chosen = (id: string) => Object.values(filledForm(view).view.state.values[id] ?? {})[0];
    expect(chosen('site')).toMatchObject({ selected_option: null });
    expect(chosen('flushMode')).toMatchObject({ selected_option: null });
    expect(read({}, view)).toMatchObject({
      is: 'wrong',
      errors: { site: expect.any(String), flushMode: expect.any(String) },
    });
    expect(read({ site: 'radial', flushMode: 'manual' }, view)).toMatchObject({
      placed: { site: 'radial', side: 'left', gauge: 24 },
    });
  });

  it('chooses nothing where words were typed without it, also once the cautions are asked', () => {
    const view = shown(placeForm({ ...given, ...typed('Zed cat 4.2kg') }));
    const missing = ['site', 'side', 'gauge', 'flushMode'];
    expect(inputIds(view).slice(0, 4)).toEqual(missing);
    const anew = shown(placeFormAnew(filledForm(view), { ward, user: 'U0NINA', now }));
    if (!anew) throw new Error('the form is not taken for ours');
    expect(inputIds(anew).slice(0, 4)).toEqual(missing);
    const result = read({}, anew);
    expect(Object.keys('errors' in result ? result.errors : {})).toEqual(
      expect.arrayContaining(['site', 'gauge', 'flushMode']),
    );
  });

  it('asks nothing first where all was said', () => {
    const view = shown(placeForm({ ...given, ...typed('Rex dog 28kg left dp 20g manual') }));
    expect(inputIds(view)[1]).toBe('name');
    expect(read({}, view)).toMatchObject({ is: 'ok', placed: { site: 'dorsal pedal', side: 'left' } });
  });

  it('shows what was not understood, escaped', () => {
    const words = typed('Mo dog <!channel>');
    const text = JSON.stringify(shown(placeForm({ ...given, ...words })).blocks);
    expect(text).toContain('I didn’t understand “&lt;!channel&gt;”');
    expect(text).not.toContain('<!channel>');
  });

  it.each(hostileNames)('takes %j as a name and shows it back', (name) => {
    const view = shown(placeForm({ ...given, known: { values: { name } } }));
    expect(refusalOf(view)).toBeNull();
    const result = read({ ...thumbed, name }, view);
    expect(result).toMatchObject({ is: 'ok', placed: { patient: { name } } });
  });

  it('takes 4,000 characters of problems', () => {
    expect(refusalOf(shown(placeForm({ ...given, problems: ['&'.repeat(4000)] })))).toBeNull();
  });
});

describe('readPlaceForm', () => {
  const continuous = { ...thumbed, flushMode: 'continuous' };
  it.each<[Record<string, RawValue>, Record<string, string>]>([
    [{ ...thumbed, weightKg: '0' }, { weightKg: 'Weight: 0 kg cannot be right. Give 0.3 to 1200 kg.' }],
    [
      { ...thumbed, weightKg: '400' },
      { weightKg: '400 kg is too heavy for a dog: 0.3 to 120 kg. Check the weight, then the species.' },
    ],
    [
      { ...thumbed, name: ' \u202E ' },
      { name: 'No name was given. Write the patient’s name as on the cage card.' },
    ],
    [{ ...thumbed, side: null }, { side: 'Left or right dorsal pedal? Choose the side.' }],
    [{ ...thumbed, side: null, site: 'radial' }, { side: 'Left or right radial? Choose the side.' }],
    [
      continuous,
      {
        sourceKind: 'Flushed from a pressure bag or a syringe? Choose one.',
        volumeMl: 'Give the volume in it, 1 to 3000 mL, or nobody can be warned before it runs out.',
        rateMlPerH: 'Give the rate, 0.1 to 50 mL/h, or nobody can be warned before it runs out.',
      },
    ],
    [
      { ...thumbed, volumeMl: '500' },
      { volumeMl: 'Flushed by hand there is no source. Leave this empty, or choose Continuous.' },
    ],
    [
      { ...thumbed, whenAt: wall('02:43') / 1000 },
      {
        whenAt:
          'Wed 25 Nov 02:43 is still to come; the ward’s clock shows Wed 25 Nov 02:40. Give a time in the past.',
      },
    ],
    [
      { ...thumbed, whenAt: wall('2026-11-11 02:39') / 1000 },
      {
        whenAt:
          'Wed 11 Nov 02:39 is too long ago. The earliest you can give is Wed 11 Nov 02:40. Give a later time.',
      },
    ],
    [
      {},
      {
        name: 'No name was given. Write the patient’s name as on the cage card.',
        species: 'Species is needed. Fill it in.',
        weightKg: 'Weight is needed. Fill it in.',
      },
    ],
  ])('says of %j what is wrong beside each input', (raw, errors) => {
    expect(read(raw)).toEqual({ is: 'wrong', errors });
  });

  it('takes a line placed up to 14 days ago', () => {
    expect(read({ ...thumbed, whenAt: wall('2026-11-11 02:40') / 1000 })).toMatchObject({
      is: 'ok',
      at: wall('2026-11-11 02:40'),
    });
  });

  it.each(['median caudal', 'lingual'])(
    'needs no side for the %s artery and drops one chosen by mistake',
    (site) => {
      const result = read({ ...thumbed, site });
      expect(result).toMatchObject({ is: 'ok', placed: { site } });
      expect(result).not.toHaveProperty('placed.side');
    },
  );

  it('cleans name and reason, and what it gives fits the record', () => {
    const result = read({ ...thumbed, name: '  Bis\u202Ecuit\n', indication: 'GDV\n\nday 1' });
    expect(result).toMatchObject({ placed: { patient: { name: 'Biscuit' }, indication: 'GDV day 1' } });
    const placed = 'placed' in result ? result.placed : null;
    expect(bodySchema('placed').safeParse(placed).error).toBeUndefined();
  });

  it('calls a form stale that is not of this version', () => {
    expect(
      readPlaceForm({ ...filledForm(shown(placeForm(given)), thumbed), meta: '' }, { ward, now }),
    ).toEqual({
      is: 'stale',
    });
  });
});

describe('the registering form after the page before placing', () => {
  const after = (screening: Caution[] | undefined, more: Partial<Parameters<typeof placeForm>[0]> = {}) =>
    shown(
      placeForm({
        ...given,
        screened: 'before',
        known: { values: {}, ...(screening === undefined ? {} : { screening }) },
        ...more,
      }),
    );
  const sent = (view: Shown, raw: Record<string, RawValue> = {}, by: WardState = ward) =>
    readPlaceForm(filledForm(view, { ...thumbed, ...raw }), { ward: by, now });
  const decided = { overrideBy: 'U0VET', overrideReason: 'pressures needed for vasopressors' };

  it('says that nobody screened, offers the page to whoever typed, and records no screening', () => {
    expect(JSON.stringify(shown(placeForm(given)).blocks)).toContain('*Not screened.*');
    expect(inputIds(shown(placeForm(given)))).toContain('place:screen');
    expect(JSON.stringify(after(undefined).blocks)).toContain('*Not screened:* nobody looked.');
    expect(sent(after(undefined))).not.toHaveProperty('placed.screening');
  });

  it('records that none was found, and puts the cursor at the name', () => {
    expect(JSON.stringify(after([]).blocks)).toContain('*Screened: no cautions.*');
    expect(JSON.stringify(after([]).blocks)).toContain('"focus_on_load":true');
    expect(sent(after([]))).toMatchObject({ is: 'ok', placed: { screening: { cautions: [] } } });
  });

  it('says what each caution means on this ward, and asks nobody for a decision the ward does not want', () => {
    const cat = testWard({ catDwellWarningH: 5, catDwellLimitH: 7 });
    const view = after(['walking patient', 'cat'], { ward: cat });
    expect(JSON.stringify(view.blocks)).toContain('warned at 5 h, limit 7 h on this ward');
    expect(inputIds(view)).not.toContain('overrideBy');
    expect(sent(view, { species: 'cat', weightKg: '4.2' })).toMatchObject({
      is: 'ok',
      placed: { screening: { cautions: ['walking patient', 'cat'] } },
    });
  });

  it('says once what is published on several cautions', () => {
    const text = JSON.stringify(after(['bleeding disorder', 'clotting unknown']).blocks);
    expect(text.match(/platelets below 50,000/g)).toHaveLength(1);
  });

  it('asks for a clinician’s decision, refuses to go without it, and dates it when it was told', () => {
    const view = after(['cat', 'no pulse or collateral flow']);
    expect(inputIds(view).slice(0, 4)).toEqual(['place:screen', 'overrideBy', 'overrideReason', 'name']);
    expect(JSON.stringify(view.blocks)).toContain('in spite of: no pulse or collateral flow');
    const cat = { species: 'cat', weightKg: '4.2' };
    expect(clientObjections(view, filledForm(view, { ...thumbed, ...cat }))).toHaveProperty('overrideBy');
    expect(sent(view, cat)).toEqual({
      is: 'wrong',
      errors: {
        overrideBy: 'Choose the clinician who decided.',
        overrideReason:
          'Write why, in 3 characters or more, for example “pressures needed for vasopressors”.',
      },
    });
    expect(sent(view, { ...cat, ...decided })).toMatchObject({
      is: 'ok',
      placed: {
        screening: {
          cautions: ['cat', 'no pulse or collateral flow'],
          override: { clinician: 'U0VET', at: now, reason: 'pressures needed for vasopressors' },
        },
      },
    });
  });

  it('takes a decision only by whoever may decide: on call, or named in the policy', () => {
    const view = after(['no pulse or collateral flow']);
    expect(sent(view, { ...decided, overrideBy: 'U0NINA' })).toEqual({
      is: 'wrong',
      errors: {
        overrideBy:
          'Only the clinician on call, or one named in the ward policy, can decide this. Ask one of them; /artline oncall shows who is on call.',
      },
    });
    const named = testWard({ clinicians: ['U0NINA'] });
    expect(sent(view, { ...decided, overrideBy: 'U0NINA' }, named)).toMatchObject({ is: 'ok' });
  });

  it('fills in the clinician who opens it themselves, and nobody else', () => {
    const filled = (user: string) =>
      filledForm(after(['no pulse or collateral flow'], { user })).view.state.values['overrideBy'];
    expect(filled('U0VET')).toMatchObject({ overrideBy: { selected_user: 'U0VET' } });
    expect(filled('U0NINA')).toMatchObject({ overrideBy: { selected_user: null } });
  });

  it('asks for what the ward wants decided, also where that changed while the form was open', () => {
    const strict = testWard({ overrideFor: ['cat'], rota: { day: 'U0VET', night: 'U0VET' } });
    expect(inputIds(after(['cat'], { ward: strict }))).toContain('overrideBy');
    expect(inputIds(after(['no pulse or collateral flow'], { ward: strict }))).not.toContain('overrideBy');
    const raw = { ...thumbed, species: 'cat', weightKg: '4.2' };
    expect(sent(after(['cat']), raw, strict)).toEqual({ is: 'to decide' });
    const anew = shown(placeFormAnew(filledForm(after(['cat']), raw), { ward: strict, user: 'U0NINA', now }));
    if (!anew) throw new Error('the form is not taken for ours');
    expect(readPlaceForm(filledForm(anew, decided), { ward: strict, now })).toMatchObject({
      is: 'ok',
      placed: {
        patient: { name: 'Biscuit', species: 'cat' },
        screening: { cautions: ['cat'], override: { clinician: 'U0VET' } },
      },
    });
  });

  it('refuses a dog that was ticked as a cat, and a bleeding disorder ticked there and not here', () => {
    const view = after(['cat', 'bleeding disorder']);
    expect(sent(view, decided)).toEqual({
      is: 'wrong',
      errors: {
        species: 'Cat was ticked as a caution. Choose Cat, or untick it there.',
        bleeding:
          'Bleeding disorder was ticked as a caution: the hold is longer. Tick it here, or untick it there.',
      },
    });
  });

  it('counts what is told of the animal among what was found, and asks for the decision it needs', () => {
    expect(sent(after([]), { species: 'cat', weightKg: '4.2' })).toMatchObject({
      placed: { screening: { cautions: ['cat'] } },
    });
    expect(sent(after(['cat']), { species: 'cat', weightKg: '4.2', bleeding: ['bleeding'] })).toEqual({
      is: 'to decide',
    });
    const raw = { ...thumbed, species: 'dog', bleeding: ['bleeding'] };
    const anew = shown(placeFormAnew(filledForm(after([]), raw), { ward, user: 'U0NINA', now }));
    // Sent, it comes back: what is read first is why, what is asked first is what is missing.
    expect(JSON.stringify(anew?.blocks[0])).toContain('*Not registered yet.*');
    expect(JSON.stringify(anew?.blocks)).toContain('in spite of: bleeding disorder');
    expect(inputIds(anew!).slice(0, 3)).toEqual(['overrideBy', 'overrideReason', 'cautions']);
    expect(sent(after(undefined), { bleeding: ['bleeding'] })).not.toHaveProperty('placed.screening');
  });
});

describe('a registering form opened by words that is to screen after all', () => {
  const anew = (view: Shown, raw: Record<string, RawValue> = {}) => {
    const form = shown(placeFormAnew(filledForm(view, raw), { ward, user: 'U0NINA', now }));
    if (!form) throw new Error('the form is not taken for ours');
    return form;
  };
  const values = (view: Shown) => filledForm(view).view.state.values;

  it('loses nothing that stands in it, right or wrong, nor what was not understood of the words', () => {
    const raw = {
      ...thumbed,
      weightKg: '400',
      bleeding: ['bleeding'],
      indication: 'GDV',
      nurse: 'U0TEO',
      operator: 'U0VET',
      tries: '3',
      flushMode: 'continuous',
      sourceKind: 'syringe',
      volumeMl: '50',
      whenAt: wall('02:00') / 1000,
    };
    const typedForm = shown(placeForm({ ...given, ...typed('Mo dog zorp & <co>') }));
    const form = anew(typedForm, raw);
    const { cautions: asked, ...kept } = values(form);
    expect(asked).toBeDefined();
    expect(kept).toEqual(filledForm(typedForm, raw).view.state.values);
    expect(JSON.stringify(form.blocks[0])).toContain('I didn’t understand “zorp &amp; &lt;co&gt;”');
    expect(values(anew(form))).toEqual(values(form));
    expect(form.private_metadata).not.toContain('Biscuit');
    expect(inputIds(form)).not.toContain('place:screen');
  });

  it('takes a time told as minutes ago for what it was then', () => {
    expect(values(anew(shown(placeForm(given)), { ...thumbed, when: '30' }))['whenAt']).toMatchObject({
      whenAt: { selected_date_time: wall('02:10') / 1000 },
    });
  });

  it('records what is ticked in it, nothing where nothing is, and refuses what contradicts itself', () => {
    const form = anew(shown(placeForm(given)), thumbed);
    const sent = (raw: Record<string, RawValue>) => readPlaceForm(filledForm(form, raw), { ward, now });
    expect(sent({})).not.toHaveProperty('placed.screening');
    expect(sent({ cautions: ['none'] })).toMatchObject({ placed: { screening: { cautions: [] } } });
    expect(sent({ cautions: ['broken skin'] })).toMatchObject({
      placed: { screening: { cautions: ['broken skin'] } },
    });
    expect(sent({ cautions: ['none', 'broken skin'] })).toMatchObject({
      errors: { cautions: expect.stringContaining('both ticked') },
    });
    expect(sent({ cautions: ['cat'] })).toMatchObject({ errors: { species: expect.any(String) } });
  });

  it('asks for a clinician’s decision where what is ticked needs one, until it is unticked again', () => {
    const form = anew(shown(placeForm(given)), thumbed);
    const ticked = { cautions: ['no pulse or collateral flow'] };
    expect(readPlaceForm(filledForm(form, ticked), { ward, now })).toEqual({ is: 'to decide' });
    const asks = anew(form, ticked);
    expect(inputIds(asks)).toEqual(expect.arrayContaining(['cautions', 'overrideBy', 'overrideReason']));
    const sent = (raw: Record<string, RawValue>) => readPlaceForm(filledForm(asks, raw), { ward, now });
    expect(clientObjections(asks, filledForm(asks, { cautions: ['none'] }))).toEqual({});
    expect(sent({ cautions: ['none'] })).toMatchObject({ placed: { screening: { cautions: [] } } });
    expect(sent({})).toMatchObject({
      errors: { overrideBy: 'Choose the clinician who decided.', overrideReason: expect.any(String) },
    });
    expect(sent({ overrideBy: 'U0VET', overrideReason: 'no other artery' })).toMatchObject({
      placed: { screening: { override: { clinician: 'U0VET', reason: 'no other artery', at: now } } },
    });
  });

  it('is none of ours from another version', () => {
    expect(shown(placeFormAnew(null, { ward, user: 'U0NINA', now }))).toBeNull();
  });
});
