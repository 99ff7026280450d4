import { describe, expect, it } from 'vitest';
import { readStrip } from '../../../src/domain/strip/strip-findings.ts';
import { type MadeStripOptions, madeStrip } from '../../support/strips/made-strip.ts';
import { usualStrip } from '../../support/strips/usual-strip.ts';

function read(options: Partial<MadeStripOptions>) {
  const { strip } = madeStrip({ ...usualStrip, ...options });
  const { beats, faults } = readStrip(strip).findings;
  return { faults: faults.map(({ fault }) => fault), ratePerMin: Math.round(beats?.ratePerMin ?? 0) };
}

const pairs = (coupling: number, small: number) => ({ kind: 'bigeminy', coupling, small }) as const;
const steady = { kind: 'regular', variation: 0.01 } as const;

// Made strips of pairs that were told plainly as a steady heart of half the rate; the same strip of such a heart stays plain.
describe('pairs of which a line makes one beat', () => {
  it.each<[what: string, options: Partial<MadeStripOptions> & { ratePerMin: number }]>([
    [
      'that climbs for half a second',
      {
        seed: 635978376,
        seconds: 10,
        samplesPerS: 125,
        ratePerMin: 90.11,
        rhythm: pairs(0.558, 0.826),
        afterwave: 0.207,
        dapMmHg: 89.5,
        sapMmHg: 156.2,
        line: { naturalHz: 6.8, damping: 0.4 },
        breath: { perMin: 20, mmHg: 2.8, pulseShare: 0 },
      },
    ],
    [
      'that halts on its way up, of a slow heart',
      {
        seed: 149168699,
        samplesPerS: 100,
        ratePerMin: 122.6,
        rhythm: pairs(0.576, 0.719),
        wave: 'round',
        afterwave: 0.21,
        runOffS: 1.6,
        dapMmHg: 41.4,
        sapMmHg: 94.4,
        line: { naturalHz: 5.7, damping: 1.2 },
      },
    ],
    [
      'that halts on its way up, of a fast heart',
      {
        seed: 812438351,
        seconds: 10,
        samplesPerS: 100,
        ratePerMin: 325.6,
        rhythm: pairs(0.63, 0.857),
        wave: 'peaked',
        afterwave: 0.166,
        runOffS: 1.47,
        dapMmHg: 48.8,
        sapMmHg: 78.4,
        line: { naturalHz: 7.16, damping: 0.7 },
      },
    ],
    [
      'that climbs for as long as it falls',
      {
        seed: 772743508,
        samplesPerS: 125,
        ratePerMin: 313.24037208110093,
        rhythm: pairs(0.580074266414158, 0.7979716517031192),
        afterwave: 0.27710687556536867,
        runOffS: 1.2484182318206876,
        dapMmHg: 76.91285353153944,
        sapMmHg: 97.17949762195349,
        line: { naturalHz: 5.636517887888477, damping: 1.2 },
        noiseMmHg: 0.7155782264191658,
        breath: { perMin: 17.044878617394716, mmHg: 0.13578112702816725, pulseShare: 0.05275275541469455 },
        stepMmHg: 0.01,
      },
    ],
  ])('%s are a doubt', (_, options) => {
    expect(read(options).faults).toContain('rate open');
    const half = options.ratePerMin / 2;
    const one = read({ ...options, rhythm: steady, ratePerMin: half });
    expect(one.faults).toEqual([]);
    expect(Math.abs(one.ratePerMin - half)).toBeLessThan(0.03 * half);
  });

  // A third of the strokes melted into the next: 142 of 157 /min was told.
  it('now and then are a doubt', () => {
    const { faults } = read({
      seed: 513697956,
      seconds: 15,
      samplesPerS: 125,
      ratePerMin: 156.99719999730587,
      rhythm: pairs(0.5608699624077418, 0.8067730865441263),
      wave: 'peaked',
      afterwave: 0.1971967516117729,
      runOffS: 1.362845398625359,
      dapMmHg: 66.13710136152804,
      sapMmHg: 120.16353973187506,
      line: { naturalHz: 19.178915556147693, damping: 0.4 },
      noiseMmHg: 0.1947023611981422,
      breath: { perMin: 23.91965077864006, mmHg: 3.017157293856144, pulseShare: 0.022722583152353763 },
      stepMmHg: 0.01,
    });
    expect(faults).toEqual(['beats disagree']);
  });
});
