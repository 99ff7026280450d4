import { describe, expect, it } from 'vitest';
import { foldLine, foldNext, foldSteps } from '../../../src/domain/fold/fold-line.ts';
import type { LineState } from '../../../src/domain/record/line-state.ts';
import { LineLog, placedBody, wall } from '../../support/line-builder.ts';

const line = () => new LineLog('20:00');

describe('a line just placed', () => {
  it('has what was recorded at its placing, and nothing else', () => {
    const state = new LineLog('20:00', {
      operator: 'noor',
      tries: 2,
      indication: 'septic',
      animal: 'b',
    }).state();
    expect(state).toMatchObject({
      version: 1,
      latestAt: wall('20:00'),
      knownSince: wall('20:00'),
      recordedAnimal: 'b',
      site: 'dorsal pedal',
      side: 'left',
      gauge: 20,
      operator: 'noor',
      tries: 2,
      indication: 'septic',
      nurse: 'nina',
      nurseSince: wall('20:00'),
      flushMode: 'manual',
      source: null,
      cappedSpells: [],
    });
    const empty: (keyof LineState)[] = [
      'awaySpells',
      'faults',
      'handFlushes',
      'notes',
      'plannedNurses',
      'pulsesAfterRemoval',
      'samples',
    ];
    for (const key of empty) expect([key, state[key]]).toEqual([key, []]);
    const none: (keyof LineState)[] = [
      'away',
      'finding',
      'flushCause',
      'holdFrom',
      'inError',
      'level',
      'reading',
      'removed',
      'targets',
      'test',
    ];
    for (const key of none) expect([key, state[key]]).toEqual([key, null]);
    expect([state.lostMl, state.flushedMl, state.flushCount, state.flushesWithoutVolume]).toEqual([
      0, 0, 0, 0,
    ]);
    expect([state.marks, state.recent]).toEqual([{}, {}]);
  });

  it('has none of what was not recorded', () => {
    expect(line().state()).toMatchObject({
      operator: null,
      tries: null,
      indication: null,
      screening: null,
      recordedAnimal: null,
    });
    const { side: _side, ...tail } = placedBody({ site: 'median caudal' });
    expect(new LineLog('20:00', tail).state().side).toBeNull();
  });

  it('is the nurse’s from when it was recorded, and asks for zero and test from its placing', () => {
    const [placed] = line().entries;
    if (!placed) throw new Error('none');
    const late = foldLine('a', [{ ...placed, told: wall('20:30') }]);
    expect(late).toMatchObject({ nurseSince: wall('20:30'), knownSince: wall('20:30') });
    expect(late.zeroCause).toEqual({ at: wall('20:00'), entry: 1, why: 'placed' });
    expect(late.testCause).toEqual(late.zeroCause);
  });

  it('throws where its log begins with anything else', () => {
    const [, zero] = line().add('zeroed', '20:05', {}).entries;
    expect(() => foldLine('a', zero ? [zero] : [])).toThrow(
      'line a: the log does not begin with its placing',
    );
    expect(() => foldLine('a', [])).toThrow('a: the log');
  });
});

describe('a fold entry by entry', () => {
  it('asks for the log only where an entry amends, or happened before one that is folded', () => {
    const asked = (at: string, kind: 'flushed' | 'amended') => {
      let times = 0;
      const before = line().add('zeroed', '20:30', {});
      const next = new LineLog('20:00').add(
        kind as 'flushed',
        at,
        kind === 'amended' ? ({ target: 2, strike: 'slip' } as never) : {},
      ).entries[1];
      if (!next) throw new Error('none');
      foldNext(before.state(), next, () => {
        times += 1;
        return before.entries;
      });
      return times;
    };
    expect([asked('20:29', 'flushed'), asked('20:30', 'flushed'), asked('20:31', 'amended')]).toEqual([
      1, 0, 1,
    ]);
  });

  it('passes over kinds whose traces nobody will look at', () => {
    const log = line().add('zeroed', '20:30', {}).add('flushed', '20:40', {});
    const { first, steps } = foldSteps('line-1', log.entries, ['zeroed']);
    expect(first.version).toBe(1);
    expect(steps.map(({ entry }) => entry.kind)).toEqual(['zeroed', 'flushed']);
    expect(steps[0]?.after).toBe(steps[0]?.before);
    expect(steps[1]?.before).toBe(first);
    expect(steps[1]?.after.zeroCause).not.toBeNull();
    expect(foldSteps('line-1', log.entries).steps[0]?.after.zeroCause).toBeNull();
  });
});

describe('what is measured', () => {
  it('open to air and below the heart is kept with when', () => {
    expect(line().add('zeroed', '20:10', { openToAirMmHg: 4 }).state().openToAir).toEqual({
      mmHg: 4,
      at: wall('20:10'),
    });
    expect(line().add('zeroed', '20:10', {}).state().openToAir).toBeNull();
    expect(line().add('levelled', '20:10', { belowHeartCm: 5 }).state().level).toEqual({
      belowHeartCm: 5,
      at: wall('20:10'),
    });
    expect(line().add('levelled', '20:10', {}).state().level).toEqual({ belowHeartCm: 0, at: wall('20:10') });
  });

  it('after a reading says of it what came first', () => {
    const read = () => line().add('reading', '20:10', { sapMmHg: 118, dapMmHg: 64 });
    const after = read()
      .add('zeroed', '20:20', { openToAirMmHg: 2 })
      .add('zeroed', '20:30', { openToAirMmHg: 9 })
      .add('levelled', '20:20', { belowHeartCm: 3 })
      .add('levelled', '20:30', { belowHeartCm: 9 })
      .state().reading;
    expect(after).toMatchObject({
      zeroAfter: { at: wall('20:20'), openToAirMmHg: 2 },
      levelAfter: { belowHeartCm: 3 },
    });
    expect(read().add('zeroed', '20:20', {}).state().reading?.zeroAfter).toEqual({
      at: wall('20:20'),
      openToAirMmHg: null,
    });
  });

  it('targets stand until they are ended', () => {
    const set = () =>
      line().add('targetsSet', '20:10', { mapMmHg: { low: 70 }, reason: 'head', until: wall('23:00') });
    expect(set().state().targets).toMatchObject({ at: wall('20:10'), by: 'nina', endedAt: null, entry: 2 });
    expect(set().add('targetsEnded', '21:00', {}).state().targets?.endedAt).toBe(wall('21:00'));
    expect(line().add('targetsEnded', '21:00', {}).state().targets).toBeNull();
  });
});
