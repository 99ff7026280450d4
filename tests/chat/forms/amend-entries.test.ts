import { describe, expect, it } from 'vitest';
import { amendForm, readAmendForm } from '../../../src/chat/forms/amend-form.ts';
import { accept } from '../../../src/domain/accept/accept.ts';
import { effectiveEntries, withValues } from '../../../src/domain/record/effective-entries.ts';
import { type DraftOf, type EntryKind, entryKinds } from '../../../src/domain/record/entry.ts';
import type { RawValue } from '../../../src/practice/platform/element-values.ts';
import { LineLog, placedBody, testWard, wall } from '../../support/line-builder.ts';
import { filledForm, inputIds, type Shown, shown } from './filled-form.ts';

const now = wall('02:40');
const bag = { kind: 'pressure bag', volumeMl: 500, rateMlPerH: 3, pressureMmHg: 300 } as const;

/** A line of which `kind` was told last, in a state in which it can be. */
function logOf<K extends EntryKind>(kind: K, body: DraftOf<K>['body']): LineLog {
  const log = new LineLog('20:00');
  if (kind === 'flushModeChanged' || kind === 'sourceChanged' || kind === 'sourceChecked')
    log.add('flushModeChanged', '20:30', { mode: 'continuous', source: bag });
  if (kind === 'transducerJoined') log.add('capped', '20:30', { flushed: true });
  if (kind === 'arrived' || kind === 'returned') log.add('leftWard', '20:30', { to: 'theatre' });
  if (kind === 'pulseChecked' || kind === 'holdEnded') log.add('removed', '20:30', { reason: 'planned' });
  return kind === 'placed' ? log : log.add(kind, '02:10', body);
}

function formOf(log: LineLog, number = log.entries.length): Shown {
  const given = { wardId: 'T0TEST.C0WARD', line: log.state(), log: log.entries, now };
  const form = shown(amendForm({ ...given, policy: testWard().policy, number }));
  if (!form) throw new Error('there is no such form');
  return form;
}

const sent = (log: LineLog, raw: Record<string, RawValue>, number = log.entries.length) =>
  readAmendForm(filledForm(formOf(log, number), raw), { ward: testWard(), now }, log.state(), log.entries);

type Told = {
  [K in EntryKind]: [K, DraftOf<K>['body'], string[], Record<string, RawValue>, object];
}[EntryKind];

const heparin = 'heparin heparinSeenBy';
const fromSource = `kind volume rate pressure ${heparin}`;
/** What was told, the fields of its form, what is put into them, and what is amended. */
const told: readonly Told[] = [
  ['zeroed', { openToAirMmHg: 3 }, ['openToAir'], { openToAir: '-4' }, { openToAirMmHg: -4 }],
  ['levelled', { belowHeartCm: 8 }, ['height where'], { where: 'above' }, { belowHeartCm: -8 }],
  ['levelled', { belowHeartCm: 8 }, ['height where'], { height: '0' }, { belowHeartCm: null }],
  [
    'fastFlushTested',
    { verdict: 'normal' },
    ['verdict rate'],
    { verdict: 'overdamped' },
    { verdict: 'overdamped' },
  ],
  [
    'fastFlushTested',
    {
      verdict: 'underdamped',
      strip: {
        paperMmPerS: 25,
        squareMm: 1,
        cycleLength: 1.7,
        cycles: 1,
        definition: 'half cycle',
        heights: { first: 24, next: 17 },
      },
    },
    ['paper cycle cycles heights first next readTo verdict rate'],
    { first: '34' },
    {
      strip: {
        paperMmPerS: 25,
        squareMm: 1,
        cycleLength: 1.7,
        cycles: 1,
        definition: 'half cycle',
        heights: { first: 34, next: 17 },
      },
    },
  ],
  [
    'fastFlushTested',
    { verdict: 'normal', read: { naturalHz: 20, damping: 0.5 } },
    ['rate'],
    { rate: '120' },
    { heartRatePerMin: 120 },
  ],
  ['flushed', { volumeMl: 5 }, [`volume ${heparin}`], { volume: '0.5' }, { volumeMl: 0.5 }],
  [
    'flushed',
    { volumeMl: 2, usual: true },
    [`volume ${heparin}`],
    { volume: '1' },
    { volumeMl: 1, usual: false },
  ],
  [
    'flushed',
    { volumeMl: 1 },
    [`volume ${heparin}`],
    { heparin: '8', heparinSeenBy: 'teo' },
    { heparinUPerMl: 8, heparinSeenBy: 'teo' },
  ],
  [
    'flushModeChanged',
    { mode: 'continuous', source: bag },
    [fromSource],
    { rate: '4' },
    { source: { ...bag, rateMlPerH: 4 } },
  ],
  ['flushModeChanged', { mode: 'manual' }, [], {}, {}],
  [
    'sourceChanged',
    { source: bag, newSet: false },
    [`what ${fromSource}`],
    { what: 'changed with new set', heparin: '1' },
    { newSet: true, source: { ...bag, heparinUPerMl: 1 } },
  ],
  [
    'sourceChecked',
    { pressureMmHg: 30, volumeLeftMl: 400 },
    ['volume pressure'],
    { pressure: '300' },
    { pressureMmHg: 300 },
  ],
  [
    'redressed',
    { finding: {} },
    ['site findings'],
    { site: 'something amiss', findings: ['ooze'] },
    { finding: { ooze: true } },
  ],
  [
    'siteChecked',
    { finding: { cold: true }, note: 'left hind' },
    ['site findings note'],
    { findings: ['swelling', 'cold'] },
    { finding: { swelling: true, cold: true } },
  ],
  [
    'siteChecked',
    { finding: { cold: true } },
    ['site findings note'],
    { site: 'nothing amiss', findings: [] },
    { finding: {} },
  ],
  [
    'sampled',
    { volumeMl: 10, discardMl: 2, flushed: false },
    ['volume discard discardReturned flushed'],
    { volume: '1', discard: '3', discardReturned: 'returned' },
    { volumeMl: 1, discardMl: 3, discardReturned: true },
  ],
  // The ward's usual flush for 28 kg.
  [
    'sampled',
    { volumeMl: 1, flushed: false },
    ['volume discard discardReturned flushed'],
    { flushed: 'flushed' },
    { flushed: true, flushMl: 2, flushUsual: true },
  ],
  [
    'reading',
    { sapMmHg: 220, dapMmHg: 80, mapMmHg: 93, cuff: { sapMmHg: 112 } },
    ['sap dap map rate cuffSap cuffDap cuffMap'],
    { sap: '120', cuffSap: '', rate: '90' },
    { sapMmHg: 120, heartRatePerMin: 90, cuff: null },
  ],
  [
    'transducerJoined',
    { newSet: true, flushMode: 'continuous', source: bag },
    [`set mode ${fromSource}`],
    { volume: '250' },
    { source: { ...bag, volumeMl: 250 } },
  ],
  ['capped', { flushed: true, flushMl: 2 }, ['flushed'], { flushed: 'not flushed' }, { flushed: false }],
  [
    'leftWard',
    { to: 'theatre' },
    ['how with'],
    { how: 'imaging', with: 'teo' },
    { to: 'imaging', with: 'teo' },
  ],
  ['arrived', {}, ['with'], { with: 'teo' }, { with: 'teo' }],
  ['returned', { with: 'nina' }, ['with'], { with: 'teo' }, { with: 'teo' }],
  ['disturbed', { how: 'disconnected', bloodLostMl: 50 }, ['how lost'], { lost: '5' }, { bloodLostMl: 5 }],
  [
    'disturbed',
    { how: 'disconnected', bloodLostMl: 50 },
    ['how lost'],
    { how: 'moved', lost: '' },
    { how: 'moved', bloodLostMl: null },
  ],
  [
    'removed',
    { reason: 'planned', tipWhole: false, pieceFound: true },
    ['reason tip site findings'],
    { reason: 'dislodged', tip: 'tip whole' },
    { reason: 'dislodged', tipWhole: true, pieceFound: null },
  ],
  [
    'pulseChecked',
    { pulse: 'present' },
    ['pulse warmth'],
    { pulse: 'weak', warmth: 'cold' },
    { pulse: 'weak', cold: true },
  ],
  ['holdEnded', { oozing: false }, ['oozing'], { oozing: 'oozing' }, { oozing: true }],
  ['noted', { text: 'hnd foot warm' }, ['text'], { text: 'hind foot warm' }, { text: 'hind foot warm' }],
  ['faultOpened', { sign: 'flat' }, [], {}, {}],
  ['faultStep', { step: 'flat.kink', answer: 'freed' }, [], {}, {}],
  ['faultClosed', { resolved: true }, [], {}, {}],
  ['assigned', { nurse: 'teo' }, [], {}, {}],
  ['waived', { duty: 'site', dueAt: now, reason: 'resting', until: now + 1 }, [], {}, {}],
  ['targetsSet', { reason: 'head injury', until: now + 1, map: { low: 60 } } as never, [], {}, {}],
  ['targetsEnded', {}, [], {}, {}],
];

const cases = told as readonly [EntryKind, object, string[], Record<string, RawValue>, object][];

const nothing = { is: 'wrong', errors: { at: expect.stringMatching(/^Nothing is changed yet, so nothing/) } };

describe('the form of one entry', () => {
  it('is there for every kind that a person tells, and for none that the bot writes or a reminder moved', () => {
    const none = ['placed', 'claimed', 'snoozed', 'amended', 'nudged', 'escalated'];
    expect([...new Set(cases.map(([kind]) => kind))].toSorted()).toEqual(
      entryKinds.filter((kind) => !none.includes(kind)).toSorted(),
    );
    const log = new LineLog('20:00').add('nudged', '21:00', { duties: [['flush', now]] });
    const given = { wardId: 'T0TEST.C0WARD', line: log.state(), log: log.entries, now };
    expect(shown(amendForm({ ...given, policy: testWard().policy, number: 2 }))).toBeNull();
    expect(shown(amendForm({ ...given, policy: testWard().policy, number: 3 }))).toBeNull();
  });

  it.each(cases)('of %s %j asks for %j', (kind, body, fields, _raw, _amended) => {
    const form = formOf(logOf(kind, body as never));
    expect(inputIds(form)).toEqual([
      'at',
      ...fields.join(' ').split(' ').filter(Boolean),
      'strike',
      'another',
    ]);
  });

  it.each(cases)(
    'of %s %j, %j, sent as it opened, changes nothing and says so',
    (kind, body, _fields, _raw, _amended) => {
      expect(sent(logOf(kind, body as never), {})).toEqual(nothing);
    },
  );

  it.each(cases.filter(([, , fields]) => fields.length > 0))(
    'of %s %j, %j, with %j, amends %j, which the record takes',
    (kind, body, _fields, raw, amended) => {
      const log = logOf(kind, body as never);
      const number = log.entries.length;
      const result = sent(log, raw);
      if (result.is !== 'ok') throw new Error(JSON.stringify(result));
      expect(result.draft.body).toEqual({ target: number, body: amended });
      const head = { at: now, told: now, by: 'nina', via: 'form' as const };
      const verdict = accept(log.state(), testWard(), result.draft, head, log.entries);
      expect(verdict).toHaveProperty('take');
      log.add('amended', now, result.draft.body);
      const stands = effectiveEntries(log.entries).find((one) => one.number === number)?.entry;
      expect(stands).toMatchObject({ kind, body: withValues(body, amended) });
      // Opened again it shows what stands now.
      expect(sent(log, {}, number)).toEqual(nothing);
    },
  );

  it('of the placing alone asks for patient, site and cautions', () => {
    const ids = inputIds(formOf(new LineLog('20:00'), 1));
    expect(ids).toEqual(expect.arrayContaining(['at', 'weightKg', 'site', 'side', 'gauge', 'cautions']));
    expect(ids).not.toContain('strike');
  });

  it('says what the entry says, and leads to the others', () => {
    const shown = JSON.stringify(formOf(logOf('flushed', { volumeMl: 0.5 })).blocks);
    expect(shown).toContain('*It says:* 02:10 flushed 0.5 mL');
    expect(shown).toContain('open:amend:line-1:list');
  });
});

describe('readAmendForm, of an entry’s own values', () => {
  it.each<[EntryKind, object, Record<string, RawValue>, Record<string, RegExp>]>([
    ['flushed', { volumeMl: 1 }, { volume: '50' }, { volume: /0.1 to 20 mL/ }],
    [
      'flushed',
      { volumeMl: 1 },
      { heparin: '8' },
      { heparinSeenBy: /^8 U\/mL is stronger than the 5 U\/mL/ },
    ],
    [
      'flushed',
      { volumeMl: 1 },
      { volume: '2', strike: 'other patient' },
      { strike: /^Either put it right/ },
    ],
    ['reading', { sapMmHg: 120, dapMmHg: 80 }, { dap: '130' }, { dap: /above systolic/ }],
    ['siteChecked', { finding: {} }, { findings: ['cold'] }, { site: /^You’ve ticked a finding too/ }],
  ])('of %s %j with %j says what is wrong: %j', (kind, body, raw, errors) => {
    expect(sent(logOf(kind, body as never), raw)).toEqual({
      is: 'wrong',
      errors: Object.fromEntries(
        Object.entries(errors).map(([id, text]) => [id, expect.stringMatching(text)]),
      ),
    });
  });

  it.each<[EntryKind, object, Record<string, RawValue>, Record<string, null>, object]>([
    [
      'reading',
      { sapMmHg: 120, dapMmHg: 80, mapMmHg: 93, heartRatePerMin: 300 },
      { map: '', rate: '' },
      { mapMmHg: null, heartRatePerMin: null },
      { sapMmHg: 120, dapMmHg: 80 },
    ],
    [
      'fastFlushTested',
      { verdict: 'normal', heartRatePerMin: 90 },
      { rate: '' },
      { heartRatePerMin: null },
      { verdict: 'normal' },
    ],
    ['flushed', { volumeMl: 1, heparinUPerMl: 1 }, { heparin: '' }, { heparinUPerMl: null }, { volumeMl: 1 }],
    ['redressed', { finding: {} }, { site: 'site not looked at' }, { finding: null }, {}],
    ['zeroed', { openToAirMmHg: 9 }, { openToAir: '' }, { openToAirMmHg: null }, {}],
  ])('of %s %j with %j emptied makes %j untold', (kind, body, raw, amended, left) => {
    const log = logOf(kind, body as never);
    const number = log.entries.length;
    const result = sent(log, raw);
    if (result.is !== 'ok') throw new Error(JSON.stringify(result));
    expect(result.draft.body).toEqual({ target: number, body: amended });
    const head = { at: now, told: now, by: 'nina', via: 'form' as const };
    expect(accept(log.state(), testWard(), result.draft, head, log.entries)).toHaveProperty('take');
    log.add('amended', now, result.draft.body);
    const stands = effectiveEntries(log.entries).find((one) => one.number === number)?.entry;
    expect(stands?.body).toEqual(left);
    // Told again after all, the later word counts.
    log.add('amended', now, { target: number, body: body as Record<string, unknown> });
    expect(effectiveEntries(log.entries).find((one) => one.number === number)?.entry.body).toEqual(body);
    expect(sent(log, {}, number)).toEqual(nothing);
  });

  it('does not undo what somebody else put right while the form was open; its own words sent again are no change', () => {
    const log = logOf('flushed', { volumeMl: 5 });
    const form = filledForm(formOf(log), { volume: '0.5' });
    const again = () => readAmendForm(form, { ward: testWard(), now }, log.state(), log.entries);
    expect(again()).toMatchObject({ is: 'ok' });
    log.add('amended', '02:20', { target: 2, body: { volumeMl: 0.5 } });
    expect(again()).toMatchObject({ is: 'ok' });
    log.add('amended', '02:30', { target: 2, body: { volumeMl: 3 } });
    expect(again()).toEqual({
      is: 'wrong',
      errors: { at: expect.stringMatching(/^Somebody put this entry right/) },
    });
    log.add('amended', '02:31', { target: 2, strike: 'told twice' });
    expect(again()).toMatchObject({ is: 'wrong' });
  });

  it('reads a joined source by how the line stood then, not by how it stands now', () => {
    const log = new LineLog('20:00', { ...placedBody(), transducer: false })
      .add('transducerJoined', '21:00', { newSet: true, flushMode: 'continuous', source: bag })
      .add('capped', '22:00', { flushed: true, flushMl: 2 });
    const result = sent(log, { rate: '2' }, 2);
    expect(result).toMatchObject({ draft: { body: { body: { source: { rateMlPerH: 2 } } } } });
  });
});
