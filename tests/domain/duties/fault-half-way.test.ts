import { describe, expect, it } from 'vitest';
import { planWake } from '../../../src/domain/ladder/plan-wake.ts';
import { visitsBetween } from '../../../src/domain/rounds/visit.ts';
import { LineLog, minute, testWard, wall } from '../../support/line-builder.ts';

const ward = testWard();

/** A line in order, on whose trace somebody began to work at 22:00. */
const begun = () => new LineLog('20:10').inOrder('20:15').add('faultOpened', '22:00', { sign: 'flat' });
const owed = (log: LineLog, at: string) => log.duty('faultOpen', ward.policy, at);

// 5 min: common practice, no source.
describe('a fault that was begun and left', () => {
  it('is asked after 5 min from its latest step, whoever told it, and as the ward has set it', () => {
    expect(owed(begun(), '22:01')).toMatchObject({ dueAt: wall('22:05'), why: 'fault open' });
    const gone = begun().add('faultStep', '22:03', { step: 'flat.patient', answer: 'good' }, { by: 'teo' });
    expect(owed(gone, '22:04')).toMatchObject({ dueAt: wall('22:08') });
    const slow = testWard({ faultAskMin: 10 }).policy;
    expect(begun().duty('faultOpen', slow, '22:01')).toMatchObject({ dueAt: wall('22:10') });
  });

  it('counts from when it was told, where it was told late', () => {
    const late = new LineLog('20:10').add('faultOpened', '22:00', { sign: 'flat' }, { told: wall('22:30') });
    expect(owed(late, '22:31')).toMatchObject({ dueAt: wall('22:35') });
  });

  it('is owed no more once it is closed, resolved or not, or the line is out; of two, the one left longest', () => {
    for (const resolved of [true, false])
      expect(owed(begun().add('faultClosed', '22:04', { resolved }), '22:10')).toBeUndefined();
    expect(owed(begun().add('removed', '22:04', { reason: 'occluded' }), '22:10')).toBeUndefined();
    const two = begun().add('faultOpened', '22:02', { sign: 'spiky' });
    expect(owed(two, '22:10')).toMatchObject({ dueAt: wall('22:05') });
    expect(owed(two.add('faultClosed', '22:04', { resolved: true, sign: 'flat' }), '22:10')).toMatchObject({
      dueAt: wall('22:07'),
    });
  });

  it('of two, the one whose latest step is longer ago, whichever was opened first', () => {
    const two = begun()
      .add('faultOpened', '22:02', { sign: 'spiky' })
      .add('faultStep', '22:03', { step: 'flat.patient', answer: 'good' });
    expect(owed(two, '22:10')).toMatchObject({ dueAt: wall('22:07') });
  });

  it('is told to the ward when it is due, climbs, and is in the next round', () => {
    const line = begun().state();
    const posts = (at: number) =>
      planWake(ward, [line], at).posts.flatMap((post) =>
        'duties' in post && post.duties.some(({ kind }) => kind === 'faultOpen') ? [post.what] : [],
      );
    expect(posts(wall('22:05') - minute)).toEqual([]);
    expect(posts(wall('22:05'))).toEqual(['nudge']);
    expect(posts(wall('22:05') + ward.policy.graceMin.nurse * minute)).toContain('escalation');
    const at = wall('22:06');
    const [next] = visitsBetween([line], ward.policy, at, at + 60 * minute);
    expect(next?.duties.map(({ kind }) => kind)).toContain('faultOpen');
  });
});
