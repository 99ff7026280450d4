import { describe, expect, it } from 'vitest';
import type { WardState } from '../../../src/domain/ward/ward-state.ts';
import { WardNight } from '../../domain/ladder/ward-night.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';
import { asked, composed, post } from './compose-for-test.ts';

/** The night begins at 19:00; its first round is asked for 5 min before (docs/decisions/007-visits.md). Common practice, no source. */
describe('the round that starts a shift', () => {
  const line = () =>
    new LineLog('15:00', { flushMode: 'continuous' })
      .inOrder('15:05')
      .add('siteChecked', '18:30', { finding: {} });
  const handover = {
    for: wall('19:00'),
    auto: true,
    postedAt: wall('18:45'),
    accepted: null,
    nudgedAt: null,
  };
  const duties = { zero: '19:00', test: '19:00', source: '19:00' } as const;

  const begun = (log: LineLog, ward: WardState) => {
    const run = new WardNight(ward, [log]);
    return [wall('18:54'), wall('18:55')].map((at) =>
      run
        .wake(at)
        .flatMap((one) =>
          one.what === 'nudge' ? [[one.nurse, one.duties.map(({ kind }) => kind).sort()]] : [],
        ),
    );
  };
  const kinds = ['source', 'test', 'zero'];
  const round = async (log: LineLog, ward: WardState, at: string) => {
    const state = log.state();
    const visit = post('nudge', '18:55', {
      asked: asked(state, duties),
      about: { what: 'visit', user: 'nina' },
    });
    return (await composed(visit, ward, [state], at)).text;
  };

  it('is with whoever takes over until somebody has: whoever goes off is not called', async () => {
    const ward = { ...testWard(), handovers: [handover] };
    expect(begun(line(), ward)).toEqual([[], [['nina', kinds]]]);
    expect(await round(line(), ward, '18:55')).toMatch(/^Due 19:00, with whoever takes over: /);
    expect(await round(line(), ward, '19:02')).toMatch(/^Due 19:00, with whoever takes over: /);
    const accepted = { ...handover, accepted: { at: wall('19:03'), by: 'teo' } };
    expect(await round(line(), { ...ward, handovers: [accepted] }, '19:04')).toMatch(
      /^Due 19:00, with <@teo>/,
    );
  });

  it('is with the nurse who was given the line for that shift, before it begins', async () => {
    const given = line().add('assigned', '18:00', { nurse: 'teo', from: wall('19:00') });
    const ward = { ...testWard(), handovers: [handover] };
    expect(begun(given, ward)).toEqual([[], [['teo', kinds]]]);
    expect(await round(given, ward, '18:55')).toMatch(/^Due 19:00, with <@teo>/);
  });

  it('leaves the look after a hold with the nurse who is on, a minute before she goes off', async () => {
    const out = line().add('removed', '18:52', { reason: 'planned', finding: {} });
    const ward = { ...testWard(), handovers: [handover] };
    const state = out.state();
    const hold = post('nudge', '18:59', { asked: asked(state, { hold: '18:57' }) });
    expect((await composed(hold, ward, [state], '18:59')).text).toMatch(/^Due now, with <@nina>/);
  });

  it('doesn’t call due at the start of the shift what was due before it', async () => {
    const ward = { ...testWard(), handovers: [handover] };
    const state = line().add('flushModeChanged', '17:58', { mode: 'manual' }).state();
    const visit = post('nudge', '18:58', {
      asked: asked(state, { flush: '18:58', zero: '19:00' }),
      about: { what: 'visit', user: 'nina' },
    });
    expect((await composed(visit, ward, [state], '18:58')).text).toMatch(
      /^Due now, with whoever takes over: /,
    );
  });

  it('leaves an earlier round with the nurse who is on', async () => {
    const ward = { ...testWard(), handovers: [handover] };
    const state = line().add('flushModeChanged', '17:50', { mode: 'manual' }).state();
    const earlier = post('nudge', '18:50', {
      asked: asked(state, { flush: '18:50' }),
      about: { what: 'visit', user: 'nina' },
    });
    expect((await composed(earlier, ward, [state], '18:56')).text).toMatch(/^Due now, with <@nina>/);
  });
});
