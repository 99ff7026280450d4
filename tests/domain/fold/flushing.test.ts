import { describe, expect, it } from 'vitest';
import { LineLog, wall } from '../../support/line-builder.ts';

const bag = { kind: 'pressure bag', volumeMl: 250, rateMlPerH: 3 } as const;
const line = () => new LineLog('20:00');
const onPump = () => new LineLog('20:00', { flushMode: 'continuous', source: bag });

describe('blood', () => {
  const discard = { discardMl: 3 } as const;
  it.each<[string, LineLog, number]>([
    ['a sample', line().add('sampled', '20:30', { volumeMl: 2 }), 2],
    ['a sample with its discard', line().add('sampled', '20:30', { volumeMl: 2, ...discard }), 5],
    [
      'not a discard that was given back',
      line().add('sampled', '20:30', { volumeMl: 2, ...discard, discardReturned: true }),
      2,
    ],
    [
      'what a line bled that came apart',
      line().add('disturbed', '20:30', { how: 'disconnected', bloodLostMl: 8 }),
      8,
    ],
    [
      'none where none was seen',
      line().add('disturbed', '20:30', { how: 'disconnected', bloodLostMl: 0 }),
      0,
    ],
    [
      'all of it',
      line()
        .add('sampled', '20:30', { volumeMl: 2 })
        .add('disturbed', '20:40', { how: 'disconnected', bloodLostMl: 8 }),
      10,
    ],
  ])('lost by a line counts %s', (_what, log, ml) => {
    expect(log.state().lostMl).toBe(ml);
  });

  it('of the last 24 h is listed, with whether it was spilt', () => {
    const log = new LineLog('2026-11-23 20:00')
      .add('sampled', '2026-11-23 21:00', { volumeMl: 1 })
      .add('sampled', '2026-11-23 21:01', { volumeMl: 2 })
      .add('disturbed', '2026-11-24 21:00', { how: 'disconnected', bloodLostMl: 8 });
    expect(log.state().samples.map(({ volumeMl, isSpilt }) => [volumeMl, isSpilt])).toEqual([
      [2, undefined],
      [8, true],
    ]);
    expect(line().add('disturbed', '20:30', { how: 'moved' }).state().samples).toEqual([]);
  });
});

describe('flushes by hand', () => {
  it('are counted, with their volume where one was recorded', () => {
    const state = line().add('flushed', '20:30', { volumeMl: 2 }).add('flushed', '21:00', {}).state();
    expect(state).toMatchObject({ flushCount: 2, flushesWithoutVolume: 1, flushedMl: 2 });
    expect(state.handFlushes).toEqual([
      { at: wall('20:30'), by: 'nina', entry: 2, volumeMl: 2, heparinUPerMl: null },
      { at: wall('21:00'), by: 'nina', entry: 3, volumeMl: null, heparinUPerMl: null },
    ]);
  });

  it('of 24 h are kept', () => {
    const log = new LineLog('2026-11-23 20:00')
      .add('flushed', '2026-11-23 21:00', {})
      .add('flushed', '2026-11-23 21:01', {})
      .add('flushed', '2026-11-24 21:00', {});
    expect(log.state().handFlushes.map(({ entry }) => entry)).toEqual([3, 4]);
  });

  it('with heparin say what is in the syringe from then on; on a pump they don’t', () => {
    const byHand = line().add('flushed', '20:30', { heparinUPerMl: 2 });
    expect(byHand.state().source).toEqual({ kind: 'syringe', asOf: wall('20:30'), heparinUPerMl: 2 });
    expect(
      byHand
        .add('flushed', '21:00', {})
        .state()
        .handFlushes.map(({ heparinUPerMl }) => heparinUPerMl),
    ).toEqual([2, 2]);
    const pump = onPump().add('flushed', '20:30', { heparinUPerMl: 2 }).state();
    expect(pump.source).toEqual({ ...bag, asOf: wall('20:00') });
    const known = new LineLog('20:00', { source: { kind: 'syringe', volumeMl: 20 } }).add(
      'flushed',
      '20:30',
      { heparinUPerMl: 2 },
    );
    expect(known.state().source).toEqual({
      kind: 'syringe',
      volumeMl: 20,
      asOf: wall('20:00'),
      heparinUPerMl: 2,
    });
  });
});

describe('the source', () => {
  it('changes with the mode where one was named, and else stays', () => {
    const to = (source?: typeof bag) =>
      line()
        .add('flushModeChanged', '21:00', { mode: 'continuous', ...(source ? { source } : {}) })
        .state();
    expect(to(bag)).toMatchObject({
      flushMode: 'continuous',
      flushModeSince: wall('21:00'),
      source: { ...bag, asOf: wall('21:00') },
    });
    expect(to().source).toBeNull();
    expect(onPump().add('flushModeChanged', '21:00', { mode: 'manual' }).state().source).toEqual({
      ...bag,
      asOf: wall('20:00'),
    });
  });

  it('that is looked at has the volume and pressure that were seen', () => {
    const seen = (body: { pressureMmHg?: number; volumeLeftMl?: number }) =>
      onPump().add('sourceChecked', '21:00', body).state().source;
    expect(seen({})).toEqual({ ...bag, asOf: wall('20:00') });
    expect(seen({ pressureMmHg: 280 })).toEqual({ ...bag, asOf: wall('20:00'), pressureMmHg: 280 });
    expect(seen({ volumeLeftMl: 90 })).toEqual({ ...bag, asOf: wall('21:00'), volumeMl: 90 });
    expect(line().add('sourceChecked', '21:00', { volumeLeftMl: 90 }).state().source).toBeNull();
  });
});
