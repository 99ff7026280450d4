import { describe, expect, it } from 'vitest';
import { accept, type Verdict } from '../../../src/domain/accept/accept.ts';
import { checkTime, placingBackDateMs, type Refusal } from '../../../src/domain/accept/refusal.ts';
import { foldLine, foldNext } from '../../../src/domain/fold/fold-line.ts';
import type { Entry, EntryDraft } from '../../../src/domain/record/entry.ts';
import { hour, LineLog, minute, type PlacedChanges, testWard, wall } from '../../support/line-builder.ts';

interface Who {
  at?: string;
  told?: string;
  by?: string;
  via?: 'button' | 'bot';
}

/** Whether a telling at 23:00 by nina is taken into the line's log. */
function verdict(
  line: LineLog,
  draft: EntryDraft,
  { at, told = '23:00', by = 'nina', via = 'button' }: Who = {},
): Verdict {
  const head = { at: wall(at ?? told), told: wall(told), by, via };
  return accept(line.state(), testWard({ clinicians: ['cleo'] }), draft, head, line.entries);
}

const dog = (changes: PlacedChanges = {}) => new LineLog('20:00', changes);
const out = () => dog().add('removed', '22:00', { reason: 'planned' }, { by: 'noor' });
const flush: EntryDraft = { kind: 'flushed', body: {} };
const waive: EntryDraft = {
  kind: 'waived',
  body: { duty: 'flush', dueAt: wall('21:00'), reason: 'in theatre', until: wall('23:30') },
};
const amend = (body: (EntryDraft & { kind: 'amended' })['body']): EntryDraft => ({ kind: 'amended', body });

describe('accept refuses', () => {
  it.each<[string, LineLog, EntryDraft, Who, Refusal]>([
    [
      'a time 3 min ahead',
      dog(),
      flush,
      { at: '23:03' },
      { because: 'in the future', at: wall('23:03'), now: wall('23:00') },
    ],
    [
      'a time more than 24 h ago',
      new LineLog('2026-11-22 08:00'),
      flush,
      { at: '2026-11-23 22:59' },
      { because: 'too long ago', at: wall('2026-11-23 22:59'), earliest: wall('2026-11-23 23:00') },
    ],
    [
      'a time before the placing',
      dog(),
      flush,
      { at: '19:59' },
      { because: 'before placing', at: wall('19:59'), placedAt: wall('20:00') },
    ],
    [
      'a flush of a line that is out',
      out(),
      flush,
      {},
      { because: 'line out', removedAt: wall('22:00'), by: 'noor' },
    ],
    [
      'a flush at the minute it came out',
      out(),
      flush,
      { at: '22:00' },
      { because: 'line out', removedAt: wall('22:00'), by: 'noor' },
    ],
    [
      'a second removal',
      out(),
      { kind: 'removed', body: { reason: 'planned' } },
      { at: '21:00' },
      { because: 'line out', removedAt: wall('22:00'), by: 'noor' },
    ],
    [
      'a pulse check of a line that is in',
      dog(),
      { kind: 'pulseChecked', body: { pulse: 'present' } },
      {},
      { because: 'line still in' },
    ],
    [
      'the end of a hold of a line that is in',
      dog(),
      { kind: 'holdEnded', body: { oozing: false } },
      {},
      { because: 'line still in' },
    ],
    ['a nurse’s waiver', dog(), waive, {}, { because: 'clinician only' }],
    [
      'the mode it is in',
      dog(),
      { kind: 'flushModeChanged', body: { mode: 'manual' } },
      {},
      { because: 'mode as before', mode: 'manual' },
    ],
    [
      'a reading upside down',
      dog(),
      { kind: 'reading', body: { sapMmHg: 70, dapMmHg: 120 } },
      {},
      { because: 'diastolic above systolic' },
    ],
    [
      'a mean above the systolic',
      dog(),
      { kind: 'reading', body: { sapMmHg: 120, dapMmHg: 70, mapMmHg: 121 } },
      {},
      { because: 'mean outside' },
    ],
    [
      'a mean below the diastolic',
      dog(),
      { kind: 'reading', body: { sapMmHg: 120, dapMmHg: 70, mapMmHg: 69 } },
      {},
      { because: 'mean outside' },
    ],
    [
      'an amendment of an entry there is not',
      dog(),
      amend({ target: 2, strike: 'slip' }),
      {},
      { because: 'no such entry', target: 2 },
    ],
    [
      'striking the placing unseen, where care was told since',
      dog()
        .add('flushed', '21:00', {})
        .add('nudged', '21:30', { duties: [['flush', wall('22:00')]] }),
      amend({ target: 1, strike: 'slip' }),
      {},
      { because: 'recorded since', count: 1, at: wall('21:00'), by: 'nina', kind: 'flushed' },
    ],
    [
      'striking the placing after a look at all but the latest that was told',
      dog().add('flushed', '21:00', {}).add('sampled', '21:20', { volumeMl: 2 }),
      amend({ target: 1, strike: 'slip', seen: 2 }),
      {},
      { because: 'recorded since', count: 1, at: wall('21:20'), by: 'nina', kind: 'sampled' },
    ],
    [
      'anything of a line registered in error',
      dog().add('amended', '21:00', { target: 1, strike: 'slip' }),
      { kind: 'flushed', body: {} },
      {},
      { because: 'registered in error', at: wall('21:00'), by: 'nina' },
    ],
    [
      'an amendment of a line registered in error',
      dog().add('flushed', '20:50', {}).add('amended', '21:00', { target: 1, strike: 'slip', seen: 2 }),
      amend({ target: 2, strike: 'slip' }),
      {},
      { because: 'registered in error', at: wall('21:00'), by: 'nina' },
    ],
    [
      'bringing a struck removal back beside another',
      dog()
        .add('removed', '21:00', { reason: 'occluded' })
        .add('amended', '21:05', { target: 2, strike: 'wrong patient' })
        .add('removed', '22:00', { reason: 'planned' }),
      amend({ target: 3, strike: 'slip' }),
      {},
      { because: 'out twice', removedAt: wall('22:00'), by: 'nina' },
    ],
    [
      'amending what the bot wrote',
      dog().add('nudged', '21:00', { duties: [['flush', wall('21:00')]] }),
      amend({ target: 2, strike: 'slip' }),
      {},
      { because: 'written by the bot' },
    ],
    [
      'values that do not fit',
      dog().add('flushed', '21:00', {}),
      amend({ target: 2, body: { volumeMl: -1 } }),
      {},
      { because: 'values do not fit', problems: ['volumeMl'] },
    ],
    [
      'an amended time in the future',
      dog().add('flushed', '21:00', {}),
      amend({ target: 2, at: wall('23:03') }),
      {},
      { because: 'in the future', at: wall('23:03'), now: wall('23:00') },
    ],
    [
      'an amended time before the placing',
      dog().add('flushed', '21:00', {}),
      amend({ target: 2, at: wall('19:30') }),
      {},
      { because: 'before placing', at: wall('19:30'), placedAt: wall('20:00') },
    ],
    [
      'a placing after what happened to the line',
      dog().add('flushed', '21:00', {}),
      amend({ target: 1, at: wall('21:01') }),
      {},
      { because: 'before placing', at: wall('21:00'), placedAt: wall('21:01') },
    ],
    [
      'a placing after what was put right to an earlier time',
      dog()
        .add('flushed', '22:00', {})
        .add('amended', '22:10', { target: 2, at: wall('20:30') }),
      amend({ target: 1, at: wall('21:00') }),
      {},
      { because: 'before placing', at: wall('20:30'), placedAt: wall('21:00') },
    ],
    [
      'undoing an amendment when that puts something before the placing',
      dog()
        .add('amended', '20:30', { target: 1, at: wall('19:00') })
        .add('flushed', '19:30', {}, { told: wall('20:40') }),
      amend({ target: 2, strike: 'was right' }),
      {},
      { because: 'before placing', at: wall('19:30'), placedAt: wall('20:00') },
    ],
    [
      'bringing back an entry from before the placing',
      dog()
        .add('flushed', '20:10', {})
        .add('amended', '20:20', { target: 2, strike: 'wrong patient' })
        .add('amended', '20:30', { target: 1, at: wall('20:15') }),
      amend({ target: 3, strike: 'was right' }),
      {},
      { because: 'before placing', at: wall('20:10'), placedAt: wall('20:15') },
    ],
    [
      'a reading put right upside down',
      dog().add('reading', '22:00', { sapMmHg: 120, dapMmHg: 70 }),
      amend({ target: 2, body: { dapMmHg: 170 } }),
      {},
      { because: 'diastolic above systolic' },
    ],
    [
      'a decision for longer than 72 h',
      dog(),
      { ...waive, body: { ...waive.body, until: wall('2026-11-27 23:01') } } as EntryDraft,
      { by: 'vet' },
      { because: 'decided for too long', latest: wall('2026-11-27 23:00') },
    ],
    [
      'a decision made longer than 72 h by amendment',
      dog().add(
        'waived',
        '21:00',
        { duty: 'flush', dueAt: wall('21:00'), reason: 'in theatre', until: wall('22:00') },
        { by: 'vet' },
      ),
      amend({ target: 2, body: { until: wall('2026-11-27 21:01') } }),
      { by: 'vet' },
      { because: 'decided for too long', latest: wall('2026-11-27 21:00') },
    ],
    [
      'a nurse’s longer waiver by amendment',
      dog().add(
        'waived',
        '21:05',
        { duty: 'flush', dueAt: wall('21:00'), reason: 'in theatre', until: wall('22:00') },
        { by: 'vet' },
      ),
      amend({ target: 2, body: { until: wall('23:59') } }),
      {},
      { because: 'clinician only' },
    ],
    [
      'a nurse bringing a struck waiver back',
      dog()
        .add(
          'waived',
          '21:05',
          { duty: 'flush', dueAt: wall('21:00'), reason: 'in theatre', until: wall('22:00') },
          { by: 'vet' },
        )
        .add('amended', '21:10', { target: 2, strike: 'back on the ward' }, { by: 'vet' }),
      amend({ target: 3, strike: 'still there' }),
      {},
      { because: 'clinician only' },
    ],
    [
      'a longer “later” by amendment',
      dog().add('snoozed', '21:01', { duties: [['flush', wall('21:00')]], until: wall('21:11') }),
      amend({ target: 2, body: { until: wall('23:59') } }),
      {},
      { because: 'values do not fit', problems: ['until'] },
    ],
    [
      'a new time for an amendment',
      dog()
        .add('flushed', '21:00', {})
        .add('amended', '21:10', { target: 2, at: wall('20:50') }),
      amend({ target: 3, at: wall('21:05') }),
      {},
      { because: 'no such entry', target: 3 },
    ],
  ])('%s', (_title, line, draft, who, refusal) => {
    expect(verdict(line, draft, who)).toEqual({ refuse: refusal });
  });
});

describe('accept takes', () => {
  it.each<[string, LineLog, EntryDraft, Who]>([
    ['a time 2 min ahead', dog(), flush, { at: '23:02' }],
    ['a time 24 h ago', new LineLog('2026-11-22 08:00'), flush, { at: '2026-11-23 23:00' }],
    ['the minute of placing', dog(), flush, { at: '20:00' }],
    ['a flush before the line came out, told after', out(), flush, { at: '21:59' }],
    ['a note about a line that is out', out(), { kind: 'noted', body: { text: 'limb warm' } }, {}],
    ['a pulse check after removal', out(), { kind: 'pulseChecked', body: { pulse: 'present' } }, {}],
    ['the waiver of whoever is on call', dog(), waive, { by: 'vet' }],
    ['the waiver of a clinician of the ward’s policy', dog(), waive, { by: 'cleo' }],
    [
      'a clinician’s amendment of a waiver',
      dog().add('waived', '21:05', waive.body as never),
      amend({ target: 2, strike: 'back' }),
      { by: 'cleo' },
    ],
    [
      'a mean between diastolic and systolic',
      dog(),
      { kind: 'reading', body: { sapMmHg: 120, dapMmHg: 70, mapMmHg: 87 } },
      {},
    ],
    [
      'taking back one’s “later”',
      dog().add('snoozed', '21:01', { duties: [['flush', wall('21:00')]], until: wall('21:11') }),
      amend({ target: 2, strike: 'slip' }),
      {},
    ],
    [
      'a placing put right to 13 days ago',
      new LineLog('2026-11-24 20:00'),
      amend({ target: 1, at: wall('2026-11-12 08:00') }),
      {},
    ],
    [
      'undoing an amendment',
      dog().add('flushed', '21:00', {}).add('amended', '21:10', { target: 2, strike: 'slip' }),
      amend({ target: 3, strike: 'was done' }),
      {},
    ],
  ])('%s', (_title, line, draft, who) => {
    const taken = verdict(line, draft, who);
    const log = 'take' in taken ? [...line.entries, taken.take] : [];
    expect(foldLine('line-1', log).version).toBe(line.entries.length + 1);
  });
});

describe('the same thing told within a minute', () => {
  const finding = (values: object) => ({ finding: values });
  it.each<[string, LineLog, EntryDraft, 'already' | 'ask' | 'take']>([
    ['a flush', dog().add('flushed', '22:59', {}, { by: 'noor' }), flush, 'already'],
    ['a flush 61 s later', dog().add('flushed', wall('22:59') - 1000, {}), flush, 'ask'],
    ['a flush told by sample', dog().add('sampled', '22:59', { volumeMl: 1, flushed: true }), flush, 'ask'],
    ['a zero', dog().add('zeroed', '23:00', {}), { kind: 'zeroed', body: {} }, 'already'],
    [
      'a zero that now says what was shown open to air',
      dog().add('zeroed', '23:00', {}),
      { kind: 'zeroed', body: { openToAirMmHg: 4 } },
      'take',
    ],
    ['a level', dog().add('levelled', '23:00', {}), { kind: 'levelled', body: {} }, 'already'],
    [
      'another level',
      dog().add('levelled', '23:00', {}),
      { kind: 'levelled', body: { belowHeartCm: 8 } },
      'take',
    ],
    [
      'a test',
      dog().add('fastFlushTested', '23:00', { verdict: 'normal' }),
      { kind: 'fastFlushTested', body: { verdict: 'normal' } },
      'already',
    ],
    [
      'another verdict',
      dog().add('fastFlushTested', '23:00', { verdict: 'normal' }),
      { kind: 'fastFlushTested', body: { verdict: 'overdamped' } },
      'take',
    ],
    [
      'a site check',
      dog().add('siteChecked', '23:00', finding({ pain: false }) as never),
      { kind: 'siteChecked', body: { finding: {} } },
      'already',
    ],
    [
      'a site check that saw more',
      dog().add('siteChecked', '23:00', { finding: {} }),
      { kind: 'siteChecked', body: { finding: { cold: true } } },
      'take',
    ],
    [
      'a redress',
      dog().add('redressed', '23:00', { finding: {} }),
      { kind: 'redressed', body: {} },
      'already',
    ],
    [
      'a redress that saw swelling',
      dog().add('redressed', '23:00', {}),
      { kind: 'redressed', body: { finding: { swelling: true } } },
      'take',
    ],
    [
      'a move',
      dog().add('disturbed', '23:00', { how: 'moved' }),
      { kind: 'disturbed', body: { how: 'moved' } },
      'already',
    ],
    [
      'another disturbance',
      dog().add('disturbed', '23:00', { how: 'moved' }),
      { kind: 'disturbed', body: { how: 'disconnected' } },
      'take',
    ],
    [
      'a sample',
      dog().add('sampled', '23:00', { volumeMl: 1, flushed: true }),
      { kind: 'sampled', body: { volumeMl: 1, flushed: true } },
      'already',
    ],
    [
      'another sample',
      dog().add('sampled', '23:00', { volumeMl: 1, flushed: true }),
      { kind: 'sampled', body: { volumeMl: 2, flushed: true } },
      'take',
    ],
    [
      'a reading',
      dog().add('reading', '23:00', { sapMmHg: 120, dapMmHg: 70 }),
      { kind: 'reading', body: { sapMmHg: 120, dapMmHg: 70 } },
      'already',
    ],
    [
      'another reading',
      dog().add('reading', '23:00', { sapMmHg: 120, dapMmHg: 70 }),
      { kind: 'reading', body: { sapMmHg: 118, dapMmHg: 70 } },
      'take',
    ],
    [
      'a pulse',
      out().add('pulseChecked', '23:00', { pulse: 'present' }),
      { kind: 'pulseChecked', body: { pulse: 'present' } },
      'already',
    ],
    [
      'a pulse in a cold limb',
      out().add('pulseChecked', '23:00', { pulse: 'present' }),
      { kind: 'pulseChecked', body: { pulse: 'present', cold: true } },
      'take',
    ],
    [
      'a pump',
      dog().add('flushModeChanged', '23:00', { mode: 'continuous' }),
      { kind: 'flushModeChanged', body: { mode: 'continuous' } },
      'already',
    ],
    [
      'back from a pump taken in error',
      dog().add('flushModeChanged', '23:00', { mode: 'continuous' }),
      { kind: 'flushModeChanged', body: { mode: 'manual' } },
      'take',
    ],
    [
      'a new bag',
      dog({ flushMode: 'continuous' }).add('sourceChanged', '23:00', {
        source: { kind: 'pressure bag', volumeMl: 250, rateMlPerH: 3 },
        newSet: false,
      }),
      { kind: 'sourceChanged', body: { source: { kind: 'pressure bag', volumeMl: 250 }, newSet: false } },
      'already',
    ],
    [
      'a new bag that came with a new set',
      dog({ flushMode: 'continuous' }).add('sourceChanged', '23:00', {
        source: { kind: 'pressure bag', volumeMl: 250 },
        newSet: false,
      }),
      { kind: 'sourceChanged', body: { source: { kind: 'pressure bag', volumeMl: 250 }, newSet: true } },
      'take',
    ],
    [
      'a source check',
      dog({ flushMode: 'continuous', source: { kind: 'syringe' } }).add('sourceChecked', '23:00', {
        volumeLeftMl: 20,
      }),
      { kind: 'sourceChecked', body: {} },
      'already',
    ],
    [
      'a source check that found less',
      dog({ flushMode: 'continuous', source: { kind: 'syringe' } }).add('sourceChecked', '23:00', {
        volumeLeftMl: 20,
      }),
      { kind: 'sourceChecked', body: { volumeLeftMl: 10 } },
      'take',
    ],
    [
      'a note',
      dog().add('noted', '23:00', { text: 'warm' }),
      { kind: 'noted', body: { text: 'warm' } },
      'take',
    ],
  ])('%s', (_title, line, draft, expected) => {
    expect(verdict(line, draft, { by: 'nell' })).toHaveProperty(expected);
  });

  it.each<[string, LineLog, EntryDraft, Record<string, unknown>]>([
    [
      'the discard of a sample',
      dog().add('sampled', '23:00', { volumeMl: 1, flushed: true }),
      { kind: 'sampled', body: { volumeMl: 1, discardMl: 2, discardReturned: true, flushed: false } },
      { discardMl: 2, discardReturned: true },
    ],
    [
      'the volume of a flush',
      dog().add('flushed', '23:00', {}),
      { kind: 'flushed', body: { volumeMl: 2 } },
      { volumeMl: 2 },
    ],
    [
      'what was shown open to air',
      dog().add('zeroed', '23:00', {}),
      { kind: 'zeroed', body: { openToAirMmHg: 4 } },
      { openToAirMmHg: 4 },
    ],
    [
      'a cold limb',
      out().add('pulseChecked', '23:00', { pulse: 'present' }),
      { kind: 'pulseChecked', body: { pulse: 'present', cold: true } },
      { cold: true },
    ],
    [
      'a mean',
      dog().add('reading', '23:00', { sapMmHg: 120, dapMmHg: 70 }),
      { kind: 'reading', body: { sapMmHg: 120, dapMmHg: 70, mapMmHg: 88 } },
      { mapMmHg: 88 },
    ],
    [
      'the rate of a new bag',
      dog({ flushMode: 'continuous' }).add('sourceChanged', '23:00', {
        source: { kind: 'pressure bag', volumeMl: 250 },
        newSet: false,
      }),
      { kind: 'sourceChanged', body: { source: { kind: 'pressure bag', rateMlPerH: 3 }, newSet: false } },
      { source: { kind: 'pressure bag', volumeMl: 250, rateMlPerH: 3 } },
    ],
  ])('adds to it what only the second says: %s', (_title, line, draft, body) => {
    const target = line.entries.length;
    expect(verdict(line, draft, { by: 'nell' })).toMatchObject({
      take: { kind: 'amended', by: 'nell', body: { target, body } },
    });
  });

  it.each<[string, EntryDraft]>([
    ['flush', flush],
    ['sample', { kind: 'sampled', body: { volumeMl: 1, flushed: true } }],
  ])('counts a back-dated %s told by two people once', (_title, draft) => {
    const line = dog()
      .add(draft.kind as 'flushed', '21:00', draft.body as never, { by: 'noor', told: wall('22:00') })
      .add('flushed', '22:10', {});
    expect(verdict(line, draft, { at: '21:00', by: 'nell' })).toMatchObject({ already: { by: 'noor' } });
  });

  it('takes “later” and a change of mode pressed again by the same person for the first press', () => {
    const asked: [['flush', number]] = [['flush', wall('21:00')]];
    const line = dog().add('snoozed', '22:59', { duties: asked, until: wall('23:09') }, { by: 'nina' });
    const again: EntryDraft = { kind: 'snoozed', body: { duties: asked, until: wall('23:10') } };
    expect(verdict(line, again, { by: 'nina' })).toHaveProperty('already');
    expect(verdict(line, again, { by: 'nell' })).toHaveProperty('refuse');
    const pump = dog().add('flushModeChanged', '22:58', { mode: 'continuous' }, { by: 'nina' });
    const mode: EntryDraft = { kind: 'flushModeChanged', body: { mode: 'continuous' } };
    expect(verdict(pump, mode, { by: 'nina' })).toHaveProperty('already');
    expect(verdict(pump, mode, { by: 'nell' })).toHaveProperty('refuse');
  });

  it('says who was first', () => {
    const line = dog().add('flushed', '22:59', {}, { by: 'noor' });
    expect(verdict(line, flush)).toEqual({ already: { at: wall('22:59'), by: 'noor', entry: 2 } });
  });

  it('counts by when it happened, told late or not', () => {
    const line = dog().add('flushed', '21:30', {}, { by: 'noor' }).add('zeroed', '22:00', {});
    expect(verdict(line, flush, { at: '21:31' })).toHaveProperty('already');
    expect(verdict(line, flush, { at: '21:32' })).toHaveProperty('ask');
    expect(verdict(line, flush, { at: '21:45' })).toHaveProperty('take');
  });

  it('does not hold back what the bot writes', () => {
    const line = dog().add('nudged', '23:00', { duties: [['flush', wall('21:00')]] });
    expect(
      verdict(
        line,
        { kind: 'nudged', body: { duties: [['zero', wall('20:00')]] } },
        { by: 'bot', via: 'bot' },
      ),
    ).toHaveProperty('take');
  });
});

describe('words pressed on an old message', () => {
  const flushed = () => dog().add('flushed', '21:05', {}, { by: 'noor' });
  const asked: [['flush', number]] = [['flush', wall('21:00')]];
  const words: [string, EntryDraft, string][] = [
    ['“later”', { kind: 'snoozed', body: { duties: asked, until: wall('21:40') } }, 'nina'],
    ['a claim', { kind: 'claimed', body: { duties: asked, until: wall('22:00') } }, 'vet'],
    ['“cannot”', { kind: 'noted', body: { text: 'clotted', cannot: asked[0] } }, 'nina'],
    [
      'a waiver',
      {
        kind: 'waived',
        body: { duty: 'flush', dueAt: wall('21:00'), reason: 'in theatre', until: wall('22:00') },
      },
      'vet',
    ],
  ];

  it.each(words)('%s: says who did it, when all it speaks of is done', (_title, draft, by) => {
    expect(verdict(flushed(), draft, { told: '21:30', by })).toEqual({
      already: { at: wall('21:05'), by: 'noor', entry: 2 },
    });
  });

  it.each(words)(
    '%s: is taken while the duty is open, and when the next of its kind is all but due',
    (_title, draft, by) => {
      expect(verdict(dog(), draft, { told: '21:30', by })).toHaveProperty('take');
      expect(verdict(flushed(), draft, { told: '21:55', by })).toHaveProperty('take');
    },
  );

  it.each(words)('%s: is refused when the line is out', (_title, draft, by) => {
    const line = dog().add('removed', '21:05', { reason: 'planned' }, { by: 'noor' });
    expect(verdict(line, draft, { told: '21:30', by })).toEqual({
      refuse: { because: 'line out', removedAt: wall('21:05'), by: 'noor' },
    });
  });

  it('a second waiver of what was let go is taken', () => {
    const line = dog().add(
      'waived',
      '21:05',
      { duty: 'flush', dueAt: wall('21:00'), reason: 'in theatre', until: wall('22:00') },
      { by: 'vet' },
    );
    const longer: EntryDraft = {
      kind: 'waived',
      body: { duty: 'flush', dueAt: wall('21:00'), reason: 'still there', until: wall('23:00') },
    };
    expect(verdict(line, longer, { told: '21:30', by: 'vet' })).toHaveProperty('take');
  });

  it('a waiver of a limit long before it is taken', () => {
    const cat = dog({ patient: { species: 'cat', weightKg: 4 } });
    const waiver: EntryDraft = {
      kind: 'waived',
      body: { duty: 'dwellLimit', dueAt: wall('04:00'), reason: 'septic', until: wall('09:00') },
    };
    expect(verdict(cat, waiver, { told: '20:30', by: 'vet' })).toHaveProperty('take');
  });
});

describe('a thing told late after a removal', () => {
  it('is derived before it and leaves the follow-up as it was', () => {
    const line = out();
    const taken = verdict(line, flush, { at: '21:30' });
    if (!('take' in taken)) throw new Error('refused');
    const state = foldNext(line.state(), taken.take as Entry, () => line.entries);
    expect(state).toMatchObject({
      flushed: { at: wall('21:30') },
      removed: { at: wall('22:00') },
      holdFrom: wall('22:00'),
    });
  });
});

describe('checkTime', () => {
  it('believes a placing told up to 14 days late, and no longer', () => {
    const now = wall('23:00');
    expect(checkTime(now - 14 * 24 * hour, now, placingBackDateMs)).toBeNull();
    expect(checkTime(now - 14 * 24 * hour - minute, now, placingBackDateMs)).toMatchObject({
      because: 'too long ago',
    });
  });
});
