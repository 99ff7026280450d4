import { describe, expect, it } from 'vitest';
import { placeValuesFromWords } from '../../../src/app/words/place-words.ts';
import { bodySchema } from '../../../src/domain/record/entry.ts';
import type { RawValue } from '../../../src/practice/platform/element-values.ts';
import { viewRefusal } from '../../../src/practice/platform/view-limits.ts';
import { placeForm, readPlaceForm } from '../../../src/slack/forms/place-form.ts';
import { wall, wardZone } from '../../support/line-builder.ts';
import { clientObjections, filledForm, hostileNames, inputIds, withoutEmpty } from './filled-form.ts';

const ward = { now: wall('02:40'), zone: wardZone };
const given = { wardId: 'T0TEST.C0WARD', nurse: 'U0NINA', ...ward };
/** What a nurse puts in for an ordinary line; everything else stands there already. */
const thumbed: Record<string, RawValue> = { name: 'Biscuit', species: 'dog', weightKg: '28', side: 'left' };
const read = (raw: Record<string, RawValue>, view = placeForm(given)) =>
  readPlaceForm(filledForm(view, raw), ward);

describe('placeForm', () => {
  it('asks in the order of the cage card, what is seldom needed last', () => {
    expect(inputIds(placeForm(given))).toEqual([
      'name',
      'species',
      'weightKg',
      'site',
      'side',
      'gauge',
      'flushMode',
      'bleeding',
      'indication',
      'nurse',
      'when',
      'whenAt',
      'sourceKind',
      'volumeMl',
      'rateMlPerH',
      'pressureMmHg',
    ]);
  });

  it('registers an ordinary line with four inputs touched', () => {
    const form = filledForm(placeForm(given), thumbed);
    expect(clientObjections(placeForm(given), form)).toEqual({});
    for (const sent of [form, withoutEmpty(form)]) {
      expect(readPlaceForm(sent, ward)).toEqual({
        is: 'told',
        wardId: 'T0TEST.C0WARD',
        at: ward.now,
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
    const words = placeValuesFromWords(
      'Mo cat 4.2kg tail 24g continuous syringe 50 mL 1 mL/h bleeding disorder at 01:10 for ventilation',
      ward,
    );
    const view = placeForm({ ...given, ...words });
    expect(read({}, view)).toEqual({
      is: 'told',
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
      },
    });
  });

  it('shows what was not understood, escaped', () => {
    const words = placeValuesFromWords('Mo dog <!channel>', ward);
    const text = JSON.stringify(placeForm({ ...given, ...words }).blocks);
    expect(text).toContain('I did not understand “&lt;!channel&gt;”');
    expect(text).not.toContain('<!channel>');
  });

  it.each(hostileNames)('takes %j as a name and shows it back', (name) => {
    const view = placeForm({ ...given, values: { name } });
    expect(viewRefusal(view)).toBeNull();
    const result = read({ ...thumbed, name }, view);
    expect(result).toMatchObject({ is: 'told', placed: { patient: { name } } });
  });

  it('takes 4,000 characters of problems', () => {
    expect(viewRefusal(placeForm({ ...given, problems: ['&'.repeat(4000)] }))).toBeNull();
  });
});

describe('readPlaceForm', () => {
  const continuous = { ...thumbed, flushMode: 'continuous' };
  it.each<[Record<string, RawValue>, Record<string, string>]>([
    [{ ...thumbed, weightKg: '0' }, { weightKg: 'Weight: 0 kg cannot be right. Give 0.3 to 120 kg.' }],
    [{ ...thumbed, weightKg: '400' }, { weightKg: 'Weight: 400 kg cannot be right. Give 0.3 to 120 kg.' }],
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
        volumeMl: 'Give the volume in it, 1 to 3000 mL, or nobody can be told before it runs out.',
        rateMlPerH: 'Give the rate, 0.1 to 50 mL/h, or nobody can be told before it runs out.',
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
          'Wed 25 Nov 02:43 is still to come; the ward’s clock shows Wed 25 Nov 02:40. Give a time that has been.',
      },
    ],
    [
      { ...thumbed, whenAt: wall('2026-11-11 02:39') / 1000 },
      {
        whenAt:
          'Wed 11 Nov 02:39 is too long ago. The earliest taken is Wed 11 Nov 02:40. Give a later time.',
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
      is: 'told',
      at: wall('2026-11-11 02:40'),
    });
  });

  it.each(['median caudal', 'lingual'])(
    'needs no side for the %s artery and drops one chosen by mistake',
    (site) => {
      const result = read({ ...thumbed, site });
      expect(result).toMatchObject({ is: 'told', placed: { site } });
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
    expect(readPlaceForm({ ...filledForm(placeForm(given), thumbed), private_metadata: '' }, ward)).toEqual({
      is: 'stale',
    });
  });
});
