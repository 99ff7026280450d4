import { describe, expect, it } from 'vitest';
import { placeForm, placeFormAnew } from '../../../src/chat/forms/place-form.ts';
import { readPlaceForm } from '../../../src/chat/forms/read-place-form.ts';
import { placeValuesFromWords } from '../../../src/chat/typed/place-words.ts';
import { testWard, wall, wardZone } from '../../support/line-builder.ts';
import { filledForm, inputIds, shown } from './filled-form.ts';

const now = wall('02:40');
const ward = testWard();
const typed = (more: string) => {
  const words = `Mochi cat 4kg left dorsal pedal 24g ${more}`;
  const { values, problems } = placeValuesFromWords(words, { now, zone: wardZone });
  expect(problems).toEqual([]);
  return shown(placeForm({ ward, user: 'U0NINA', screened: 'not yet', known: { values }, now }));
};
const read = (view: ReturnType<typeof typed>, raw = {}) =>
  readPlaceForm(filledForm(view, raw), { ward, now });

// More than 1 U/mL below 5 kg asks for a second look: the ward's default; common practice, no source.
describe('heparin told at registration', () => {
  it.each([
    ['manual heparin 1 U/mL', { kind: 'syringe', heparinUPerMl: 1 }],
    ['manual with heparin 0.5 U/mL', { kind: 'syringe', heparinUPerMl: 0.5 }],
    ['manual plain saline', { kind: 'syringe', heparinUPerMl: 0 }],
    [
      'continuous bag 250 mL 3 mL/h heparin 1 U/mL',
      { kind: 'pressure bag', volumeMl: 250, rateMlPerH: 3, heparinUPerMl: 1 },
    ],
  ])('of “%s” is in the record', (words, source) => {
    expect(read(typed(words))).toMatchObject({ is: 'ok', placed: { source } });
  });

  it('is nothing told where nobody told of it', () => {
    expect(read(typed('manual'))).not.toHaveProperty('placed.source');
  });

  it('that is strong is asked about before, in the same form with all that stood in it, and by whom it was seen', () => {
    const sent = filledForm(typed('manual'), { heparinUPerMl: '10', indication: 'septic abdomen' });
    expect(readPlaceForm(sent, { ward, now })).toEqual({ is: 'to look again' });
    const anew = shown(placeFormAnew(sent, { ward, user: 'U0NINA', now }, 'heparin'));
    if (!anew) throw new Error('no form');
    // It asks for nothing else that it did not ask before.
    expect(inputIds(anew).filter((id) => !inputIds(typed('manual')).includes(id))).toEqual(['heparinSeenBy']);
    expect(read(anew)).toMatchObject({
      is: 'ok',
      placed: {
        indication: 'septic abdomen',
        source: { kind: 'syringe', heparinUPerMl: 10, heparinSeenBy: 'U0NINA' },
      },
    });
    const mended = readPlaceForm(filledForm(anew, { heparinUPerMl: '1' }), { ward, now });
    expect(mended).toMatchObject({ is: 'ok', placed: { source: { heparinUPerMl: 1 } } });
    expect(mended).not.toHaveProperty('placed.source.heparinSeenBy');
  });
});
