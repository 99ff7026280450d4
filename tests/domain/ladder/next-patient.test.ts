import { describe, expect, it } from 'vitest';
import { clock, LineLog, testWard, wall } from '../../support/line-builder.ts';
import { WardNight } from './ward-night.ts';

// Who is called when is the ward's ladder: common practice, no source.

/** A dog in order, its last flush at `flushed`, so the next is a danger 80 min later. */
const dog = (id: string, flushed: string, changes: ConstructorParameters<typeof LineLog>[1] = {}) =>
  new LineLog('20:00', changes, id)
    .inOrder('20:05')
    .add('redressed', '01:50', { finding: {} })
    .inOrder('01:55')
    .add('flushed', flushed, {});

/** When the clinician’s phone rang, and of which lines. */
function rings(run: WardNight): string[] {
  return run.posts.flatMap(({ at, post }) =>
    post.what === 'escalation' && post.to === 'clinician'
      ? [`${clock(at)} ${[...new Set(post.duties.map(({ lineId }) => lineId))].sort().join(' ')}`]
      : [],
  );
}

const night = (...lines: LineLog[]) => {
  const run = new WardNight(testWard({ flushEveryMin: 60 }), lines);
  run.runOnTime(wall('02:00'), wall('04:19'));
  return run;
};

describe('a flush that comes to be a danger while another patient’s message stands', () => {
  it('is written there at once, and rings 20 min after that message, with all that is open', () => {
    const run = night(dog('a', '02:00'), dog('b', '02:05'));
    expect(run.added.filter(({ reader }) => reader === 'clinician')).toMatchObject([
      { at: wall('03:25'), lineId: 'b' },
    ]);
    expect(rings(run)).toEqual(['03:20 a', '03:40 a b', '04:10 a b']);
  });

  it('rings at once where the message is 20 min old', () => {
    expect(rings(night(dog('a', '02:00'), dog('b', '02:20')))).toEqual(['03:20 a', '03:40 a b', '04:10 a b']);
  });

  it('rings once for all that joined, however many', () => {
    const four = [dog('a', '02:00'), dog('b', '02:05'), dog('c', '02:10'), dog('d', '02:12')];
    expect(rings(night(...four)).map((ring) => ring.slice(0, 5))).toEqual(['03:20', '03:40', '04:10']);
  });

  it('waits for the repeat where it is the same patient’s', () => {
    const ward = testWard({ dangerFor: ['site'] });
    const line = new LineLog('20:00', {}, 'a')
      .inOrder('20:05')
      .add('siteChecked', '23:25', { finding: {} })
      .add('flushed', '02:00', {});
    const run = new WardNight(ward, [line]);
    run.runOnTime(wall('02:00'), wall('04:19'));
    // Site check due 03:25, a danger on this ward from then on.
    expect(run.added.filter(({ reader }) => reader === 'clinician')).toMatchObject([{ at: wall('03:25') }]);
    expect(rings(run)).toEqual(['03:20 a', '03:50 a']);
  });
});

describe('late care of a patient whose clinician took over all that they were told', () => {
  it('comes with that message and rings nobody', () => {
    const flush = new LineLog('20:00', {}, 'a')
      .inOrder('20:05')
      .add('siteChecked', '22:15', { finding: {} })
      .add('flushed', '22:15', {});
    const site = new LineLog('19:10', { flushMode: 'continuous' }, 'b').inOrder('19:12');
    const ward = testWard({ waking: { from: '07:00', to: '23:59' } });
    const run = new WardNight(ward, [flush, site]);
    run.runOnTime(wall('22:20'), wall('23:35'));
    run.record('a', {
      at: wall('23:36'),
      told: wall('23:36'),
      by: 'vet',
      via: 'button',
      kind: 'claimed',
      body: { duties: [['flush', wall('23:15')]], until: wall('2026-11-25 00:06') },
    });
    // The site check due 23:10 climbs at 23:40.
    run.runOnTime(wall('23:36'), wall('23:55'));
    expect(rings(run)).toEqual(['23:35 a']);
    expect(run.added.some(({ reader, lineId }) => reader === 'clinician' && lineId === 'b')).toBe(true);
  });
});

describe('“still needed?”', () => {
  const asked = (placedAt: string) => {
    const run = new WardNight(testWard(), [new LineLog(placedAt).inOrder(placedAt)]);
    run.runOnTime(wall(placedAt), wall('2026-11-26 12:00'));
    return run.posts.flatMap(({ at, post }) => (post.what === 'questions' ? [at] : []))[0];
  };

  it.each([
    ['a line placed last evening', '22:30', '2026-11-25 09:00'],
    ['a line placed that night', '07:30', '2026-11-25 09:00'],
    ['a line placed within the hour before', '08:30', '2026-11-26 09:00'],
  ])('is on the list that comes before it is due: %s', (_, placed, at) => {
    expect(asked(placed)).toBe(wall(at));
  });
});
