import { describe, expect, it } from 'vitest';
import { concerns, concernsDuty, saidAfter } from '../../../src/domain/duties/duty.ts';
import { dwellLimitAt } from '../../../src/domain/duties/dwell.ts';
import { isForClinicianAtOnce } from '../../../src/domain/duties/finding-seen.ts';
import { saidNear } from '../../../src/domain/duties/marks-on.ts';
import { doneSince } from '../../../src/domain/duties/recent.ts';
import type { EntryDraft } from '../../../src/domain/record/entry.ts';
import { LineLog, minute, type PlacedChanges, testWard, wall } from '../../support/line-builder.ts';

const { policy } = testWard();
const cat: PlacedChanges = { patient: { species: 'cat', weightKg: 4 } };

describe('words about a duty', () => {
  it.each([
    ['that named its time', { dueAt: 100, at: 50 }, true],
    ['said as it fell due', { dueAt: 90, at: 100 }, true],
    ['said after it fell due', { dueAt: 90, at: 101 }, true],
    ['of another time, said before', { dueAt: 99, at: 99 }, false],
  ])('%s', (_which, words, concerned) => {
    expect(concerns(words, 100)).toBe(concerned);
    expect(concernsDuty('flush', words, 100)).toBe(concerned);
  });

  it.each([
    ['of that very finding', { dueAt: 100, at: 50 }, true],
    ['of a newer one', { dueAt: 101, at: 50 }, true],
    ['of an older one, however late', { dueAt: 99, at: 200 }, false],
  ])('about a finding: %s', (_which, words, concerned) => {
    expect(concernsDuty('finding', words, 100)).toBe(concerned);
  });

  it.each([
    ['later', { at: 101, entry: 1 }, true],
    ['earlier, though recorded after', { at: 99, entry: 9 }, false],
    ['of the same minute, recorded after', { at: 100, entry: 6 }, true],
    ['of the same minute, recorded before', { at: 100, entry: 4 }, false],
  ])('come after others when they are %s', (_when, words, after) => {
    expect(saidAfter({ dueAt: 0, ...words }, { dueAt: 0, at: 100, entry: 5 })).toBe(after);
  });
});

// 10 min, the ward's round: common practice, no source.
describe('what a reader was told shortly before a time that an amendment moves later stands', () => {
  const limit = (toldAt: string, to: 'nudged' | 'clinician', placedAt: string) => {
    const words = { duties: [['dwellLimit', wall('03:30')] as ['dwellLimit', number]] };
    const log = new LineLog('19:30', cat);
    if (to === 'nudged') log.add('nudged', toldAt, words);
    else log.add('escalated', toldAt, { ...words, to: 'clinician', user: 'vet' });
    const line = log.add('amended', '03:31', { target: 1, at: wall(placedAt) }).state();
    const [duty] = log.duties(policy, '03:32').filter(({ kind }) => kind === 'dwellLimit');
    return duty && saidNear(line, duty, policy, to) !== undefined;
  };

  it.each(['nudged', 'clinician'] as const)('of a cat’s limit, to either (%s)', (to) => {
    expect(limit('03:30', to, '19:40')).toBe(true);
    expect(limit('03:30', to, '19:41')).toBe(false);
  });

  it('of a flush to the ward, and not to the clinician: lateness that was none must be told anew', () => {
    const log = new LineLog('20:00').add('flushed', '02:00', {});
    log.add('nudged', '03:00', { duties: [['flush', wall('03:00')]] });
    log.add('escalated', '03:20', { duties: [['flush', wall('03:00')]], to: 'clinician', user: 'vet' });
    const line = log.add('amended', '03:21', { target: 2, at: wall('02:25') }).state();
    const duty = log.duty('flush', policy, '03:22');
    expect(duty?.dueAt).toBe(wall('03:25'));
    expect(duty && saidNear(line, duty, policy, 'clinician')).toBeUndefined();
    expect(duty && saidNear(line, { ...duty, dueAt: wall('03:10') }, policy, 'nudged')).toBeDefined();
    expect(duty && saidNear(line, { ...duty, dueAt: wall('03:11') }, policy, 'nudged')).toBeUndefined();
  });
});

// Which signs are for a clinician at once: human guidance on limb ischaemia; that it is at once: common practice, no source.
describe('a clinician hears at once', () => {
  const line = new LineLog('20:00').state();
  it.each<[string, EntryDraft, boolean]>([
    ['of swelling', { kind: 'siteChecked', body: { finding: { swelling: true } } }, true],
    ['of ooze seen at a redress', { kind: 'redressed', body: { finding: { ooze: true } } }, true],
    [
      'of what was seen at the removal',
      { kind: 'removed', body: { reason: 'planned', finding: { ooze: true } } },
      true,
    ],
    ['not of a soiled dressing', { kind: 'siteChecked', body: { finding: { soiled: true } } }, false],
    ['not of a redress at which nothing was recorded', { kind: 'redressed', body: {} }, false],
    ['of an absent pulse', { kind: 'pulseChecked', body: { pulse: 'absent' } }, true],
    ['not of a pulse', { kind: 'pulseChecked', body: { pulse: 'present' } }, false],
    ['of a mean of 55', { kind: 'reading', body: { sapMmHg: 78, dapMmHg: 42, mapMmHg: 55 } }, true],
    ['not of a usual pressure', { kind: 'reading', body: { sapMmHg: 118, dapMmHg: 64 } }, false],
    [
      'of a catheter that came out not whole',
      { kind: 'removed', body: { reason: 'planned', tipWhole: false } },
      true,
    ],
    [
      'not of one whose missing piece was found',
      { kind: 'removed', body: { reason: 'planned', tipWhole: false, pieceFound: true } },
      false,
    ],
    ['not of a whole one', { kind: 'removed', body: { reason: 'planned', tipWhole: true } }, false],
    ['not of one that nobody looked at', { kind: 'removed', body: { reason: 'planned' } }, false],
    ['not of a flush', { kind: 'flushed', body: {} }, false],
  ])('%s', (_what, draft, atOnce) => {
    expect(isForClinicianAtOnce(draft, wall('21:00'), line, policy)).toBe(atOnce);
  });
});

describe('a clinician’s look at a finding is due', () => {
  const swollen = (at: string) => ['siteChecked', at, { finding: { swelling: true } }] as const;
  const low = (at: string) => ['reading', at, { sapMmHg: 78, dapMmHg: 42, mapMmHg: 55 }] as const;

  it('from the latest of what was found', () => {
    const line = () => new LineLog('19:30');
    const look = (log: LineLog) => log.duty('finding', policy, '22:30')?.dueAt;
    expect(
      look(
        line()
          .add(...swollen('22:00'))
          .add(...low('22:10')),
      ),
    ).toBe(wall('22:10'));
    expect(
      look(
        line()
          .add(...low('22:00'))
          .add(...swollen('22:10')),
      ),
    ).toBe(wall('22:10'));
  });

  const out = (tipWhole: boolean) =>
    new LineLog('2026-11-23 16:00')
      .add('removed', '2026-11-23 20:00', { reason: 'planned', tipWhole })
      .add('pulseChecked', '2026-11-23 21:00', { pulse: 'present' });

  it('when a piece turns out to be missing, though the limb was followed up', () => {
    const log = out(true)
      .add('pulseChecked', '2026-11-24 20:00', { pulse: 'present' })
      .add('amended', '21:00', { target: 2, body: { tipWhole: false } });
    expect(log.duty('finding', policy, '21:30')?.dueAt).toBe(wall('21:00'));
  });

  it('again when a decision on a missing piece ends in the very minute the pulse is felt', () => {
    const log = out(false)
      .add('waived', '2026-11-23 20:10', {
        duty: 'finding',
        dueAt: wall('2026-11-23 20:00'),
        reason: 'seen on the film',
        until: wall('20:00'),
      })
      .add('pulseChecked', '20:00', { pulse: 'present' });
    expect(log.duty('finding', policy, '20:01')?.dueAt).toBe(wall('20:00'));
  });

  it('again when a decision on a pressure ends and none within the limits was read', () => {
    const log = new LineLog('19:30').add(...low('20:00')).add('waived', '20:05', {
      duty: 'finding',
      dueAt: wall('20:00'),
      reason: 'meant',
      until: wall('21:00'),
    });
    expect(log.duty('finding', policy, '21:01')?.dueAt).toBe(wall('21:00'));
  });
});

describe('what was done lately', () => {
  it('is kept for each kind, a day of hourly flushes', () => {
    const log = new LineLog('2026-11-23 19:00');
    for (let n = 1; n <= 26; n += 1) log.add('flushed', wall('2026-11-23 19:00') + n * 60 * minute, {});
    const flushes = log.state().recent.flush ?? [];
    expect(flushes).toHaveLength(24);
    expect(flushes[0]?.entry).toBe(4);
    expect(doneSince(log.state(), 'flush', wall('2026-11-24 20:00'))?.at).toBe(wall('2026-11-24 20:00'));
  });

  it('counts from when it was recorded, or from when it happened where a clock ran ahead', () => {
    const log = new LineLog('20:00')
      .add('flushed', '21:00', {}, { told: wall('21:20') })
      .add('zeroed', '21:00', {}, { told: wall('20:59') });
    const { recent } = log.state();
    expect(recent.flush?.map(({ told }) => told)).toEqual([wall('21:20')]);
    expect(recent.zero?.map(({ told }) => told)).toEqual([wall('21:00')]);
    expect(doneSince(log.state(), 'flush', wall('21:20'))).toEqual({
      at: wall('21:00'),
      by: 'nina',
      entry: 2,
    });
    expect(doneSince(log.state(), 'flush', wall('21:21'))).toBeNull();
    expect(doneSince(log.state(), 'site', wall('20:00'))).toBeNull();
  });

  it('of two recorded together is the first entry', () => {
    const log = new LineLog('20:00')
      .add('flushed', '21:05', {}, { told: wall('21:10') })
      .add('flushed', '21:00', {}, { told: wall('21:10'), by: 'teo' });
    expect(doneSince(log.state(), 'flush', wall('21:00'))?.entry).toBe(2);
  });

  it.each<[string, LineLog, string[]]>([
    [
      'a sample that was flushed is a flush',
      new LineLog('20:00').add('sampled', '21:00', { volumeMl: 1, flushed: true }),
      ['flush'],
    ],
    [
      'one that was not is none',
      new LineLog('20:00').add('sampled', '21:00', { volumeMl: 1, flushed: false }),
      [],
    ],
    [
      'a cap that was flushed is a flush',
      new LineLog('20:00').add('capped', '21:00', { flushed: true }),
      ['flush'],
    ],
    ['one that was not is none', new LineLog('20:00').add('capped', '21:00', { flushed: false }), []],
    [
      'a new set is a source, a run-out and a set',
      new LineLog('20:00').add('sourceChanged', '21:00', { source: { kind: 'syringe' }, newSet: true }),
      ['runOut', 'source', 'set'],
    ],
    [
      'a new bag is no set',
      new LineLog('20:00').add('sourceChanged', '21:00', { source: { kind: 'syringe' }, newSet: false }),
      ['runOut', 'source'],
    ],
    [
      'a transducer joined is all three',
      new LineLog('20:00', { transducer: false }).add('transducerJoined', '21:00', {
        newSet: false,
        flushMode: 'manual',
      }),
      ['runOut', 'source', 'set'],
    ],
    [
      'a redress is a look at the site',
      new LineLog('20:00').add('redressed', '21:00', {}),
      ['finding', 'site', 'redress'],
    ],
    ['a note is nothing', new LineLog('20:00').add('noted', '21:00', { text: 'asleep' }), []],
    [
      'a removal ends a dwell',
      new LineLog('20:00').add('removed', '21:00', { reason: 'planned' }),
      ['dwellLimit', 'dwellWarning', 'stillNeeded'],
    ],
    [
      'a puncture that oozes ended no hold',
      new LineLog('20:00')
        .add('removed', '20:50', { reason: 'death' })
        .add('holdEnded', '21:00', { oozing: true }),
      ['dwellLimit', 'dwellWarning', 'stillNeeded'],
    ],
    [
      'a dry one did',
      new LineLog('20:00')
        .add('removed', '20:50', { reason: 'planned' })
        .add('holdEnded', '21:00', { oozing: false }),
      ['dwellLimit', 'dwellWarning', 'hold', 'stillNeeded'],
    ],
  ])('%s', (_what, log, kinds) => {
    expect(Object.keys(log.state().recent).toSorted()).toEqual(kinds.toSorted());
  });
});

describe('a cat’s line must be out', () => {
  it('at the ward’s limit, or where a clinician moved it to', () => {
    const log = new LineLog('19:30', cat);
    expect(dwellLimitAt(log.state(), policy)).toBe(wall('03:30'));
    log.add('waived', '20:00', {
      duty: 'dwellLimit',
      dueAt: wall('03:30'),
      reason: 'needed',
      until: wall('06:00'),
    });
    expect(dwellLimitAt(log.state(), policy)).toBe(wall('06:00'));
  });
});
