import { describe, expect, it } from 'vitest';
import { accept, type Verdict } from '../../../src/domain/accept/accept.ts';
import { foldLine, foldNext } from '../../../src/domain/fold/fold-line.ts';
import type { DraftOf, EntryDraft } from '../../../src/domain/record/entry.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';

const dog = () => new LineLog('20:00');
const flat = () => dog().add('faultOpened', '22:00', { sign: 'flat' });
const step = (id: string, answer: string): EntryDraft => ({
  kind: 'faultStep',
  body: { step: id, answer },
});
const close = (body: DraftOf<'faultClosed'>['body']): EntryDraft => ({ kind: 'faultClosed', body });
const open = (sign: DraftOf<'faultOpened'>['body']['sign']): EntryDraft => ({
  kind: 'faultOpened',
  body: { sign },
});

function verdict(line: LineLog, draft: EntryDraft, { at = '23:00', by = 'noor' } = {}): Verdict {
  const head = { at: wall(at), told: wall(at), by, via: 'button' as const };
  return accept(line.state(), testWard(), draft, head, line.entries);
}

function outcome(made: Verdict): string {
  if ('take' in made) return 'taken';
  return 'already' in made
    ? `already ${made.already.entry} by ${made.already.by}`
    : 'refuse' in made
      ? made.refuse.because
      : 'asked';
}

describe('accept, of a fault', () => {
  const closed = () => flat().add('faultClosed', '22:30', { resolved: false, sign: 'flat' });
  const well = () => flat().add('faultStep', '22:05', { step: 'flat.patient', answer: 'well' });
  const bad = () => flat().add('faultStep', '22:05', { step: 'flat.patient', answer: 'bad' });

  it.each<[string, LineLog, EntryDraft, object, string]>([
    ['the first of its sign', dog(), open('flat'), {}, 'taken'],
    ['one of a sign that is open', flat(), open('flat'), {}, 'already 2 by nina'],
    ['one of another sign', flat(), open('spiky'), {}, 'taken'],
    ['one of a sign that was closed', closed(), open('flat'), {}, 'taken'],
    ['the step that is asked', flat(), step('flat.patient', 'well'), {}, 'taken'],
    ['the same answer once more', well(), step('flat.patient', 'well'), {}, 'already 3 by nina'],
    ['another answer to what was answered', well(), step('flat.patient', 'bad'), {}, 'step not asked'],
    ['a step that is not asked yet', flat(), step('flat.kink', 'freed'), {}, 'step not asked'],
    [
      'a later step with an answer of the one asked',
      well(),
      step('flat.source', 'good'),
      {},
      'step not asked',
    ],
    ['an answer there is not', flat(), step('flat.patient', 'fabulous'), {}, 'step not asked'],
    ['a step of another sign', flat(), step('spiky.patient', 'well'), {}, 'no open fault'],
    ['a step without a fault', dog(), step('flat.patient', 'well'), {}, 'no open fault'],
    ['a step after the close', closed(), step('flat.patient', 'well'), {}, 'no open fault'],
    ['a close', flat(), close({ resolved: true }), {}, 'taken'],
    ['a close of its sign', flat(), close({ resolved: false, sign: 'flat' }), {}, 'taken'],
    ['a close of another sign', flat(), close({ resolved: true, sign: 'spiky' }), {}, 'no open fault'],
    ['a close without a fault', dog(), close({ resolved: true }), {}, 'no open fault'],
    ['a second close', closed(), close({ resolved: false }), {}, 'no open fault'],
    [
      'the same close pressed again',
      closed(),
      close({ resolved: false }),
      { at: '22:31', by: 'nina' },
      'already 3 by nina',
    ],
    [
      'another close soon after',
      closed(),
      close({ resolved: true }),
      { at: '22:31', by: 'nina' },
      'no open fault',
    ],
    [
      'an end of the path that is none',
      well(),
      close({ resolved: false, sign: 'flat', byPath: true }),
      {},
      'step not asked',
    ],
    ['an end of the path', bad(), close({ resolved: false, sign: 'flat', byPath: true }), {}, 'taken'],
    [
      'an end it does not come to',
      bad(),
      close({ resolved: true, sign: 'flat', byPath: true }),
      {},
      'step not asked',
    ],
    [
      'a fault of a line that is out',
      dog().add('removed', '22:00', { reason: 'planned' }),
      open('flat'),
      {},
      'line out',
    ],
  ])('says of %s what it is', (_what, line, draft, who, expected) => {
    expect(outcome(verdict(line, draft, who))).toBe(expected);
  });
});

describe('the fold, of faults', () => {
  it('keeps with each fault what was answered, by its sign', () => {
    const state = flat()
      .add('faultOpened', '22:01', { sign: 'spiky' })
      .add('faultStep', '22:02', { step: 'flat.patient', answer: 'well' })
      .add('faultStep', '22:03', { step: 'spiky.patient', answer: 'well' })
      .add('faultStep', '22:04', { step: 'flat.limb', answer: 'good' })
      .add('faultClosed', '22:05', { resolved: true, sign: 'spiky' })
      .state();
    expect(
      state.faults.map(({ sign, steps, closedAt }) => [sign, steps.map(({ step }) => step), closedAt]),
    ).toEqual([
      ['flat', ['flat.patient', 'flat.limb'], null],
      ['spiky', ['spiky.patient'], wall('22:05')],
    ]);
  });

  it('keeps the latest five, and no less an older one that is open', () => {
    const log = flat();
    for (let minute = 10; minute < 22; minute += 2)
      log
        .add('faultOpened', `22:${minute}`, { sign: 'spiky' })
        .add('faultClosed', `22:${minute + 1}`, { resolved: true, sign: 'spiky' });
    const { faults } = log.state();
    expect(faults.filter(({ sign }) => sign === 'spiky')).toHaveLength(5);
    expect(faults[0]).toMatchObject({ sign: 'flat', closedAt: null });
  });

  it('closes every open fault where no sign is told, as entries before signs were', () => {
    const state = flat()
      .add('faultOpened', '22:01', { sign: 'spiky' })
      .add('faultClosed', '22:05', { resolved: true })
      .state();
    expect(state.faults.every(({ closedAt, resolved }) => closedAt === wall('22:05') && resolved)).toBe(true);
  });

  it('asks for a zero and a test after a close, and is the same told late or in order', () => {
    const log = dog()
      .inOrder('20:10')
      .add('faultOpened', '22:00', { sign: 'flat' })
      .add('faultStep', '22:05', { step: 'flat.patient', answer: 'bad' })
      .add('faultClosed', '22:05', { resolved: false, sign: 'flat', byPath: true });
    const state = log.state();
    expect(state.zeroCause?.why).toBe('fault closed');
    expect(state.testCause?.why).toBe('fault closed');
    expect(state.faultLeft).toMatchObject({ sign: 'flat', at: wall('22:05'), entry: 6 });
    const [first, ...rest] = log.entries;
    const inSteps = rest.reduce(
      ({ line, sofar }, entry) => ({ line: foldNext(line, entry, () => sofar), sofar: [...sofar, entry] }),
      { line: foldLine(log.id, first ? [first] : []), sofar: first ? [first] : [] },
    );
    expect(inSteps.line).toEqual(state);
  });

  it('left unresolved stays the clinician’s when another one is resolved, until it is itself', () => {
    const log = dog()
      .add('faultOpened', '22:00', { sign: 'none' })
      .add('faultClosed', '22:05', { resolved: false, sign: 'none' })
      .add('faultOpened', '22:10', { sign: 'drifting' })
      .add('faultClosed', '22:20', { resolved: true, sign: 'drifting' });
    expect(log.state().faultLeft).toMatchObject({ sign: 'none' });
    log.add('faultOpened', '22:30', { sign: 'none' });
    log.add('faultClosed', '22:40', { resolved: true, sign: 'none' });
    expect(log.state().faultLeft).toBeNull();
  });
});
