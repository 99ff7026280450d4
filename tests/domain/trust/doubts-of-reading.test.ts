import { describe, expect, it } from 'vitest';
import { foldLine } from '../../../src/domain/fold/fold-line.ts';
import { doubtsOfReading } from '../../../src/domain/trust/doubts-of-reading.ts';
import { LineLog, testWard } from '../../support/line-builder.ts';

const { policy } = testWard();
const doubts = (log: LineLog) => doubtsOfReading(foldLine('a1', log.entries), policy);
const pressures = { sapMmHg: 118, dapMmHg: 64, heartRatePerMin: 100 };
/** Placed 20:00, zeroed and tested at 20:05, as a nurse sets a line up. */
const setUp = () =>
  new LineLog('20:00').add('zeroed', '20:05', {}).add('fastFlushTested', '20:05', { verdict: 'normal' });

// When to zero and test is common practice, no source; why it matters: Gordon VL et al., Med Instrum 1987;21(2):87-91,
// and Gardner RM, Anesthesiology 1981;54:227-236.
describe('the latest reading', () => {
  it('is trusted when it was zeroed and tested this shift and nothing happened since', () => {
    expect(doubts(setUp().add('reading', '22:00', pressures))).toEqual([]);
  });

  it('is doubted when the line was never zeroed nor tested', () => {
    expect(doubts(new LineLog('20:00').add('reading', '20:10', pressures))).toEqual([
      { doubt: 'never zeroed' },
      { doubt: 'never tested' },
    ]);
  });

  it('is doubted after a sample until the line is zeroed again', () => {
    const log = setUp()
      .add('sampled', '21:00', { volumeMl: 1, flushed: true })
      .add('reading', '21:10', pressures);
    expect(doubts(log)).toEqual([{ doubt: 'not zeroed since', why: 'sampled' }]);
    log.add('zeroed', '21:20', {}).add('reading', '21:30', pressures);
    expect(doubts(log)).toEqual([]);
  });

  it('is doubted in a new shift until the shift’s zero and test; done 30 min before the shift they count for it', () => {
    expect(doubts(setUp().add('reading', '2026-11-25 07:30', pressures))).toEqual([
      { doubt: 'not zeroed this shift' },
      { doubt: 'not tested this shift' },
    ]);
    const early = setUp()
      .add('zeroed', '2026-11-25 06:35', {})
      .add('fastFlushTested', '2026-11-25 06:35', { verdict: 'normal' });
    expect(doubts(early.add('reading', '2026-11-25 07:30', pressures))).toEqual([]);
  });

  it.each([
    [3, []],
    [4, [{ doubt: 'zero was off', mmHg: 4 }]],
    [-4, [{ doubt: 'zero was off', mmHg: -4 }]],
  ])(
    'is marked by a zero found %d mmHg off afterwards as %j, with a limit of 3 mmHg',
    (openToAirMmHg, expected) => {
      const log = setUp().add('reading', '22:00', pressures).add('zeroed', '23:00', { openToAirMmHg });
      expect(doubts(log)).toEqual(expected);
    },
  );

  it('is marked by the first zero after it only: what drifted later does not touch it', () => {
    const log = setUp()
      .add('reading', '22:00', pressures)
      .add('zeroed', '23:00', { openToAirMmHg: 0 })
      .add('zeroed', '01:00', { openToAirMmHg: 9 });
    expect(doubts(log)).toEqual([]);
  });

  it('is none where nothing was read', () => {
    expect(doubts(setUp())).toEqual([]);
  });

  it('needs zero and test of its shift: 30 min before it count, 31 do not', () => {
    const at = (done: string) =>
      new LineLog('2026-11-24 20:00')
        .add('zeroed', done, {})
        .add('fastFlushTested', done, { verdict: 'normal' })
        .add('reading', '2026-11-25 07:30', pressures);
    expect(doubts(at('2026-11-25 06:30'))).toEqual([]);
    expect(doubts(at('2026-11-25 06:29'))).toEqual([
      { doubt: 'not zeroed this shift' },
      { doubt: 'not tested this shift' },
    ]);
  });

  it('is doubted once where neither zero nor level followed a move, and where the level did not', () => {
    const moved = () => setUp().add('disturbed', '21:00', { how: 'moved' });
    expect(doubts(moved().add('reading', '21:10', pressures))).toEqual([
      { doubt: 'not zeroed since', why: 'disturbed' },
    ]);
    expect(doubts(moved().add('zeroed', '21:05', {}).add('reading', '21:10', pressures))).toEqual([
      { doubt: 'not levelled since', why: 'disturbed' },
    ]);
  });

  it('is not marked by a transducer that was found level afterwards', () => {
    const read = () => setUp().add('reading', '22:00', pressures);
    expect(doubts(read().add('levelled', '22:30', { belowHeartCm: 0 }))).toEqual([]);
    expect(doubts(read().add('levelled', '22:30', {}))).toEqual([]);
  });

  // 80 and a third of 40 is 93.3; below 10 mmHg of pulse pressure: common practice, no source.
  it.each([
    [{ sapMmHg: 120, dapMmHg: 80, mapMmHg: 110 }, [{ doubt: 'mean misfit', mmHg: 17 }]],
    [{ sapMmHg: 120, dapMmHg: 80, mapMmHg: 93 }, []],
    [{ sapMmHg: 90, dapMmHg: 80 }, []],
    [{ sapMmHg: 89, dapMmHg: 80 }, [{ doubt: 'no pulse pressure', mmHg: 9 }]],
  ])('of %j is doubted by itself: %j', (read, expected) => {
    expect(doubts(setUp().add('reading', '21:00', { heartRatePerMin: 100, ...read }))).toEqual(expected);
  });

  // 20 mmHg: ACVIM device criteria (Brown et al., JVIM 2007;21:542-558, from memory).
  it.each([
    [{ sapMmHg: 98 }, []],
    [{ sapMmHg: 97 }, [{ doubt: 'cuff differs', what: 'systolic', mmHg: 21 }]],
    [{ sapMmHg: 94, dapMmHg: 30 }, [{ doubt: 'cuff differs', what: 'diastolic', mmHg: 34 }]],
    [{ sapMmHg: 150, dapMmHg: 40 }, [{ doubt: 'cuff differs', what: 'systolic', mmHg: -32 }]],
    [{ mapMmHg: 50 }, [{ doubt: 'cuff differs', what: 'mean', mmHg: 32 }]],
  ])('beside a cuff of %j is doubted by what is furthest off: %j', (cuff, expected) => {
    expect(doubts(setUp().add('reading', '21:00', { ...pressures, cuff }))).toEqual(expected);
  });

  it('is marked when the transducer was found 8 cm below the heart afterwards: 5.9 mmHg too high', () => {
    const [doubt] = doubts(
      setUp().add('reading', '22:00', pressures).add('levelled', '22:30', { belowHeartCm: 8 }),
    );
    expect(doubt).toMatchObject({ doubt: 'not level', belowHeartCm: 8 });
    // 8 cm of saline at 0.739 mmHg/cm.
    expect(doubt && 'errorMmHg' in doubt ? doubt.errorMmHg : 0).toBeCloseTo(5.91, 2);
  });

  it.each(['underdamped', 'overdamped', 'cannot tell'] as const)(
    'is doubted while the last test says %s',
    (verdict) => {
      const log = setUp().add('fastFlushTested', '21:00', { verdict }).add('reading', '21:10', pressures);
      expect(doubts(log)).toEqual([{ doubt: 'damping', verdict, afterwards: false }]);
    },
  );

  // A test is done when a number surprises: what it finds was so when the number was read. Gardner 1981, as above.
  it.each(['underdamped', 'overdamped'] as const)(
    'is doubted once the next test finds the line %s',
    (verdict) => {
      const log = setUp().add('reading', '21:10', pressures);
      expect(doubts(log.add('fastFlushTested', '21:20', { verdict }))).toEqual([
        { doubt: 'damping', verdict, afterwards: true },
      ]);
      expect(doubts(log.add('fastFlushTested', '21:30', { verdict: 'normal' }))).toHaveLength(1);
    },
  );

  it('is doubted by the first test that could be judged, and by none of a line renewed or repaired meanwhile', () => {
    const read = () => setUp().add('reading', '21:10', pressures);
    const again = read()
      .add('fastFlushTested', '21:20', { verdict: 'cannot tell' })
      .add('fastFlushTested', '21:25', { verdict: 'overdamped' });
    expect(doubts(again)).toEqual([{ doubt: 'damping', verdict: 'overdamped', afterwards: true }]);
    const good = read()
      .add('fastFlushTested', '21:20', { verdict: 'normal' })
      .add('fastFlushTested', '03:00', { verdict: 'overdamped' });
    expect(doubts(good)).toEqual([]);
    const renewed = read()
      .add('sourceChanged', '21:15', { source: { kind: 'pressure bag' }, newSet: true })
      .add('fastFlushTested', '21:20', { verdict: 'underdamped' });
    expect(doubts(renewed)).toEqual([]);
  });

  it('is doubted when the strip of the next test shows a line too slow for the heart', () => {
    // 25 mm/s and a cycle of 3.5 mm: it rings at 7.1 Hz, where 120 /min asks for some 15 Hz or more.
    const log = setUp()
      .add('reading', '21:10', { ...pressures, heartRatePerMin: 120 })
      .add('fastFlushTested', '21:20', {
        verdict: 'normal',
        strip: {
          paperMmPerS: 25,
          squareMm: 1,
          cycleLength: 3.5,
          cycles: 1,
          definition: 'full cycle',
          heights: { first: 24, next: 12 },
        },
      });
    expect(doubts(log)).toMatchObject([{ doubt: 'response', region: 'borderline', afterwards: true }]);
  });
});
