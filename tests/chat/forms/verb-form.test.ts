import { describe, expect, it } from 'vitest';
import { problemErrors } from '../../../src/chat/forms/read-view.ts';
import { readVerbForm, verbForm } from '../../../src/chat/forms/verb-form.ts';
import { lineVerb, lineVerbs } from '../../../src/chat/verbs/line-verbs.ts';
import type { Field, LineVerb, Values } from '../../../src/chat/verbs/verb.ts';
import { fieldsOf } from '../../../src/chat/verbs/verb.ts';
import { drawnView } from '../../../src/slack/render/view.ts';
import { LineLog, minute, wall, wardZone } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';
import { fittingValues } from '../verbs/values-of-fields.ts';
import {
  clientObjections,
  filledForm,
  hostileNames,
  inputIds,
  inputTypes,
  refusalOf,
  shown,
  withoutEmpty,
} from './filled-form.ts';

const ward = { now: wall('02:40'), zone: wardZone };
const line = new LineLog('20:00').state();
const given = { wardId: 'T0TEST.C0WARD', line, ...ward };

function verbNamed(name: string): LineVerb {
  const verb = lineVerb(name);
  if (!verb) throw new Error(`no verb ${name}`);
  return verb;
}

describe('verbForm', () => {
  it.each(lineVerbs)('of $verb is one the platform shows, for every hostile name', (verb) => {
    for (const name of hostileNames) {
      const named = new LineLog('20:00', { patient: { name } }).state();
      expect(refusalOf(shown(verbForm(verb, { ...given, line: named })))).toBeNull();
      expect(refusalOf(shown(verbForm(verb, { ...given, line: null, lines: [named, line] })))).toBeNull();
    }
  });

  it('names verb and patient in its title, and never pings by a name', () => {
    const named = new LineLog('20:00', { patient: { name: '<!channel>' } }).state();
    const view = shown(verbForm(verbNamed('flush'), { ...given, line: named }));
    expect(drawnView(view).title).toEqual({ type: 'plain_text', text: 'Flush: <!channel>', emoji: false });
    expect(view.callback_id).toBe('tell:flush');
    expect(JSON.stringify(view.blocks)).not.toContain('<!channel>');
  });

  it.each([200, 1000])('offers %i lines to choose from', (count) => {
    const lines = Array.from({ length: count }, (_, index) =>
      new LineLog('20:00', {}, `line-${index}`).state(),
    );
    const view = shown(verbForm(verbNamed('flush'), { ...given, line: null, lines }));
    expect(refusalOf(view)).toBeNull();
    expect(readVerbForm(filledForm(view, { line: `line-${count - 1}` }), ward)).toMatchObject({
      is: 'ok',
      lineId: `line-${count - 1}`,
    });
  });

  it('has nothing to send where there is no line', () => {
    const view = shown(verbForm(verbNamed('flush'), { ...given, line: null, lines: [] }));
    expect(refusalOf(view)).toBeNull();
    expect(view).not.toHaveProperty('submit');
  });

  it('carries the standing caution once', () => {
    const text = JSON.stringify(drawnView(verbForm(verbNamed('flush'), given)));
    expect(text.split('local codes decide')).toHaveLength(2);
  });

  it('asks with radios for a few short options and with a menu for many', () => {
    expect(inputTypes(shown(verbForm(verbNamed('remove'), given)))).toEqual([
      'reason static_select',
      'tip radio_buttons',
      'site radio_buttons',
      'findings checkboxes',
      'when radio_buttons',
      'whenAt datetimepicker',
    ]);
  });

  it('asks a pressure that may be below 0 as text, since number pads have no minus', () => {
    const view = shown(verbForm(verbNamed('zero'), given));
    expect(view.blocks).toContainEqual(
      expect.objectContaining({
        block_id: 'openToAir',
        element: expect.objectContaining({ type: 'plain_text_input' }),
      }),
    );
  });
});

/** Whether what must be said in one of two ways is. */
function isAnswered(fields: readonly Field[]) {
  return (values: Values) =>
    fields.every(({ id, asked }) => !asked || id in values || asked.unless in values);
}

describe('readVerbForm', () => {
  it.each(['check', 'redress', 'remove'])(
    'asks of %s whether anybody looked where nothing was ticked and nothing said; a tick alone is an answer',
    (name) => {
      const view = shown(verbForm(verbNamed(name), given));
      const rest = name === 'remove' ? { reason: 'planned', tip: 'tip whole' } : {};
      for (const sent of [filledForm(view, rest), withoutEmpty(filledForm(view, rest))])
        expect(readVerbForm(sent, ward)).toEqual({
          is: 'wrong',
          errors: {
            site: 'Did you look at the site and below it? Choose nothing amiss or not looked at, or tick what you saw.',
          },
        });
      for (const answer of [
        { site: 'nothing amiss' },
        { site: 'site not looked at' },
        { findings: ['ooze'] },
      ])
        expect(readVerbForm(filledForm(view, { ...rest, ...answer }), ward)).toMatchObject({
          is: 'ok',
          values: answer,
        });
    },
  );

  it('does not take a flush source for checked because its form was sent', () => {
    expect(readVerbForm(filledForm(shown(verbForm(verbNamed('source'), given))), ward)).toMatchObject({
      errors: { what: expect.any(String) },
    });
  });

  const forms = lineVerbs.flatMap((verb) => [
    { name: verb.verb, verb, measured: false },
    ...(verb.measured ? [{ name: `${verb.verb}, measured`, verb, measured: true }] : []),
  ]);
  it.each(forms)(
    'gives back what $name was filled with, however empty inputs are sent',
    ({ verb, measured }) => {
      const fields = fieldsOf(verb, measured);
      fc.assert(
        fc.property(fittingValues({ ...verb, fields }).filter(isAnswered(fields)), (values) => {
          const initials = Object.fromEntries(
            fields.flatMap((field) =>
              field.kind === 'choice' && field.initial !== undefined ? [[field.id, field.initial]] : [],
            ),
          );
          const view = shown(verbForm(verb, { ...given, values, measured }));
          const form = filledForm(view);
          expect(clientObjections(view, form)).toEqual({});
          for (const sent of [form, withoutEmpty(form)]) {
            expect(readVerbForm(sent, ward)).toEqual({
              is: 'ok',
              wardId: 'T0TEST.C0WARD',
              verb,
              lineId: 'line-1',
              values: { ...initials, ...values },
              at: ward.now,
            });
          }
        }),
        { numRuns: 50 },
      );
    },
  );

  it.each([
    [{}, '02:40'],
    [{ when: '10' }, '02:30'],
    [{ when: '60' }, '01:40'],
    [{ whenAt: wall('00:05') / 1000 }, '00:05'],
    [{ when: '10', whenAt: wall('00:05') / 1000 }, '00:05'],
  ])('takes from %j the time %s', (raw, clock) => {
    expect(readVerbForm(filledForm(shown(verbForm(verbNamed('flush'), given)), raw), ward)).toMatchObject({
      at: wall(clock),
    });
  });

  it('starts from the time said in words', () => {
    const view = shown(verbForm(verbNamed('flush'), { ...given, at: wall('01:10') }));
    expect(readVerbForm(filledForm(view), ward)).toMatchObject({ at: wall('01:10') });
  });

  it.each([
    [
      { whenAt: wall('02:43') / 1000 },
      'whenAt',
      'Wed 25 Nov 02:43 is still to come; the ward’s clock shows Wed 25 Nov 02:40. Give a time in the past.',
    ],
    [
      { whenAt: wall('19:59') / 1000 },
      'whenAt',
      'Tue 24 Nov 19:59 is before the line was placed, Tue 24 Nov 20:00. Give a later time, or amend the placing.',
    ],
    [
      { whenAt: (ward.now - 24 * 60 * minute - minute) / 1000 },
      'whenAt',
      'Tue 24 Nov 02:39 is too long ago. The earliest you can give is Tue 24 Nov 02:40. Give a later time.',
    ],
  ])('refuses the time of %j beside its input', (raw, id, message) => {
    expect(readVerbForm(filledForm(shown(verbForm(verbNamed('flush'), given)), raw), ward)).toEqual({
      is: 'wrong',
      errors: { [id]: message },
    });
  });

  it('says beside the choice of minutes when that is before the placing', () => {
    const young = new LineLog('02:35').state();
    const view = shown(verbForm(verbNamed('flush'), { ...given, line: young }));
    expect(readVerbForm(filledForm(view, { when: '10' }), ward)).toMatchObject({
      errors: { when: expect.stringContaining('before the line was placed') },
    });
  });

  it.each([
    ['flush', { volume: '50' }, { volume: 'Volume flushed: 50 mL cannot be right. Give 0.1 to 20 mL.' }],
    ['flush', { volume: 'one' }, { volume: '“one” is not a number. Write one from 0.1 to 20 mL.' }],
    ['zero', { openToAir: '-2 kPa', open: ['open'] }, { openToAir: '“-2 kPa” is in kPa. Write it in mmHg.' }],
    [
      'zero',
      { openToAir: '400', open: ['open'] },
      { openToAir: 'Monitor showed open to air: 400 mmHg cannot be right. Give -300 to 300 mmHg.' },
    ],
    ['zero', {}, { open: 'Open to the patient again is needed. Fill it in.' }],
    ['reading', { sap: '120' }, { dap: 'Diastolic (DAP) is needed. Fill it in.' }],
  ])('says of %s with %j what is wrong, by block', (name, raw, errors) => {
    const verb = verbNamed(name);
    const view = shown(verbForm(verb, given));
    expect(readVerbForm(filledForm(view, raw), ward)).toEqual({ is: 'wrong', errors });
    expect(inputIds(view)).toEqual(expect.arrayContaining(Object.keys(errors)));
  });

  it.each([
    ['-2', -2],
    ['−2', -2],
    ['-2 mmHg', -2],
    ['0,5', 0.5],
  ])('reads the pressure %j as %d mmHg', (typed, value) => {
    expect(
      readVerbForm(
        filledForm(shown(verbForm(verbNamed('zero'), given)), { openToAir: typed, open: ['open'] }),
        ward,
      ),
    ).toMatchObject({ values: { openToAir: value } });
  });

  it('asks for the line where none was chosen', () => {
    const view = shown(verbForm(verbNamed('flush'), { ...given, line: null, lines: [line] }));
    expect(readVerbForm(filledForm(view), ward)).toEqual({
      is: 'wrong',
      errors: { line: 'Choose the line.' },
    });
  });

  it.each([null, { ...filledForm(shown(verbForm(verbNamed('flush'), given))), meta: '{}' }])(
    'calls a form stale that is not of this version: %j',
    (view) => {
      expect(readVerbForm(view, ward)).toEqual({ is: 'stale' });
    },
  );

  it('cleans what was typed as a note', () => {
    const view = shown(verbForm(verbNamed('check'), given));
    expect(
      readVerbForm(filledForm(view, { site: 'nothing amiss', note: '  toes\n\u202Epale ' }), ward),
    ).toMatchObject({
      values: { note: 'toes pale' },
    });
  });
});

describe('problemErrors', () => {
  it('joins the problems of one field and keeps them short', () => {
    const problems = [
      { field: 'dap', message: 'One.' },
      { field: 'dap', message: 'Two.' },
      { field: 'sap', message: 'x'.repeat(500) },
    ];
    expect(problemErrors(problems)).toEqual({ dap: 'One. Two.', sap: `${'x'.repeat(299)}…` });
  });
});
