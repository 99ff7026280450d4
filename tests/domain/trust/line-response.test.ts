import { describe, expect, it } from 'vitest';
import { defaultFlushTestRegions, wantedHz } from '../../../src/domain/dynamic-response/regions.ts';
import { foldLine } from '../../../src/domain/fold/fold-line.ts';
import type { LineState } from '../../../src/domain/record/line-state.ts';
import { type Doubt, doubtsOfReading, stillUsable } from '../../../src/domain/trust/doubts-of-reading.ts';
import { latestRate, measuredLine, pressuresShown } from '../../../src/domain/trust/line-response.ts';
import { LineLog, type PlacedChanges, testWard, wall } from '../../support/line-builder.ts';

const { policy } = testWard();
const doubts = (log: LineLog) => doubtsOfReading(foldLine('a1', log.entries), policy);

/** A strip at 50 mm/s whose three cycles are 9.68 mm long, swings 40 and 17.8 mm: 16.0 Hz and 0.25. */
const ringing = {
  paperMmPerS: 50,
  squareMm: 1,
  cycleLength: 9.68,
  cycles: 3,
  definition: 'half cycle',
  heights: { first: 40, next: 17.8 },
} as const;
const wide = { sapMmHg: 150, dapMmHg: 60, mapMmHg: 90 };

type Test = Omit<NonNullable<LineState['test']>, 'at'>;
/** Placed 20:00, zeroed and tested at 20:05. */
const tested = (test: Test, changes: PlacedChanges = {}) =>
  new LineLog('20:00', changes).add('zeroed', '20:05', {}).add('fastFlushTested', '20:05', test);
const byEye: Test = { verdict: 'normal' };

// By hand from the second-order equations and independently recomputed: 50 / (9.68 / 3) = 15.50 Hz, ratio 0.445, damping
// 0.25, natural frequency 15.50 / sqrt(1 - 0.25²) = 16.00 Hz. Five harmonics and more of 110 to 240 /min lie where such a
// line amplifies (Gardner RM, Anesthesiology 1981;54:227-236: an underdamped line reads the systolic too high, the mean
// hardly changes).
describe('a line of 16 Hz with damping 0.25 and a pulse of 150 over 60', () => {
  it.each([
    [110, 8, 'underdamped'],
    [150, 14, 'underdamped'],
    [200, 17.5, 'underdamped'],
    [240, 18, 'underdamped'],
  ])('at %i /min reads the systolic some %d mmHg too high: %s, go by the mean', (perMin, mmHg, region) => {
    const log = tested({ verdict: 'normal', strip: ringing }).add('reading', '21:00', {
      ...wide,
      heartRatePerMin: perMin,
    });
    const found = doubts(log);
    expect(found).toMatchObject([{ doubt: 'response', region, perMin, rateFrom: 'reading' }]);
    const [doubt] = found;
    const error = doubt?.doubt === 'response' ? doubt.error : null;
    expect(Math.abs((error?.value.sapMmHg ?? 0) - mmHg)).toBeLessThanOrEqual(0.5);
    expect(error?.value.mapMmHg).toBeCloseTo(0, 6);
    expect(stillUsable(found, wide)).toEqual({ use: 'mean', mmHg: 90, after: 'nothing' });
  });

  it('is derived anew from each reading’s heart rate, whatever the test was told with', () => {
    const log = tested({ verdict: 'normal', strip: ringing, heartRatePerMin: 200 });
    log.add('reading', '21:00', { sapMmHg: 100, dapMmHg: 60, heartRatePerMin: 60 });
    expect(doubts(log)).toEqual([]);
    log.add('reading', '22:00', { sapMmHg: 100, dapMmHg: 60, heartRatePerMin: 180 });
    expect(doubts(log)).toMatchObject([{ doubt: 'response', perMin: 180 }]);
    log.add('reading', '22:10', { sapMmHg: 100, dapMmHg: 60 });
    expect(doubts(log)).toMatchObject([{ doubt: 'response', perMin: 200, rateFrom: 'test' }]);
  });

  it('is the same when it was read from an upload', () => {
    const read = { naturalHz: 16, damping: 0.25 };
    const log = tested({ verdict: 'normal', read, heartRatePerMin: 110 }).add('reading', '21:00', wide);
    const [doubt] = doubts(log);
    expect(doubt).toMatchObject({ doubt: 'response', region: 'underdamped', perMin: 110 });
    const error = doubt?.doubt === 'response' ? doubt.error : null;
    expect(Math.round(error?.value.sapMmHg ?? 0)).toBe(8);
  });

  it('is doubted without any heart rate, with the rate up to which the line is good', () => {
    const log = tested({ verdict: 'normal', strip: ringing }).add('reading', '21:00', wide);
    expect(doubts(log)).toEqual([{ doubt: 'rate not recorded', upToPerMin: 80, by: 'strip' }]);
    const small = tested({ verdict: 'normal', strip: ringing }).add('reading', '21:00', {
      sapMmHg: 100,
      dapMmHg: 70,
    });
    // 8 × 120 /min asks for 16.0 Hz.
    expect(doubts(small)).toEqual([{ doubt: 'rate not recorded', upToPerMin: 120, by: 'strip' }]);
  });

  it('is good at no heart rate of a cat on a wide pulse', () => {
    const log = tested({ verdict: 'normal', strip: ringing }, { patient: { species: 'cat', weightKg: 4 } });
    expect(doubts(log.add('reading', '21:00', { ...wide, sapMmHg: 180 }))).toEqual([
      { doubt: 'rate not recorded', upToPerMin: null, by: 'strip' },
    ]);
  });
});

describe('a line that is good at any heart rate', () => {
  it('needs none told', () => {
    const read = { naturalHz: 45, damping: 0.6 };
    expect(doubts(tested({ verdict: 'normal', read }).add('reading', '21:00', wide))).toEqual([]);
  });

  it('is doubted all the same where the strip could not be judged', () => {
    const read = { naturalHz: 45, damping: 0.6 };
    expect(doubts(tested({ verdict: 'cannot tell', read }).add('reading', '21:00', wide))).toEqual([
      { doubt: 'damping', verdict: 'cannot tell', afterwards: false },
    ]);
  });
});

// Eight Beagles' lines, the slowest 14 Hz (22 G dorsal pedal, 275 cm of tubing); at least five harmonics must pass
// (Deranged Physiology): 14 × 60 / 5 = 168 /min, rounded down.
describe('a test judged by eye', () => {
  it('is enough up to a rate at which the slowest published line of dogs still passes five harmonics', () => {
    const five = { ...defaultFlushTestRegions, wantedMultiple: 5 };
    expect(wantedHz(five, policy.byEyeUpToPerMin)).toBeLessThanOrEqual(14);
    expect(wantedHz(five, policy.byEyeUpToPerMin + 10)).toBeGreaterThan(14);
  });

  it.each([
    [160, []],
    [161, [{ doubt: 'by eye', perMin: 161, rateFrom: 'reading' }]],
    [200, [{ doubt: 'by eye', perMin: 200, rateFrom: 'reading' }]],
  ])('at %i /min leaves %j', (heartRatePerMin, expected) => {
    expect(doubts(tested(byEye).add('reading', '21:00', { ...wide, heartRatePerMin }))).toEqual(expected);
  });

  it('takes the heart rate told with it, where the reading has none', () => {
    const at200 = tested({ verdict: 'normal', heartRatePerMin: 200 }).add('reading', '21:00', wide);
    expect(doubts(at200)).toEqual([{ doubt: 'by eye', perMin: 200, rateFrom: 'test' }]);
  });

  it('without any heart rate says up to which it is good; beside another doubt that is left out', () => {
    const log = tested(byEye).add('reading', '21:00', wide);
    expect(doubts(log)).toEqual([{ doubt: 'rate not recorded', upToPerMin: 160, by: 'eye' }]);
    log.add('sampled', '21:10', { volumeMl: 1, flushed: true }).add('reading', '21:20', wide);
    expect(doubts(log)).toEqual([{ doubt: 'not zeroed since', why: 'sampled' }]);
  });

  it('is settled by a strip of the same line afterwards, good or bad', () => {
    const read = () => tested(byEye).add('reading', '21:00', { ...wide, heartRatePerMin: 200 });
    const strip = { naturalHz: 45, damping: 0.6 };
    expect(doubts(read().add('fastFlushTested', '21:05', { verdict: 'normal', read: strip }))).toEqual([]);
    expect(
      doubts(read().add('fastFlushTested', '21:05', { verdict: 'normal', strip: ringing })),
    ).toMatchObject([{ doubt: 'response', perMin: 200, afterwards: true }]);
    const again = read().add('fastFlushTested', '21:05', { verdict: 'normal' });
    expect(doubts(again)).toMatchObject([{ doubt: 'by eye' }]);
  });
});

// Gardner 1981, as above: the mean hardly suffers from the line's response; a wrong zero or height moves all three.
describe('what can still be used of a doubted reading', () => {
  it.each([
    ['underdamped', (log: LineLog) => log, { use: 'mean', mmHg: 90, after: 'nothing' }],
    [
      'and not zeroed since a sample',
      (log: LineLog) => log.add('sampled', '20:30', { volumeMl: 1, flushed: true }),
      { use: 'mean', mmHg: 90, after: 'zeroing' },
    ],
  ])('%s: the mean', (_, before, expected) => {
    const log = before(tested({ verdict: 'underdamped' })).add('reading', '21:00', wide);
    expect(stillUsable(doubts(log), wide)).toEqual(expected);
  });

  it('is the mean less what the zero was off; none that is reckoned from the other two', () => {
    const log = tested({ verdict: 'underdamped' })
      .add('reading', '21:00', wide)
      .add('zeroed', '21:30', { openToAirMmHg: 6 });
    expect(stillUsable(doubts(log), wide)).toEqual({ use: 'mean, as far off' });
    expect(stillUsable([{ doubt: 'never tested' }], {})).toMatchObject({ use: 'mean', mmHg: null });
  });

  it.each<[Doubt, ReturnType<typeof stillUsable>]>([
    [{ doubt: 'never zeroed' }, { use: 'mean', mmHg: 90, after: 'zeroing' }],
    [
      { doubt: 'not zeroed since', why: 'sampled' },
      { use: 'mean', mmHg: 90, after: 'zeroing' },
    ],
    [{ doubt: 'not zeroed this shift' }, { use: 'mean', mmHg: 90, after: 'zeroing' }],
    [{ doubt: 'zero was off', mmHg: 6 }, { use: 'mean, as far off' }],
    [{ doubt: 'not level', belowHeartCm: 8, errorMmHg: 5.9 }, { use: 'mean, as far off' }],
    [{ doubt: 'mean misfit', mmHg: 17 }, null],
    [{ doubt: 'no pulse pressure', mmHg: 9 }, null],
    [{ doubt: 'cuff differs', what: 'mean', mmHg: 32 }, null],
    [
      { doubt: 'cuff differs', what: 'systolic', mmHg: 32 },
      { use: 'mean', mmHg: 90, after: 'nothing' },
    ],
  ])('of a line never tested with %j: %j', (doubt, expected) => {
    expect(stillUsable([{ doubt: 'never tested' }, doubt], wide)).toEqual(expected);
  });

  it.each<Doubt>([
    { doubt: 'not tested this shift' },
    { doubt: 'damping', verdict: 'overdamped', afterwards: false },
    { doubt: 'by eye', perMin: 200, rateFrom: 'reading' },
    { doubt: 'rate not recorded', upToPerMin: 160, by: 'eye' },
  ])('is the mean where the line’s response is in doubt: %j', (doubt) => {
    expect(stillUsable([doubt], wide)).toEqual({ use: 'mean', mmHg: 90, after: 'nothing' });
  });

  it('is nothing where the line is good, or the reading does not hold together', () => {
    expect(stillUsable([{ doubt: 'never zeroed' }], wide)).toBeNull();
    expect(stillUsable([{ doubt: 'never tested' }, { doubt: 'mean misfit', mmHg: 20 }], wide)).toBeNull();
  });
});

describe('the numbers of a test', () => {
  const half = { system: { naturalHz: 16, damping: 0.25 }, measured: null };
  it.each<[string, Partial<Test>, unknown]>([
    ['read from an upload', { read: { naturalHz: 16, damping: 0.25 } }, half],
    ['without a frequency', { read: { naturalHz: null, damping: 0.25 } }, null],
    ['with a frequency of nothing', { read: { naturalHz: 0, damping: 0.25 } }, null],
    ['without a damping', { read: { naturalHz: 16, damping: null } }, null],
    ['by eye', {}, null],
    ['of a strip without a whole cycle', { strip: { ...ringing, cycleLength: null } }, null],
    [
      'of a strip without a second swing',
      { strip: { ...ringing, heights: { first: 40, next: null } } },
      null,
    ],
  ])('%s', (_how, test, expected) => {
    expect(measuredLine(test)).toEqual(expected);
  });

  it('are those of the strip where the upload shows none, and never without any damping', () => {
    const strip = measuredLine({ read: { naturalHz: null, damping: null }, strip: ringing });
    expect(strip?.system.naturalHz).toBeCloseTo(16, 1);
    expect(strip?.system.damping).toBeCloseTo(0.25, 2);
    // Our model needs some damping; below 0.02 nobody could tell it from none.
    expect(measuredLine({ read: { naturalHz: 16, damping: 0 } })?.system.damping).toBe(0.02);
    const hardly = measuredLine({ strip: { ...ringing, heights: { first: 40, next: 39.9 } } });
    expect(hardly?.system.damping).toBe(0.02);
  });
});

// Dog 60 to 220, cat 90 to 240, any other 30 to 400 /min: as `plausibleRates` has them. A line of 35 Hz passes eight
// harmonics up to 262 /min, one of 31 Hz up to 232, one of 9 Hz up to 67; looked for in steps of ten.
describe('without a heart rate, a measured line is good up to', () => {
  it.each<['dog' | 'cat' | 'horse', number, number | null | 'any']>([
    ['dog', 35, 'any'],
    ['cat', 35, 'any'],
    ['horse', 35, 260],
    ['dog', 31, 'any'],
    ['cat', 31, 230],
    ['dog', 9, 60],
    ['cat', 9, null],
    ['horse', 9, 60],
  ])('a %s, %d Hz: %s', (species, naturalHz, upToPerMin) => {
    const test: Test = { verdict: 'normal', read: { naturalHz, damping: 0.6 } };
    const log = tested(test, { patient: { species, weightKg: 4 } });
    expect(doubts(log.add('reading', '21:00', { sapMmHg: 100, dapMmHg: 85 }))).toEqual(
      upToPerMin === 'any' ? [] : [{ doubt: 'rate not recorded', upToPerMin, by: 'strip' }],
    );
  });

  it('is said beside another doubt too, since it is a fault of the line', () => {
    const log = tested({ verdict: 'normal', read: { naturalHz: 9, damping: 0.6 } });
    log.add('sampled', '20:30', { volumeMl: 1, flushed: true }).add('reading', '21:00', wide);
    expect(doubts(log).map(({ doubt }) => doubt)).toEqual(['not zeroed since', 'rate not recorded']);
  });
});

describe('what the next test says of a reading before it', () => {
  const good = { verdict: 'normal', read: { naturalHz: 45, damping: 0.6 } } as const;
  const rings = { verdict: 'normal', read: { naturalHz: 16, damping: 0.1 } } as const;
  const judged = (before: Test | null, after: Test, rate?: number) => {
    const log = before ? tested(before) : new LineLog('20:00').add('zeroed', '20:05', {});
    log.add('reading', '21:00', { ...wide, ...(rate === undefined ? {} : { heartRatePerMin: rate }) });
    return doubts(log.add('fastFlushTested', '21:05', after)).map(({ doubt }) => doubt);
  };

  it.each<[string, Test | null, Test, number | undefined, string[]]>([
    ['measured good, it stands for one that was never made', null, good, 120, []],
    ['judged by eye, it does not', null, byEye, 120, ['never tested']],
    ['measured good, it settles what the eye could not tell', { verdict: 'cannot tell' }, good, 120, []],
    ['measured good, it settles for which heart rate the eye was enough', byEye, good, undefined, []],
    [
      'measured good, it leaves a line that was seen to ring',
      { verdict: 'underdamped' },
      good,
      120,
      ['damping'],
    ],
    [
      'measured good, it leaves a line whose strip was good to a rate',
      { verdict: 'normal', read: { naturalHz: 16, damping: 0.6 } },
      good,
      undefined,
      ['rate not recorded'],
    ],
    ['judged by eye and not to be told, it adds nothing', byEye, { verdict: 'cannot tell' }, 120, []],
    [
      'measured, it says by how much: before what the eye saw',
      { verdict: 'underdamped' },
      rings,
      120,
      ['response'],
    ],
    [
      'by eye, it says which way: before up to which rate',
      { verdict: 'normal', read: { naturalHz: 16, damping: 0.6 } },
      { verdict: 'overdamped' },
      undefined,
      ['damping'],
    ],
  ])('%s', (_how, before, after, rate, expected) => {
    expect(judged(before, after, rate)).toEqual(expected);
  });
});

describe('the heart rate by which a line is shown', () => {
  const at = (time: string, heartRatePerMin?: number) =>
    [time, heartRatePerMin === undefined ? {} : { heartRatePerMin }] as const;
  const log = (test?: readonly [string, object], reading?: readonly [string, object]) => {
    const line = new LineLog('20:00');
    if (test) line.add('fastFlushTested', test[0], { verdict: 'normal', ...test[1] });
    if (reading) line.add('reading', reading[0], { ...wide, ...reading[1] });
    return latestRate(line.state());
  };

  it.each<[string, number | null, number | null]>([
    ['nothing', log(), null],
    ['a test alone', log(at('20:10', 100)), 100],
    ['a reading alone', log(undefined, at('20:10', 120)), 120],
    ['a reading after the test', log(at('20:10', 100), at('20:20', 120)), 120],
    ['a reading in the minute of the test', log(at('20:10', 100), at('20:10', 120)), 120],
    ['a test after the reading', log(at('20:20', 100), at('20:10', 120)), 100],
    ['a later reading without one', log(at('20:10', 100), at('20:20')), 100],
    ['a later test without one', log(at('20:20'), at('20:10', 120)), 120],
    ['neither with one', log(at('20:10'), at('20:20')), null],
  ])('from %s', (_from, rate, expected) => {
    expect(rate).toBe(expected);
  });

  it('is shown with the pressures read last, or an example where they show no pulse', () => {
    const read = (sapMmHg: number, dapMmHg: number) =>
      pressuresShown(new LineLog('20:00').add('reading', wall('21:00'), { sapMmHg, dapMmHg }).state());
    expect(read(150, 60)).toEqual({ sapMmHg: 150, dapMmHg: 60, isRead: true });
    expect(read(60, 60)).toEqual({ sapMmHg: 120, dapMmHg: 80, isRead: false });
    expect(pressuresShown(new LineLog('20:00').state())).toMatchObject({ sapMmHg: 120, isRead: false });
  });
});
