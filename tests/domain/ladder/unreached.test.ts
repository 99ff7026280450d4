import { describe, expect, it } from 'vitest';
import { foldWardNext, type WardState } from '../../../src/domain/ward/ward-state.ts';
import { clock, LineLog, testWard, wall } from '../../support/line-builder.ts';
import { WardNight } from './ward-night.ts';

/** A dog in order since 02:00, its next flush due 03:00; nurse nina, vet on call. */
const dog = () =>
  new LineLog('20:00')
    .inOrder('20:05')
    .add('redressed', '01:50', { finding: {} })
    .inOrder('01:55')
    .add('flushed', '02:00', {});

/** The ward once a direct message to each of these was found not to be read, at that time. */
const unreached = (ward: WardState, ...whom: [user: string, at: string][]) =>
  whom.reduce(
    (after, [user, at]) =>
      foldWardNext(after, {
        kind: 'unreached',
        body: { user },
        at: wall(at),
        told: wall(at),
        by: 'bot',
        via: 'bot',
      }),
    ward,
  );

function told(ward: WardState, until: string): string[] {
  const night = new WardNight(ward, [dog()]);
  night.runOnTime(wall('02:05'), wall(until));
  return night.posts.flatMap(({ at, post }) =>
    'user' in post || post.what === 'nobody on call'
      ? [`${clock(at)} ${post.to}${'user' in post ? ` ${post.user}` : ''}`]
      : [],
  );
}

/** Whom the ladder passes over, and who is told when instead: our rule, common practice, no source. */
describe('somebody whom no direct message reaches', () => {
  it('as the nurse: whoever leads the nurses hears at the nurse’s time, the clinician when the flush may clot', () => {
    expect(told(unreached(testWard({ lead: 'lea' }), ['nina', '02:30']), '03:25')).toEqual([
      '03:10 lead lea',
      '03:20 clinician vet',
    ]);
  });

  it('as the nurse without a lead, at night: no clinician is woken for care before it is a danger', () => {
    expect(told(unreached(testWard(), ['nina', '02:30']), '03:25')).toEqual(['03:20 clinician vet']);
  });

  it('as the clinician on call: the backup is called in their place, and the lead stands behind', () => {
    const ward = unreached(testWard({ backup: 'bea', lead: 'lea' }), ['vet', '02:30']);
    expect(told(ward, '05:00')).toEqual([
      '03:10 nurse nina',
      '03:20 clinician bea',
      '03:50 clinician bea',
      '04:20 clinician bea',
      '04:50 clinician bea',
      '04:50 backup lea',
      '04:50 ward bea',
    ]);
  });

  it('found out just then: what they were told is told to the next at once', () => {
    const before = testWard({ backup: 'bea' });
    const night = new WardNight(before, [dog()]);
    night.runOnTime(wall('02:05'), wall('03:20'));
    night.ward = unreached(night.ward, ['vet', '03:20']);
    night.runOnTime(wall('03:20'), wall('03:21'));
    expect(night.posts.at(-1)).toMatchObject({
      at: wall('03:20'),
      post: { to: 'clinician', what: 'escalation', user: 'bea' },
    });
  });

  it('as everybody who could be called: it is cried out to the ward', () => {
    expect(told(unreached(testWard(), ['vet', '02:30']), '03:25')).toEqual([
      '03:10 nurse nina',
      '03:20 ward',
    ]);
  });

  it('is tried again after four hours, and at once when named anew', () => {
    const ward = unreached(testWard({ backup: 'bea' }), ['vet', '02:30']);
    const anew = foldWardNext(ward, {
      kind: 'onCallSet',
      body: { user: 'vet' },
      at: wall('02:40'),
      told: wall('02:40'),
      by: 'nina',
      via: 'command',
    });
    expect(told(anew, '03:25')).toContain('03:20 clinician vet');
    const earlier = unreached(testWard({ backup: 'bea' }), ['vet', '23:00']);
    expect(told(earlier, '03:25')).toContain('03:20 clinician vet');
  });
});
