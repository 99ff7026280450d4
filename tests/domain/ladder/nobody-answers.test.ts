import { describe, expect, it } from 'vitest';
import type { PlannedPost } from '../../../src/domain/ladder/wake-plan.ts';
import type { WardState } from '../../../src/domain/ward/ward-state.ts';
import { clock, hour, LineLog, type PlacedChanges, testWard, wall } from '../../support/line-builder.ts';
import { WardNight } from './ward-night.ts';

/** Who is told when nobody does anything: bounds that keep a phone from being muted are ours, common practice, no source. */

/** A dog in order since 02:00, its next flush due 03:00. */
const dog = (id = 'line-1', changes: PlacedChanges = {}) =>
  new LineLog('20:00', changes, id)
    .inOrder('20:05')
    .add('redressed', '01:50', { finding: {} })
    .inOrder('01:55')
    .add('flushed', '02:00', {});

function run(ward: WardState, lines: LineLog[], until: number): WardNight {
  const night = new WardNight(ward, lines);
  night.runOnTime(wall('02:05'), until);
  return night;
}

const said = (night: WardNight, of: (post: PlannedPost) => boolean) =>
  night.posts.flatMap(({ at, post }) =>
    of(post) ? [`${clock(at)} ${post.to} ${post.what}${'user' in post ? ` ${post.user}` : ''}`] : [],
  );
/** Most messages of one kind of reader within any hour. */
function mostInAnHour(times: readonly number[]): number {
  return Math.max(0, ...times.map((from) => times.filter((at) => at >= from && at < from + hour).length));
}

const unanswered = (post: PlannedPost) =>
  post.to === 'clinician' || post.to === 'backup' || post.what === 'nobody answered';

describe('a clinician who does not answer', () => {
  it('is told three times; then the backup is, and the ward by their name, ever more rarely', () => {
    const night = run(testWard({ backup: 'jorn' }), [dog()], wall('06:30'));
    expect(said(night, unanswered).filter((text) => !text.includes('clinician'))).toEqual([
      '04:50 backup escalation jorn',
      '04:50 ward nobody answered vet',
      '05:20 backup escalation jorn',
      '05:20 ward nobody answered vet',
      '06:20 backup escalation jorn',
      '06:20 ward nobody answered vet',
    ]);
    expect(said(night, (post) => post.to === 'clinician').slice(0, 3)).toEqual([
      '03:20 clinician escalation vet',
      '03:50 clinician escalation vet',
      '04:20 clinician escalation vet',
    ]);
  });

  it('has time to answer each: three findings within minutes ring three times and count as one', () => {
    const swelling = { finding: { swelling: true } };
    const lines = ['03:00', '03:02', '03:04'].map((at, index) =>
      dog(`line-${index}`, { flushMode: 'continuous', site: index === 1 ? 'radial' : 'dorsal pedal' }).add(
        'siteChecked',
        at,
        swelling,
      ),
    );
    const night = run(testWard({ backup: 'jorn' }), lines, wall('04:40'));
    expect(said(night, unanswered)).toEqual([
      '03:00 clinician escalation vet',
      '03:02 clinician escalation vet',
      '03:04 clinician escalation vet',
      '03:34 clinician escalation vet',
      '04:04 clinician escalation vet',
      '04:34 clinician escalation vet',
      '04:34 backup escalation jorn',
      '04:34 ward nobody answered vet',
    ]);
  });

  it('has the ward lead stand behind them where no backup is named, and the ward alone where neither is', () => {
    const backups = (ward: WardState) =>
      said(
        run(ward, [dog()], wall('05:00')),
        (post) => post.to === 'backup' || post.what === 'nobody answered',
      );
    expect(backups(testWard({ lead: 'lea' }))).toEqual([
      '04:50 backup escalation lea',
      '04:50 ward nobody answered vet',
    ]);
    expect(backups(testWard())).toEqual(['04:50 ward nobody answered vet']);
    // Nobody stands behind themselves.
    expect(backups(testWard({ backup: 'vet' }))).toEqual(['04:50 ward nobody answered vet']);
  });
});

describe('a clinician who said that they can’t come, and takes it over after all', () => {
  const duties: [['flush', number]] = [['flush', wall('03:00')]];
  const called = () =>
    dog()
      .add('escalated', '03:20', { duties, to: 'clinician', user: 'vet' })
      .add('noted', '03:25', { text: 'in surgery', cannot: duties[0] }, { by: 'vet' })
      .add('escalated', '03:25', { duties, to: 'backup', user: 'jorn' });

  it('is called again when that ends, and nobody is told any more that they can’t', () => {
    const claimed = called().add('claimed', '03:30', { duties, until: wall('04:00') }, { by: 'vet' });
    const night = new WardNight(testWard({ backup: 'jorn' }), [claimed]);
    night.runOnTime(wall('03:31'), wall('04:29'));
    expect(said(night, unanswered)).toEqual(['04:00 clinician escalation vet']);
  });
});

describe('what somebody took over from a clinician who can’t come, and didn’t get done', () => {
  const duties: [['flush', number]] = [['flush', wall('03:00')]];
  const taken = (by: string) =>
    dog()
      .add('escalated', '03:20', { duties, to: 'clinician', user: 'vet' })
      .add('noted', '03:25', { text: 'in surgery', cannot: duties[0] }, { by: 'vet' })
      .add('escalated', '03:25', { duties, to: 'backup', user: 'jorn' })
      .add('escalated', '03:55', { duties, to: 'backup', user: 'jorn' })
      .add('claimed', '04:00', { duties, until: wall('04:30') }, { by });
  const from = (ward: WardState, log: LineLog) => {
    const night = new WardNight(ward, [log]);
    night.runOnTime(wall('04:01'), wall('05:10'));
    return said(night, unanswered);
  };

  it('goes to the backup and the ward as soon as that ends, and to whoever can’t come only after', () => {
    for (const by of ['jorn', 'nina'])
      expect(from(testWard({ backup: 'jorn' }), taken(by))).toEqual([
        '04:30 backup escalation jorn',
        '04:30 ward nobody answered vet',
        '05:00 clinician escalation vet',
      ]);
  });

  it('goes to the ward where nobody stands behind them', () => {
    expect(from(testWard(), taken('nina'))).toEqual([
      '04:30 ward nobody answered vet',
      '05:00 clinician escalation vet',
      '05:00 ward nobody answered vet',
    ]);
  });
});

describe('nobody on call', () => {
  it('is cried out ever more rarely, and the backup told: two days of one line make few messages', () => {
    const night = run(testWard({ rota: {}, backup: 'jorn' }), [dog()], wall('02:05') + 48 * hour);
    const cries = night.posts.filter(({ post }) => post.what === 'nobody on call');
    expect(cries.length).toBeGreaterThan(5);
    // It was 99.
    expect(cries.length).toBeLessThanOrEqual(24);
    expect(night.posts.filter(({ post }) => post.to === 'backup')).toHaveLength(cries.length);
  });
});

describe('forty lines that nobody looks after', () => {
  it('ring no one phone more than four times an hour', () => {
    const lines = Array.from({ length: 40 }, (_, index) =>
      new LineLog(wall('18:00') + index * 97_000, { nurse: `nurse${index % 3}` }, `line-${index}`).inOrder(
        wall('19:10') + index * 97_000,
      ),
    );
    const night = new WardNight(testWard({ lead: 'lea', backup: 'jorn' }), lines);
    night.runOnTime(wall('20:20'), wall('08:00'));
    const calls = night.posts.flatMap(({ at, post }) => {
      if (post.what === 'nudge') return [{ at, user: post.nurse ?? 'ward' }];
      return 'user' in post && post.to !== 'ward' ? [{ at, user: post.user }] : [];
    });
    const users = Map.groupBy(calls, ({ user }) => user);
    expect([...users.keys()].sort()).toEqual(['jorn', 'lea', 'nurse0', 'nurse1', 'nurse2', 'vet']);
    for (const [user, theirs] of users) {
      const most = mostInAnHour(theirs.map(({ at }) => at));
      expect([user, most <= 4]).toEqual([user, true]);
    }
  }, 60_000);
});

describe('care that is late', () => {
  const pump = () => dog('line-1', { flushMode: 'continuous' });

  it('goes to the nurse in charge of the shift at night, and to the clinician in the morning', () => {
    // The site check of 01:50 is due again at 05:50.
    const night = run(testWard({ inCharge: { night: 'nora' } }), [pump()], wall('07:00'));
    expect(said(night, (post) => post.what === 'escalation')).toEqual([
      '06:05 nurse escalation nina',
      '06:20 lead escalation nora',
      '07:00 clinician escalation vet',
    ]);
  });

  it('wakes the clinician where the ward has made it a danger', () => {
    const night = run(testWard({ dangerFor: ['site'] }), [pump()], wall('06:00'));
    expect(said(night, (post) => post.to === 'clinician')).toEqual(['05:50 clinician escalation vet']);
  });
});

describe('“still needed?”', () => {
  it('is on the clinician’s list of the day, again on the next day’s, and asked of nobody else', () => {
    const lines = ['18:00', '20:30'].map(
      (at, index) => new LineLog(`2026-11-23 ${at}`, { flushMode: 'continuous' }, `line-${index}`),
    );
    const night = new WardNight(testWard(), lines);
    night.runOnTime(wall('2026-11-24 07:00'), wall('2026-11-25 12:00'));
    const asked = night.posts.flatMap(({ at, post }) =>
      'duties' in post && post.duties.some(({ kind }) => kind === 'stillNeeded')
        ? [[at, post.to, post.what, post.duties.length] as const]
        : [],
    );
    expect(asked).toEqual([
      [wall('2026-11-24 09:00'), 'clinician', 'questions', 2],
      [wall('2026-11-25 09:00'), 'clinician', 'questions', 2],
    ]);
  });
});
