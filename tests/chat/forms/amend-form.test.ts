import { describe, expect, it } from 'vitest';
import { amendForm, readAmendForm } from '../../../src/chat/forms/amend-form.ts';
import { amendList, readAmendList } from '../../../src/chat/forms/amend-list.ts';
import { accept } from '../../../src/domain/accept/accept.ts';
import { foldLine } from '../../../src/domain/fold/fold-line.ts';
import type { Patient } from '../../../src/domain/patient/patient.ts';
import type { Caution, Screening } from '../../../src/domain/placing/screening.ts';
import type { Entry } from '../../../src/domain/record/entry.ts';
import type { RawValue } from '../../../src/practice/platform/element-values.ts';
import { LineLog, placedBody, testWard, wall } from '../../support/line-builder.ts';
import { filledForm, hostileNames, refusalOf, type Shown, shown } from './filled-form.ts';

const now = wall('02:40');
const log = new LineLog('20:00')
  .add('flushed', '21:00', { volumeMl: 1 })
  .add('nudged', '22:00', { duties: [['flush', wall('22:00')]] })
  .add('sampled', '02:10', { volumeMl: 1, flushed: true })
  .add('siteChecked', '02:20', { finding: { cold: true } });
const given = {
  wardId: 'T0TEST.C0WARD',
  line: log.state(),
  log: log.entries,
  now,
  policy: testWard().policy,
};
const list = (about: object = {}) => shown(amendList({ ...given, ...about }));
const options = (form = list()) =>
  (form.blocks[1] as unknown as { element: { options: { value: string; text: { text: string } }[] } }).element
    .options;
function formOf(number: number, of: LineLog = log, about: object = {}): Shown {
  const form = shown(amendForm({ ...given, line: of.state(), log: of.entries, ...about, number }));
  if (!form) throw new Error(`there is no form of entry ${number}`);
  return form;
}
function read({ entry, ...raw }: Record<string, RawValue>, of: LineLog = log, told = of.entries) {
  return readAmendForm(
    filledForm(formOf(Number(entry), of), raw),
    { ward: testWard(), now },
    foldLine('line-1', told),
    told,
  );
}

describe('amendList', () => {
  it('offers what people told, the latest first, with its clock time; nothing the bot wrote', () => {
    expect(options().map(({ value, text }) => `${value}: ${text.text}`)).toEqual([
      '5: 02:20 site and limb: cold hind foot',
      '4: 02:10 sample 1 mL, flushed after',
      '2: 21:00 flushed 1 mL',
      '1: 20:00 placed',
    ]);
  });

  it('says by whom where the name is known', () => {
    const form = list({ nameOf: (user: string) => (user === 'nina' ? 'Nina' : undefined) });
    expect(options(form)[0]?.text.text).toBe('02:20 site and limb: cold hind foot by Nina');
  });

  it('has the latest of whoever opens it chosen already', () => {
    const two = new LineLog('20:00').add('flushed', '21:00', {}).add('flushed', '22:00', {}, { by: 'teo' });
    const chosen = (user: string) => {
      const form = list({ line: two.state(), log: two.entries, user });
      return (form.blocks[1] as unknown as { element: { initial_option?: { value: string } } }).element
        .initial_option?.value;
    };
    expect([chosen('nina'), chosen('teo'), chosen('U0NOBODY')]).toEqual(['2', '3', undefined]);
  });

  it('offers the latest 29 and the placing of a long log, and leaves out what was struck', () => {
    const long = new LineLog('20:00');
    for (let index = 0; index < 40; index += 1) long.add('flushed', wall('20:00') + index * 60_000, {});
    long.add('amended', '02:30', { target: 41, strike: 'told twice' });
    const offered = options(list({ line: long.state(), log: long.entries })).map(({ value }) => value);
    expect(offered).toHaveLength(30);
    expect(offered[0]).toBe('40');
    expect(offered.at(-1)).toBe('1');
  });

  it('leads to the entry chosen, and asks for one where none is', () => {
    expect(readAmendList(filledForm(list(), { entry: '2' }))).toEqual({
      is: 'chosen',
      lineId: 'line-1',
      number: 2,
    });
    expect(readAmendList(filledForm(list()))).toEqual({
      is: 'wrong',
      errors: { entry: 'Choose the entry that is wrong.' },
    });
  });

  it.each(hostileNames)('and the form are ones the platform shows for %j', (name) => {
    const named = new LineLog('20:00', { patient: { name } }).add('noted', '21:00', {
      text: name.repeat(10),
    });
    const about = { line: named.state(), log: named.entries, nameOf: () => name };
    expect(refusalOf(list(about))).toBeNull();
    expect(refusalOf(formOf(1, named, about))).toBeNull();
    expect(refusalOf(formOf(2, named, about))).toBeNull();
  });
});

describe('readAmendForm', () => {
  it.each<[Record<string, RawValue>, object]>([
    [
      { entry: '2', at: wall('20:50') / 1000 },
      { target: 2, at: wall('20:50') },
    ],
    [
      { entry: '2', strike: 'wrong patient' },
      { target: 2, strike: 'wrong patient' },
    ],
    [
      { entry: '1', weightKg: '18' },
      { target: 1, body: { patient: { name: 'Biscuit', species: 'dog', weightKg: 18 } } },
    ],
    [
      { entry: '1', name: 'Bisquit', gauge: '24' },
      { target: 1, body: { patient: { name: 'Bisquit', species: 'dog', weightKg: 28 }, gauge: 24 } },
    ],
    [
      { entry: '1', species: 'cat', weightKg: '4.2', bleeding: 'yes' },
      { target: 1, body: { patient: { name: 'Biscuit', species: 'cat', weightKg: 4.2, bleeding: true } } },
    ],
    [
      { entry: '1', species: 'other', speciesName: 'foal', weightKg: '48' },
      { target: 1, body: { patient: { name: 'Biscuit', species: 'foal', weightKg: 48 } } },
    ],
    [
      { entry: '1', species: 'other', speciesName: 'dingo' },
      {
        target: 1,
        body: { patient: { name: 'Biscuit', species: 'other', speciesName: 'dingo', weightKg: 28 } },
      },
    ],
    [
      { entry: '1', bleeding: 'no' },
      { target: 1, body: { patient: { name: 'Biscuit', species: 'dog', weightKg: 28, bleeding: false } } },
    ],
    [
      { entry: '1', side: 'right' },
      { target: 1, body: { side: 'right' } },
    ],
    [
      { entry: '1', operator: 'U0TEO', tries: '3' },
      { target: 1, body: { operator: 'U0TEO', tries: 3 } },
    ],
    [
      { entry: '1', site: 'median caudal' },
      { target: 1, body: { site: 'median caudal' } },
    ],
    [
      { entry: '1', at: wall('19:30') / 1000 },
      { target: 1, at: wall('19:30') },
    ],
  ])('makes of %j the amendment %j, which the record takes', (raw, body) => {
    const result = read(raw);
    expect(result).toEqual({
      is: 'ok',
      wardId: 'T0TEST.C0WARD',
      lineId: 'line-1',
      draft: { kind: 'amended', body },
    });
    const draft = 'draft' in result ? result.draft : null;
    if (!draft) throw new Error('nothing was told');
    const head = { at: now, told: now, by: 'nina', via: 'form' as const };
    const verdict = accept(log.state(), testWard(), draft, head, log.entries);
    expect(verdict).toHaveProperty('take');
    expect(foldLine('line-1', [...log.entries, { ...draft, ...head }]).version).toBe(6);
  });

  it('leaves what was screened and how many tries it took as they were, whatever else of the placing is put right', () => {
    const screening = {
      cautions: ['bleeding disorder' as const],
      override: { clinician: 'vet', at: wall('19:55'), reason: 'on vasopressors' },
    };
    const full = new LineLog('20:00', { operator: 'teo', tries: 2, screening });
    const result = read({ entry: '1', name: 'Bisquit', side: 'right', gauge: '24' }, full);
    if (result.is !== 'ok') throw new Error(JSON.stringify(result));
    full.add('amended', '02:40', result.draft.body);
    expect(full.state()).toMatchObject({ side: 'right', gauge: 24, operator: 'teo', tries: 2, screening });
  });

  describe('of the cautions', () => {
    const by = (...cautions: Caution[]): Screening => ({ cautions });
    const decided = {
      ...by('bleeding disorder', 'broken skin'),
      override: { clinician: 'vet', at: wall('19:55'), reason: 'on vasopressors' },
    };
    const sent = (
      screening: Screening | undefined,
      raw: Record<string, RawValue>,
      patient: Partial<Patient> = {},
    ) => {
      const line = new LineLog('20:00', { ...(screening ? { screening } : {}), patient });
      const result = read({ entry: '1', ...raw }, line);
      return result.is === 'ok' ? result.draft.body.body?.['screening'] : result;
    };
    const later = { clinician: 'vet', at: now, reason: 'only way to see pressures' };

    it.each<[string, Screening | undefined, Record<string, RawValue>, Partial<Patient>, unknown]>([
      ['found later', by(), { cautions: ['broken skin'] }, {}, by('broken skin')],
      ['told in error', by('walking patient'), { cautions: ['none'] }, {}, by()],
      ['found though nobody had looked', undefined, { cautions: ['broken skin'] }, {}, by('broken skin')],
      ['looked at later and none found', undefined, { cautions: ['none'] }, {}, by()],
      [
        'that the ward wants decided, and nobody decided yet',
        by(),
        { cautions: ['no pulse or collateral flow'] },
        {},
        { ...by('no pulse or collateral flow'), undecided: ['no pulse or collateral flow'] },
      ],
      [
        'that the ward wants decided, with the decision',
        by(),
        { cautions: ['no pulse or collateral flow'], overrideBy: 'vet', overrideReason: later.reason },
        {},
        { ...by('no pulse or collateral flow'), override: later },
      ],
      [
        'decided on later, as they stand',
        { ...by('bleeding disorder'), undecided: ['bleeding disorder'] },
        { cautions: ['bleeding disorder'], overrideBy: 'vet', overrideReason: later.reason },
        { bleeding: true },
        { ...by('bleeding disorder'), override: later },
      ],
      [
        'of which one was in error: what was decided stands',
        decided,
        { cautions: ['bleeding disorder'] },
        { bleeding: true },
        { cautions: ['bleeding disorder'], override: decided.override },
      ],
      [
        'more, where a clinician decided on others: that is not decided',
        decided,
        { cautions: ['bleeding disorder', 'broken skin', 'no pulse or collateral flow'] },
        { bleeding: true },
        {
          ...decided,
          cautions: ['bleeding disorder', 'broken skin', 'no pulse or collateral flow'],
          undecided: ['no pulse or collateral flow'],
        },
      ],
      [
        'that a species put right brings',
        by(),
        { cautions: ['none'], species: 'cat', weightKg: '4.2' },
        {},
        by('cat'),
      ],
      [
        'that a species put right takes away',
        by('cat', 'broken skin'),
        { cautions: ['cat', 'broken skin'], species: 'dog' },
        { species: 'cat' },
        by('broken skin'),
      ],
      [
        'that a bleeding disorder known later brings',
        by(),
        { cautions: ['none'], bleeding: 'yes' },
        {},
        { ...by('bleeding disorder'), undecided: ['bleeding disorder'] },
      ],
      ['not at all, where nobody looked', undefined, { species: 'cat', weightKg: '4.2' }, {}, undefined],
    ])('%s', (_title, screening, raw, patient, expected) => {
      expect(sent(screening, raw, patient)).toEqual(expected);
    });

    it.each<[Screening | undefined, Record<string, RawValue>, Partial<Patient>, Record<string, RegExp>]>([
      [by('broken skin'), { cautions: [] }, {}, { cautions: /^Nothing is ticked/ }],
      [by(), { cautions: ['none', 'cat'] }, {}, { cautions: /both ticked/ }],
      [by(), { cautions: ['cat'] }, {}, { species: /Choose Cat here/ }],
      [by(), { cautions: ['bleeding disorder'] }, {}, { bleeding: /Choose Yes here/ }],
      [by('cat'), { cautions: ['none'] }, { species: 'cat' }, { cautions: /^A cat counts as found/ }],
      [by('bleeding disorder'), { cautions: ['none'] }, { bleeding: true }, { cautions: /choose No/ }],
      [
        by(),
        { cautions: ['none'], overrideBy: 'nina', overrideReason: 'said so' },
        {},
        { overrideBy: /^Only the clinician/ },
      ],
      [by(), { cautions: ['none'], overrideReason: 'said so' }, {}, { overrideBy: /^Choose the clinician/ }],
      [by(), { cautions: ['none'], overrideBy: 'vet' }, {}, { overrideReason: /./ }],
    ])('of %j with %j is refused beside its field', (screening, raw, patient, errors) => {
      expect(sent(screening, raw, patient)).toEqual({
        is: 'wrong',
        errors: Object.fromEntries(
          Object.entries(errors).map(([id, text]) => [id, expect.stringMatching(text)]),
        ),
      });
    });

    it('is not taken by the record from somebody who may not decide', () => {
      const screening = { ...by('cat'), override: { clinician: 'nina', at: now, reason: 'said so' } };
      const head = { at: now, told: now, by: 'nina', via: 'form' as const };
      const draft = { kind: 'amended' as const, body: { target: 1, body: { screening } } };
      expect(accept(log.state(), testWard(), draft, head, log.entries)).toEqual({
        refuse: { because: 'clinician only' },
      });
    });
  });

  it.each<[Record<string, RawValue>, Record<string, string>]>([
    [
      { entry: '2' },
      {
        at: 'Nothing is changed yet, so nothing was written. Give another time or another value, or strike the entry out with a reason.',
      },
    ],
    [
      { entry: '2', strike: 'no' },
      { strike: 'Write why, in 3 characters or more, for example “recorded for the wrong patient”.' },
    ],
    [
      { entry: '2', strike: 'wrong patient', at: wall('20:50') / 1000 },
      {
        strike: 'Either put it right or strike it out. Empty this, or put the rest back as it was.',
      },
    ],
    [
      { entry: '1', gauge: '20', side: 'left', name: 'Biscuit' },
      {
        at: 'Nothing is changed yet, so nothing was written. Give another time, or what was wrong with the placing.',
      },
    ],
    [
      { entry: '1', species: 'other', speciesName: 'rabbit' },
      { weightKg: '28 kg is too heavy for a rabbit: 0.3 to 12 kg. Check the weight, then the species.' },
    ],
    [
      { entry: '1', species: 'other' },
      { speciesName: 'Which animal is it? Write it here, for example wallaby.' },
    ],
    [
      { entry: '1', speciesName: 'dingo' },
      { speciesName: 'Write “dingo” only with “Other animal”: choose that, or empty this.' },
    ],
    [
      { entry: '1', weightKg: '400' },
      { weightKg: '400 kg is too heavy for a dog: 0.3 to 120 kg. Check the weight, then the species.' },
    ],
    [
      { entry: '1', site: 'median caudal', side: 'left' },
      { side: 'A median caudal line has no side. Leave the side empty.' },
    ],
    [
      { entry: '2', at: wall('02:43') / 1000 },
      {
        at: 'Wed 25 Nov 02:43 is still to come; the ward’s clock shows Wed 25 Nov 02:40. Give a time in the past.',
      },
    ],
    [
      { entry: '2', at: wall('19:59') / 1000 },
      {
        at: 'Tue 24 Nov 19:59 is before the line was placed, Tue 24 Nov 20:00. Give a later time, or amend the placing.',
      },
    ],
  ])('says of %j what is wrong: %j', (raw, errors) => {
    expect(read(raw)).toEqual({ is: 'wrong', errors });
  });

  it('asks for the side when a tail line was really in a leg', () => {
    const { side: _, ...placed } = placedBody({ site: 'median caudal' });
    const entries: Entry[] = [
      { kind: 'placed', body: placed, at: wall('20:00'), told: wall('20:00'), by: 'nina', via: 'form' },
    ];
    const line = foldLine('line-1', entries);
    const form = shown(amendForm({ ...given, line, log: entries, number: 1 }));
    const filled = form && filledForm(form, { site: 'radial' });
    const result = readAmendForm(filled, { ward: testWard(), now }, line, entries);
    expect(result).toEqual({ is: 'wrong', errors: { side: 'Left or right radial? Choose the side.' } });
  });
});
