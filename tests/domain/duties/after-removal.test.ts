import { describe, expect, it } from 'vitest';
import { dutyStatus } from '../../../src/domain/duties/duty-status.ts';
import { planWake } from '../../../src/domain/ladder/plan-wake.ts';
import { failureOf, removalReasons } from '../../../src/domain/record/removal-reasons.ts';
import { clock, LineLog, testWard, wall } from '../../support/line-builder.ts';

const { policy } = testWard();
const out = (
  body: {
    reason?: (typeof removalReasons)[number];
    tipWhole?: boolean;
    pieceFound?: boolean;
    finding?: object;
  } = {},
) => new LineLog('16:00').inOrder('16:05').add('removed', '20:00', { reason: 'planned', ...body });
/** When the clinician's look came due; none where nothing is asked of them. */
const look = (log: LineLog, at: string) => {
  const owed = log.duty('finding', policy, at);
  return owed ? clock(owed.dueAt) : 'none';
};

describe('why a line came out', () => {
  // The list a ward asked for; planned, dwell limit, death and transfer are not the line's own failure.
  it('is one of ten, six of them failures of the line', () => {
    expect(removalReasons).toEqual([
      'planned',
      'dwell limit',
      'occluded',
      'dislodged',
      'bleeding',
      'swelling',
      'infection',
      'pulse or limb change',
      'death',
      'transfer',
    ]);
    expect(removalReasons.filter((reason) => failureOf(reason) === null)).toEqual([
      'planned',
      'dwell limit',
      'death',
      'transfer',
    ]);
  });
});

// That a catheter not whole and a limb that does not come back are for a clinician at once: common practice, no source.
describe('a catheter that came out not whole', () => {
  it('is the clinician’s from the moment it was told, and no look at the site ends that', () => {
    const log = out({ tipWhole: false });
    expect(look(log, '20:00')).toBe('20:00');
    log.add('siteChecked', '20:30', { finding: {} }).add('pulseChecked', '21:00', { pulse: 'present' });
    expect(look(log, '21:00')).toBe('20:00');
  });

  it('is asked about again after a decision while the limb is followed up; then the decision is the last word', () => {
    const decided = () =>
      out({ tipWhole: false }).add('waived', '20:10', {
        duty: 'finding',
        dueAt: wall('20:00'),
        reason: 'piece seen on the film, surgeon knows',
        until: wall('2026-11-25 22:00'),
      });
    expect(look(decided(), '2026-11-25 22:00')).toBe('22:00');
    const followedUp = decided()
      .add('pulseChecked', '21:00', { pulse: 'present' })
      .add('pulseChecked', '2026-11-25 20:00', { pulse: 'present' });
    expect(look(followedUp, '2026-11-25 21:59')).toBe('22:00');
    expect(look(followedUp, '2026-11-25 22:00')).toBe('none');
    const undecided = out({ tipWhole: false })
      .add('pulseChecked', '21:00', { pulse: 'present' })
      .add('pulseChecked', '2026-11-25 20:00', { pulse: 'present' });
    expect(look(undecided, '2026-11-25 22:00')).toBe('20:00');
    const cold = decided()
      .add('pulseChecked', '21:00', { pulse: 'present' })
      .add('pulseChecked', '2026-11-25 20:00', { pulse: 'absent' });
    expect(look(cold, '2026-11-25 22:00')).toBe('20:00');
  });

  it('that is being asked about is the clinician’s to answer: no pulse check ends that', () => {
    const log = out({ tipWhole: false })
      .add('waived', '20:10', {
        duty: 'finding',
        dueAt: wall('20:00'),
        reason: 'surgeon looks in the morning',
        until: wall('2026-11-25 08:00'),
      })
      .add('pulseChecked', '21:00', { pulse: 'present' })
      .add('pulseChecked', '2026-11-25 20:00', { pulse: 'present' });
    expect(look(log, '2026-11-25 20:00')).toBe('08:00');
    log.add('waived', '2026-11-25 20:05', {
      duty: 'finding',
      dueAt: wall('2026-11-25 08:00'),
      reason: 'stays where it is',
      until: wall('2026-11-25 22:00'),
    });
    expect(look(log, '2026-11-25 22:00')).toBe('none');
    const asked = { lineId: 'line-1', kind: 'finding' as const, dueAt: wall('2026-11-25 08:00') };
    const [at, now] = [wall('2026-11-25 20:00'), wall('2026-11-25 22:00')];
    expect(dutyStatus(log.state(), policy, asked, at, now)).toMatchObject({
      is: 'let go',
      reason: 'stays where it is',
    });
  });

  it('takes no other sign along: what was seen at the site is asked about until somebody looks again', () => {
    const log = new LineLog('16:00')
      .add('siteChecked', '18:00', { finding: { swelling: true } })
      .add('removed', '20:00', { reason: 'planned', tipWhole: false })
      .add('waived', '20:10', {
        duty: 'finding',
        dueAt: wall('20:00'),
        reason: 'piece stays, swelling to be seen again',
        until: wall('2026-11-25 22:00'),
      })
      .add('pulseChecked', '21:00', { pulse: 'present' })
      .add('pulseChecked', '2026-11-25 20:00', { pulse: 'present' });
    expect(look(log, '2026-11-25 22:00')).toBe('22:00');
    expect(look(log.add('siteChecked', '2026-11-25 22:10', { finding: {} }), '2026-11-25 22:10')).toBe(
      'none',
    );
  });

  it('is settled when the piece is found, or the tip was whole after all', () => {
    const asked = { lineId: 'line-1', kind: 'finding' as const, dueAt: wall('20:00') };
    for (const body of [{ pieceFound: true }, { tipWhole: true }]) {
      const log = out({ tipWhole: false }).add('amended', '21:00', { target: 4, body });
      expect(look(log, '21:00')).toBe('none');
      expect(dutyStatus(log.state(), policy, asked, wall('20:00'), wall('21:00'))).toEqual({ is: 'over' });
    }
  });

  it('is news when it is told later than the removal', () => {
    const log = out().add('amended', '20:40', { target: 4, body: { tipWhole: false } });
    expect(look(log, '20:40')).toBe('20:40');
  });

  it.each([
    [{ tipWhole: true }, 'none'],
    [{}, 'none'],
    [{ tipWhole: false, pieceFound: true }, 'none'],
    [{ tipWhole: false, reason: 'death' as const }, 'none'],
    [{ tipWhole: false, reason: 'transfer' as const }, '20:00'],
  ])('with %j is owed: %s', (body, expected) => {
    expect(look(out(body), '20:01')).toBe(expected);
  });
});

describe('what was seen at the removal', () => {
  it('is the clinician’s of a patient that was transferred too, for a day', () => {
    const log = out({ reason: 'transfer', finding: { ooze: true } });
    expect(look(log, '20:00')).toBe('20:00');
    expect(look(log, '2026-11-25 19:59')).toBe('20:00');
    expect(look(log, '2026-11-25 20:00')).toBe('none');
  });

  it('is not what had been seen of a patient before it was transferred', () => {
    const log = new LineLog('16:00')
      .add('siteChecked', '18:00', { finding: { swelling: true } })
      .add('removed', '20:00', { reason: 'transfer' });
    expect(look(log, '20:00')).toBe('none');
  });

  it('ends what was seen before, when it was looked at and nothing was amiss; untold it ends nothing', () => {
    const swollen = () => new LineLog('16:00').add('siteChecked', '18:00', { finding: { swelling: true } });
    expect(look(swollen().add('removed', '20:00', { reason: 'planned', finding: {} }), '20:00')).toBe('none');
    expect(look(swollen().add('removed', '20:00', { reason: 'planned' }), '20:00')).toBe('18:00');
  });
});

describe('a puncture that oozes after the hold', () => {
  it('is held again, and is the clinician’s when it oozes after that', () => {
    const log = out().add('holdEnded', '20:06', { oozing: true });
    expect(log.duty('hold', policy, '20:06')).toMatchObject({ dueAt: wall('20:11') });
    expect(look(log, '20:06')).toBe('none');
    log.add('holdEnded', '20:12', { oozing: true });
    expect(look(log, '20:12')).toBe('20:12');
    expect(log.state().finding).toMatchObject({ site: { ooze: true } });
    log.add('holdEnded', '20:20', { oozing: false });
    expect(log.duty('hold', policy, '20:20')).toBeUndefined();
    expect(look(log, '20:20')).toBe('20:12');
    expect(look(log.add('siteChecked', '20:25', { finding: {} }), '20:25')).toBe('none');
  });
});

it('a first hold that is told late makes the second news from then, and once', () => {
  const log = out({ finding: { swelling: true } }).add('holdEnded', '20:06', { oozing: true });
  expect(look(log, '20:06')).toBe('20:00');
  log.add('holdEnded', '20:03', { oozing: true }, { told: wall('20:40') });
  expect(look(log, '20:40')).toBe('20:40');
});

describe('a pulse after removal', () => {
  type Felt = 'present' | 'weak' | 'absent' | 'cannot tell';
  const felt = (...checks: [string, Felt, boolean?][]) => {
    const log = out();
    for (const [at, pulse, cold] of checks)
      log.add('pulseChecked', at, { pulse, ...(cold === undefined ? {} : { cold }) });
    return log;
  };

  it.each<[string, [string, Felt, boolean?][], string]>([
    ['absent at the first check', [['21:00', 'absent']], '21:00'],
    ['weak and cold at the first check', [['21:00', 'weak', true]], '21:00'],
    ['present and cold', [['21:00', 'present', true]], '21:00'],
    ['weak at the first check', [['21:00', 'weak']], 'none'],
    ['not to be told at the first check', [['21:00', 'cannot tell']], 'none'],
    [
      'weak again',
      [
        ['21:00', 'weak'],
        ['21:30', 'weak'],
      ],
      '21:30',
    ],
    [
      'weak and then not to be told',
      [
        ['21:00', 'weak'],
        ['02:00', 'cannot tell'],
      ],
      '02:00',
    ],
    [
      'weak after it was present',
      [
        ['21:00', 'present'],
        ['06:00', 'weak'],
      ],
      '06:00',
    ],
    ['weak at a first check 6 h after', [['02:00', 'weak']], 'none'],
    ['weak at a first check more than 6 h after', [['02:01', 'weak']], '02:01'],
    [
      'weak and then present',
      [
        ['21:00', 'weak'],
        ['22:00', 'present'],
      ],
      'none',
    ],
    [
      'weak twice and then present',
      [
        ['21:00', 'weak'],
        ['22:00', 'weak'],
        ['23:00', 'present'],
      ],
      'none',
    ],
    [
      'absent and then weak: better, and told already',
      [
        ['21:00', 'absent'],
        ['22:00', 'weak'],
      ],
      '21:00',
    ],
  ])('%s', (_title, checks, expected) => {
    const last = checks.at(-1)?.[0] ?? '';
    expect(look(felt(...checks), last)).toBe(expected);
  });

  it('of which an amendment makes a worse one is news from when that was told', () => {
    const log = felt(['21:00', 'present'], ['22:00', 'present']);
    log.add('amended', '22:30', { target: 6, body: { pulse: 'weak' } });
    expect(look(log, '22:30')).toBe('22:30');
  });
});

// Common practice, no source: nobody is late for what they could not be reminded of.
describe('a removal that is told 3 h later', () => {
  const told = wall('23:00');
  const late = () =>
    new LineLog('19:30').add('removed', '20:00', { reason: 'planned', finding: {} }, { told });
  const postsAt = (log: LineLog, now: string) =>
    planWake(testWard(), [log.state()], wall(now)).posts.flatMap((post) =>
      'duties' in post ? post.duties.map(({ kind }) => `${post.to} ${kind}`) : [],
    );

  it('asks the ward for the first pulse check from then on, and calls nobody for the hours before', () => {
    const check = late().duty('pulse', testWard().policy, told);
    expect(clock(check?.dueAt ?? 0)).toBe('23:00');
    expect(postsAt(late(), '23:00')).toEqual(['ward pulse']);
    expect(clock(late().duty('pulseNextDay', testWard().policy, told)?.dueAt ?? 0)).toBe('20:00');
  });

  it('takes a check of before it was told, from half an hour after the removal on', () => {
    const checked = (at: string) => late().add('pulseChecked', at, { pulse: 'present' }, { told });
    expect(checked('20:29').duty('pulse', testWard().policy, told)).toBeDefined();
    expect(checked('20:30').duty('pulse', testWard().policy, told)).toBeUndefined();
  });
});
