import { describe, expect, it } from 'vitest';
import { attemptForm, failedTriesFromWords, readAttemptForm } from '../../../src/chat/forms/attempt-form.ts';
import { attemptExample, attemptValuesFromWords } from '../../../src/chat/typed/place-words.ts';
import type { RawValue } from '../../../src/practice/platform/element-values.ts';
import { wall, wardZone } from '../../support/line-builder.ts';
import { clientObjections, filledForm, hostileNames, refusalOf, shown, withoutEmpty } from './filled-form.ts';

const now = wall('02:40');
const at = { now, zone: wardZone };
const form = (more: Partial<Parameters<typeof attemptForm>[0]> = {}) =>
  shown(attemptForm({ wardId: 'T0TEST.C0WARD', ...at, ...more }));
const read = (raw: Record<string, RawValue>, view = form()) =>
  readAttemptForm(filledForm(view, raw), { ...at, user: 'U0NINA' });
const thumbed: Record<string, RawValue> = { name: 'Biscuit', species: 'dog', side: 'left' };

describe('attemptForm', () => {
  it('records one try of whoever fills it in, now, with three inputs touched', () => {
    const sent = filledForm(form(), thumbed);
    expect(clientObjections(form(), sent)).toEqual({});
    for (const one of [sent, withoutEmpty(sent)]) {
      expect(readAttemptForm(one, { ...at, user: 'U0NINA' })).toEqual({
        is: 'ok',
        wardId: 'T0TEST.C0WARD',
        at: now,
        tries: {
          patient: { name: 'Biscuit', species: 'dog' },
          site: 'dorsal pedal',
          side: 'left',
          operator: 'U0NINA',
          tries: 1,
        },
      });
    }
  });

  it('takes how many, by whom, why, with what and when', () => {
    const raw = { ...thumbed, tries: '3', operator: 'U0TEO', why: 'haematoma', gauge: '24', when: '30' };
    expect(read(raw)).toMatchObject({
      at: wall('02:10'),
      tries: { tries: 3, operator: 'U0TEO', why: 'haematoma', gauge: 24 },
    });
  });

  it.each<[Record<string, RawValue>, Record<string, string>]>([
    [
      {},
      {
        name: 'No name was given. Write the patient’s name as on the cage card.',
        species: 'Species is needed. Fill it in.',
      },
    ],
    [{ ...thumbed, side: null }, { side: 'Left or right dorsal pedal? Choose the side.' }],
    [
      { ...thumbed, whenAt: wall('2026-11-24 02:39') / 1000 },
      {
        whenAt:
          'Tue 24 Nov 02:39 is too long ago. The earliest you can give is Tue 24 Nov 02:40. Give a later time.',
      },
    ],
    [
      { ...thumbed, whenAt: wall('02:43') / 1000 },
      {
        whenAt:
          'Wed 25 Nov 02:43 is still to come; the ward’s clock shows Wed 25 Nov 02:40. Give a time in the past.',
      },
    ],
  ])('says of %j what is wrong beside each input', (raw, errors) => {
    expect(read(raw)).toEqual({ is: 'wrong', errors });
  });

  it('drops a side chosen before the tail was', () => {
    expect(read({ ...thumbed, site: 'median caudal' })).not.toHaveProperty('tries.side');
  });

  it.each(hostileNames)('shows %j and takes it', (name) => {
    expect(refusalOf(form({ values: { name }, problems: [name.repeat(100)] }))).toBeNull();
    expect(read({ ...thumbed, name })).toMatchObject({ tries: { patient: { name } } });
  });

  it('is stale when it is not of this version', () => {
    expect(readAttemptForm({ ...filledForm(form()), meta: '' }, { ...at, user: 'U0NINA' })).toEqual({
      is: 'stale',
    });
  });
});

describe('words after attempt', () => {
  const typed = (text: string) => attemptValuesFromWords(text, at);

  it('tell failed tries whole', () => {
    const { values, problems } = typed(attemptExample.replace('/artline attempt ', ''));
    expect(problems).toEqual([]);
    expect(failedTriesFromWords(values, 'U0NINA')).toEqual({
      tries: {
        patient: { name: 'Biscuit', species: 'cat' },
        site: 'dorsal pedal',
        side: 'left',
        gauge: 22,
        operator: 'U0NINA',
        tries: 2,
        why: 'haematoma',
      },
    });
  });

  it.each([
    [
      'Mo dog right radial by <@U0TEO>, third try, would not thread',
      { operator: 'U0TEO', tries: 3, why: 'flash, not threaded' },
    ],
    ['Mo dog tail 1 attempt spasm', { site: 'median caudal', tries: 1, why: 'pulse lost in spasm' }],
    ['Mo dog tail not found', { why: 'artery not found' }],
    ['Mo dog tail patient moved', { why: 'patient moved' }],
  ])('read %j', (text, values) => {
    expect(typed(text)).toMatchObject({ values, problems: [] });
  });

  it('leave the artery empty where it was not understood', () => {
    const { values, problems } = typed('Mo dog left cephalic 2 tries');
    const form = shown(
      attemptForm({
        wardId: 'T0TEST.C0WARD',
        values,
        problems,
        isTyped: true,
        now,
        zone: wardZone,
      }),
    );
    expect(JSON.stringify(form.blocks)).toContain('that’s a vein');
    expect(filledForm(form).view.state.values.site).toMatchObject({ site: { selected_option: null } });
  });

  it('take one try where no number is said, and fill the form with what is understood where something is missing', () => {
    expect(failedTriesFromWords(typed('Mo dog tail').values, 'U0NINA')).toMatchObject({
      tries: { tries: 1 },
    });
    expect(failedTriesFromWords(typed('Mo left').values, 'U0NINA')).toEqual({
      problems: ['Which animal is it? Choose the species.', 'Which artery? Choose the site.'],
    });
    expect(failedTriesFromWords(typed('dog radial').values, 'U0NINA')).toEqual({
      problems: ['Whose artery? Give the patient’s name.'],
    });
    expect(failedTriesFromWords(typed('Mo dog radial').values, 'U0NINA')).toEqual({
      problems: ['Left or right radial? Choose the side.'],
    });
  });

  it.each([
    ['Mo dog tail 0 tries', '“0 tries”: 1 to 9 attempts can be recorded at once. Write how many.'],
    ['Mo dog tail 12 tries', '“12 tries”: 1 to 9 attempts can be recorded at once. Write how many.'],
    ['Mo dog tail 2 tries 3 tries', 'Given twice: 2 and 3. Choose in the form.'],
    ['Mo dog tail 2', '“2” has no unit. Write 2 kg for the weight or 2 tries for how often it was tried.'],
    ['Mo dog tail 22', '“22” has no unit. Write 22 kg for the weight or 22g for the gauge.'],
    ['Mo dog tail zorp', `I didn’t understand “zorp”. Write it like this: ${attemptExample}`],
  ])('refuse nonsense: %j', (text, problem) => {
    expect(typed(text).problems).toEqual([problem]);
  });
});
