import { describe, expect, it } from 'vitest';
import { needsLog } from '../../../src/domain/accept/accept.ts';
import { recordedAlready } from '../../../src/domain/accept/recorded-already.ts';
import type { Entry, EntryDraft, EntryKind } from '../../../src/domain/record/entry.ts';
import { LineLog, wall } from '../../support/line-builder.ts';

const secondMs = 1000;
const at = wall('21:00');
const head = (told: number) => ({ at: told, told, by: 'teo', via: 'button' }) as const;
const log = (...entries: [EntryDraft, afterS: number, toldAfterS?: number][]): Entry[] => [
  ...new LineLog('20:00').entries,
  ...entries.map(
    ([draft, afterS, toldAfterS = afterS]) =>
      ({
        ...draft,
        at: at + afterS * secondMs,
        told: at + toldAfterS * secondMs,
        by: 'nina',
        via: 'button',
      }) as Entry,
  ),
];
/** What stands of a draft recorded so long after 21:00. */
const again = (entries: Entry[], draft: EntryDraft, afterS: number) =>
  recordedAlready(entries, draft, head(at + afterS * secondMs));

const acts: EntryDraft[] = [
  { kind: 'zeroed', body: {} },
  { kind: 'levelled', body: {} },
  { kind: 'fastFlushTested', body: { verdict: 'normal' } },
  { kind: 'flushed', body: {} },
  { kind: 'flushModeChanged', body: { mode: 'continuous' } },
  { kind: 'sourceChanged', body: { source: { kind: 'syringe' }, newSet: true } },
  { kind: 'sourceChecked', body: {} },
  { kind: 'redressed', body: { finding: {} } },
  { kind: 'siteChecked', body: { finding: {} } },
  { kind: 'sampled', body: { volumeMl: 1 } },
  { kind: 'reading', body: { sapMmHg: 118, dapMmHg: 64 } },
  { kind: 'disturbed', body: { how: 'moved' } },
  { kind: 'capped', body: { flushed: true } },
  { kind: 'transducerJoined', body: { newSet: false, flushMode: 'manual' } },
  { kind: 'leftWard', body: { to: 'theatre' } },
  { kind: 'arrived', body: {} },
  { kind: 'returned', body: {} },
  { kind: 'pulseChecked', body: { pulse: 'present' } },
  { kind: 'holdEnded', body: { oozing: false } },
];
const other: EntryDraft[] = [{ kind: 'faultClosed', body: { resolved: true } }];
const draftOf = (kind: EntryKind): EntryDraft => {
  const draft = [...acts, ...other].find((one) => one.kind === kind);
  if (!draft) throw new Error(`no draft of ${kind}`);
  return draft;
};

describe('an act recorded twice', () => {
  it.each(acts.map((draft): [EntryKind, EntryDraft] => [draft.kind, draft]))(
    'within a minute is one: %s',
    (_kind, draft) => {
      const one = { done: { at, by: 'nina', entry: 2 }, adds: null };
      expect(again(log([draft, 0]), draft, 60)).toEqual(one);
      expect(again(log([draft, 0]), draft, 61)).toBeNull();
      // Of a time before it, recorded after.
      expect(again(log([draft, 0]), draft, -60)).toEqual(one);
      expect(again(log([draft, 0]), draft, -61)).toBeNull();
    },
  );

  it('is two where it is no act: words, a fault, what the bot wrote', () => {
    const note: EntryDraft = { kind: 'noted', body: { text: 'asleep' } };
    expect(again(log([note, 0]), note, 10)).toBeNull();
    const [flush] = [draftOf('flushed')];
    expect(recordedAlready(log([flush, 0]), flush, { ...head(at), via: 'bot' })).toBeNull();
  });
});

/** What undid, used or asked for an act, so that the next of its kind is another. */
const between: [EntryKind, EntryKind[]][] = [
  ['flushed', ['sampled', 'flushModeChanged', 'capped']],
  [
    'zeroed',
    [
      'disturbed',
      'redressed',
      'sampled',
      'sourceChanged',
      'faultClosed',
      'transducerJoined',
      'leftWard',
      'arrived',
      'returned',
    ],
  ],
  ['levelled', ['disturbed', 'transducerJoined', 'leftWard', 'arrived', 'returned']],
  ['disturbed', ['zeroed', 'levelled']],
  ['sampled', ['flushed']],
  ['reading', ['zeroed', 'levelled', 'disturbed', 'transducerJoined', 'leftWard', 'arrived', 'returned']],
  ['fastFlushTested', ['sourceChanged', 'faultClosed', 'transducerJoined']],
  ['capped', ['transducerJoined']],
  ['transducerJoined', ['capped']],
  ['leftWard', ['arrived', 'returned']],
  ['arrived', ['leftWard', 'returned']],
  ['returned', ['leftWard']],
  ['siteChecked', ['redressed']],
  ['redressed', ['siteChecked']],
];

describe('an act is new, however soon, after what made it so', () => {
  it.each(between.flatMap(([act, makers]) => makers.map((maker): [EntryKind, EntryKind] => [act, maker])))(
    '%s after %s',
    (act, maker) => {
      const [draft, made] = [draftOf(act), draftOf(maker)];
      expect(again(log([draft, 0], [made, 20]), draft, 40)).toBeNull();
    },
  );

  it.each([
    ['done in the same instant', 0],
    ['of the instant of the second', 40],
  ])('%s too', (_when, afterS) => {
    const flush = draftOf('flushed');
    expect(again(log([flush, 0], [draftOf('sampled'), afterS]), flush, 40)).toBeNull();
  });

  it('and not after what came before the first, or comes after the second, or has nothing to do with it', () => {
    const [flush, sample] = [draftOf('flushed'), draftOf('sampled')];
    expect(again(log([sample, -10], [flush, 0]), flush, 40)).not.toBeNull();
    expect(again(log([sample, 0], [flush, 0]), flush, 40)).not.toBeNull();
    expect(again(log([flush, 0], [sample, -10, 20]), flush, 40)).not.toBeNull();
    expect(again(log([flush, 0], [sample, 50]), flush, 40)).not.toBeNull();
    expect(again(log([flush, 0], [draftOf('zeroed'), 20]), flush, 40)).not.toBeNull();
  });
});

describe('a second record of an act', () => {
  type Bodies = [what: string, first: EntryDraft, second: EntryDraft, adds: Record<string, unknown> | null];
  const flushed = (body: (EntryDraft & { kind: 'flushed' })['body']): EntryDraft => ({
    kind: 'flushed',
    body,
  });
  const sampled = (body: (EntryDraft & { kind: 'sampled' })['body']): EntryDraft => ({
    kind: 'sampled',
    body,
  });
  const source = (value: (EntryDraft & { kind: 'sourceChanged' })['body']['source']): EntryDraft => ({
    kind: 'sourceChanged',
    body: { source: value, newSet: false },
  });
  const pulse = (cold?: boolean): EntryDraft => ({
    kind: 'pulseChecked',
    body: { pulse: 'present', ...(cold === undefined ? {} : { cold }) },
  });

  it.each<Bodies>([
    ['a volume that the first left out', flushed({}), flushed({ volumeMl: 2 }), { volumeMl: 2 }],
    ['nothing where only the first gave a volume', flushed({ volumeMl: 2 }), flushed({}), null],
    [
      'a volume in place of the ward’s usual one',
      flushed({ volumeMl: 1, usual: true }),
      flushed({ volumeMl: 2 }),
      { volumeMl: 2, usual: false },
    ],
    [
      'nothing to a usual volume by another',
      flushed({ volumeMl: 1, usual: true }),
      flushed({ volumeMl: 1, usual: true }),
      null,
    ],
    [
      'heparin, and nothing of the volume',
      flushed({ volumeMl: 1, usual: true }),
      flushed({ heparinUPerMl: 1 }),
      { heparinUPerMl: 1 },
    ],
    [
      'nothing where a second looked at the label: the first is named',
      flushed({ heparinUPerMl: 20, heparinSeenBy: 'nina' }),
      flushed({ heparinUPerMl: 20, heparinSeenBy: 'teo' }),
      null,
    ],
    [
      'that a sample was flushed after',
      sampled({ volumeMl: 1, flushed: false }),
      sampled({ volumeMl: 1, flushed: true }),
      { flushed: true },
    ],
    [
      'nothing where the first said that it was',
      sampled({ volumeMl: 1, flushed: true }),
      sampled({ volumeMl: 1, flushed: false }),
      null,
    ],
    [
      'a volume to a source',
      source({ kind: 'syringe' }),
      source({ kind: 'syringe', volumeMl: 50 }),
      { source: { kind: 'syringe', volumeMl: 50 } },
    ],
    [
      'nothing to the same source',
      source({ kind: 'syringe', volumeMl: 50 }),
      source({ kind: 'syringe' }),
      null,
    ],
    ['that the limb is cold', pulse(), pulse(true), { cold: true }],
    ['that it is cold after all', pulse(false), pulse(true), { cold: true }],
    ['nothing by saying it is not', pulse(), pulse(false), null],
    [
      'nothing by naming what was not seen',
      { kind: 'siteChecked', body: { finding: {} } },
      { kind: 'siteChecked', body: { finding: { swelling: false } } },
      null,
    ],
    [
      'a note',
      { kind: 'siteChecked', body: { finding: { ooze: true } } },
      { kind: 'siteChecked', body: { finding: { ooze: true }, note: 'a little' } },
      { note: 'a little' },
    ],
  ])('adds %s', (_what, first, second, adds) => {
    expect(again(log([first, 0]), second, 30)).toEqual({ done: { at, by: 'nina', entry: 2 }, adds });
  });

  it.each<[string, EntryDraft, EntryDraft]>([
    ['volumes differ', flushed({ volumeMl: 1 }), flushed({ volumeMl: 2 })],
    ['sources differ', source({ kind: 'syringe' }), source({ kind: 'pressure bag' })],
    [
      'sources hold different volumes',
      source({ kind: 'syringe', volumeMl: 50 }),
      source({ kind: 'syringe', volumeMl: 20 }),
    ],
    [
      'findings differ',
      { kind: 'siteChecked', body: { finding: {} } },
      { kind: 'siteChecked', body: { finding: { swelling: true } } },
    ],
    ['pulses differ', pulse(), { kind: 'pulseChecked', body: { pulse: 'weak' } }],
    ['a second flush was meant', flushed({}), flushed({ again: 1 })],
    ['a third was meant', flushed({ again: 1 }), flushed({ again: 2 })],
  ])('is another act where %s', (_what, first, second) => {
    expect(again(log([first, 0]), second, 30)).toBeNull();
  });

  it('is the same where the same question was answered twice', () => {
    expect(again(log([flushed({ again: 1 }), 0]), flushed({ again: 1 }), 30)).toMatchObject({ adds: null });
  });

  it('is held against the nearest before it, not against what was said before that', () => {
    const seen = (swelling: boolean): EntryDraft => ({
      kind: 'siteChecked',
      body: { finding: { swelling } },
    });
    expect(again(log([seen(true), 0], [seen(false), 20]), seen(true), 40)).toBeNull();
    expect(again(log([seen(true), 0], [seen(false), 20]), seen(false), 40)).toMatchObject({
      done: { entry: 3 },
    });
    // Told of the very time of one, it is that one.
    expect(again(log([seen(true), 0], [seen(false), 20]), seen(false), 20)).toMatchObject({
      done: { entry: 3 },
    });
  });
});

describe('the log is needed to judge a draft', () => {
  const line = new LineLog('20:00').add('flushed', '21:00', {}).add('zeroed', '21:30', {}).state();
  it.each<[string, EntryDraft, string, boolean]>([
    ['an amendment', { kind: 'amended', body: { target: 2, strike: 'a slip' } }, '22:00', true],
    ['of a time before the latest entry', draftOf('disturbed'), '21:29', true],
    ['not of the time of the latest entry', draftOf('disturbed'), '21:30', false],
    ['within a minute of its like', draftOf('zeroed'), '21:31', true],
    ['not of one later than that', draftOf('zeroed'), '21:32', false],
    ['not of the first of its kind', draftOf('redressed'), '21:31', false],
  ])('%s', (_which, draft, time, needed) => {
    expect(needsLog(line, draft, wall(time))).toBe(needed);
  });
});
