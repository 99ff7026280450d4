import { describe, expect, it } from 'vitest';
import { readScreeningForm, screeningForm } from '../../../src/chat/forms/screening-form.ts';
import { cautions } from '../../../src/domain/placing/screening.ts';
import type { RawValue } from '../../../src/practice/platform/element-values.ts';
import { drawnView } from '../../../src/slack/render/view.ts';
import { testWard } from '../../support/line-builder.ts';
import { clientObjections, filledForm, refusalOf, shown, withoutEmpty } from './filled-form.ts';

const ward = testWard();
const page = () => shown(screeningForm(ward));
const read = (raw: Record<string, RawValue>) => readScreeningForm(filledForm(page(), raw));
const told = (known: object) => ({ is: 'ok', wardId: ward.id, known });

describe('the page before placing', () => {
  it('asks where nothing is ticked: that is neither “none” nor “not looked at”', () => {
    // The list never calls itself optional: an answer is wanted, and the client asks for it too.
    expect(clientObjections(page(), filledForm(page()))).toHaveProperty('cautions');
    for (const sent of [filledForm(page()), withoutEmpty(filledForm(page()))])
      expect(readScreeningForm(sent)).toEqual({
        is: 'wrong',
        errors: {
          cautions:
            'Nothing is ticked. Tick what applies, “None of these” if you looked, or “Not looked at”.',
        },
      });
  });

  it('takes “Not looked at” as it is said, and refuses it beside anything that was looked at', () => {
    expect(read({ cautions: ['not looked at'] })).toEqual(told({ values: {} }));
    for (const beside of [['none'], ['cat']])
      expect(read({ cautions: ['not looked at', ...beside] })).toMatchObject({
        errors: { cautions: expect.stringContaining('“Not looked at” and ') },
      });
  });

  it('takes “None of these” as looked at and none found', () => {
    expect(read({ cautions: ['none'] })).toEqual(told({ values: {}, screening: [] }));
  });

  it('refuses “None of these” beside a caution, at the field', () => {
    expect(read({ cautions: ['none', 'cat', 'broken skin'] })).toEqual({
      is: 'wrong',
      errors: {
        cautions: '“None of these” and “cat, broken skin” are both ticked. Untick the one that’s wrong.',
      },
    });
  });

  it('fills in what follows from it: why, the species of a cat, the longer hold of a bleeder', () => {
    expect(read({ why: 'Repeated blood gases', cautions: ['cat', 'bleeding disorder'] })).toEqual(
      told({
        values: { indication: 'Repeated blood gases', species: 'cat', bleeding: true },
        screening: ['bleeding disorder', 'cat'],
      }),
    );
    expect(read({ why: 'other', cautions: ['none'] })).toEqual(told({ values: {}, screening: [] }));
  });

  it('names the kit: low-compliance tubing primed free of air, the ward’s bag pressure, label, collar', () => {
    const text = JSON.stringify(drawnView(screeningForm(testWard({ sourcePressureMmHg: 250 }))));
    for (const item of [
      'low-compliance tubing',
      'primed free of air',
      'bag at 250 mmHg, or a syringe',
      'three-way tap',
      'ARTERIAL, no injections',
      'collar',
      'skin prep',
    ])
      expect(text).toContain(item);
  });

  it('says what each caution means and where a clinician decides, in the few letters the platform allows', () => {
    // A dwell in parts of an hour is the longest the policy takes.
    const long = testWard({ catDwellWarningH: 13.25, catDwellLimitH: 23.75, overrideFor: [...cautions] });
    expect(refusalOf(shown(screeningForm(long)))).toBeNull();
    const text = JSON.stringify(drawnView(screeningForm(long)));
    expect(text).toContain('warned at 13.25 h, limit 23.75 h on this ward.');
    expect(text.match(/\(a clinician decides\)/g)).toHaveLength(cautions.length);
    expect(text.replaceAll(/Attempt failed…|the owner…/g, '')).not.toContain('…');
    expect(JSON.stringify(page().blocks).match(/\(a clinician decides\)/g)).toHaveLength(2);
  });

  it('is stale when it is not of this version', () => {
    expect(readScreeningForm({ ...filledForm(page()), meta: '{}' })).toEqual({ is: 'stale' });
  });
});
