import { describe, expect, it } from 'vitest';
import { measuredTest } from '../../../src/domain/dynamic-response/measured-test.ts';
import {
  defaultFlushTestRegions,
  regionNames,
  regionOf,
  regionsWithin,
  wantedHz,
} from '../../../src/domain/dynamic-response/regions.ts';
import { regionWords } from '../../../src/wording/care/response-words.ts';
import * as fc from '../../support/properties.ts';

const at = (naturalHz: number, damping: number, rate: number | null) =>
  regionOf({ naturalHz, damping }, rate).region;

describe('published anchors', () => {
  // Mark 1998, in Miller's Anesthesia 6th ed., Fig 32-9: below 7 Hz unacceptable whatever the damping.
  it.each([0.05, 0.2, 0.5, 0.64, 0.8, 1.5])('is unacceptable below 7 Hz at damping %f', (damping) => {
    expect(at(6.99, damping, 40)).toBe('unacceptable');
    expect(at(7, damping, 40)).not.toBe('unacceptable');
  });

  // Quoted from Gardner 1981 as the lower limit, from memory.
  it('is borderline from 7 to 7.5 Hz', () => {
    expect([at(7, 0.6, 40), at(7.49, 0.6, 40), at(7.5, 0.6, 40)]).toEqual([
      'borderline',
      'borderline',
      'good',
    ]);
  });

  // Miller's Anesthesia 6th ed., Fig 32-10 A: 17 Hz and 0.2 is an adequate dynamic response (in a person).
  it('calls 17 Hz and 0.2 adequate at 80 /min', () => {
    expect(at(17, 0.2, 80)).toBe('adequate');
  });

  // Eight Beagles, 22 G dorsal pedal, extension tubing of 25 and 275 cm: rated adequate throughout (abstract; heart rates
  // not in it, 100 /min from memory).
  it('calls the Beagles adequate at 100 /min, from 38 Hz and 0.21 to 14 Hz and 0.29', () => {
    expect([at(38, 0.21, 100), at(14, 0.29, 100)]).toEqual(['adequate', 'adequate']);
  });

  it('calls the textbook line (14.8 Hz, 0.11) underdamped', () => {
    expect(at(14.8, 0.11, 60)).toBe('underdamped');
  });

  // Published best damping: 0.6 to 0.7.
  it.each([0.6, 0.64, 0.677, 0.7])('calls 30 Hz and %f good at 200 /min', (damping) => {
    expect(at(30, damping, 200)).toBe('good');
  });
});

describe('wantedHz', () => {
  // Heart rate / 60 × 8, worked out by hand.
  it.each([
    [60, 8],
    [90, 12],
    [120, 16],
    [150, 20],
    [180, 24],
    [200, 26.7],
    [220, 29.3],
    [240, 32],
  ])('is 8 times %i /min → %f Hz', (rate, hz) => {
    expect(wantedHz(defaultFlushTestRegions, rate)).toBeCloseTo(hz, 1);
  });

  it('is 24 Hz where the heart rate is not known (Deranged Physiology, dynamic response testing)', () => {
    expect(wantedHz(defaultFlushTestRegions, null)).toBe(24);
  });
});

describe('for this patient', () => {
  it('calls a good line slow for a cat at 220 /min, and names what is wanted', () => {
    const verdict = regionOf({ naturalHz: 20, damping: 0.6 }, 220);
    expect(verdict).toMatchObject({ region: 'slow for this heart rate', damping: 'good', frequency: 'low' });
    expect(regionWords(verdict)).toContain('29.3 Hz at 220 /min');
    expect(at(20, 0.6, 120)).toBe('good');
  });

  it('no longer calls a ringing line adequate once it is slower than wanted', () => {
    expect([at(17, 0.25, 120), at(17, 0.25, 140)]).toEqual(['adequate', 'underdamped']);
  });

  it('calls a heavily damped line adequate up to 1 when fast, overdamped beyond or when slow', () => {
    expect([at(30, 0.95, 120), at(30, 1.05, 120), at(10, 0.95, 120)]).toEqual([
      'adequate',
      'overdamped',
      'overdamped',
    ]);
  });

  it('says that the heart rate is not known', () => {
    expect(regionWords(regionOf({ naturalHz: 20, damping: 0.6 }, null))).toContain('heart rate is not known');
  });
});

describe('a ward’s own limits', () => {
  it('take a wedge: a narrow damping when slow, a wide one when fast', () => {
    const wedge = {
      ...defaultFlushTestRegions,
      good: [
        { fromHz: 0, low: 0.45, high: 0.55 },
        { fromHz: 20, low: 0.2, high: 1.1 },
      ],
    };
    expect(regionOf({ naturalHz: 10, damping: 0.6 }, 60, wedge).damping).toBe('over');
    expect(regionOf({ naturalHz: 20, damping: 0.6 }, 60, wedge).damping).toBe('good');
  });
});

describe('regionsWithin', () => {
  const spread = (low: number, high: number) => ({ value: (low + high) / 2, low, high });

  it('is one region where nothing else is open', () => {
    expect(regionsWithin(spread(29, 31), spread(0.55, 0.65), 180)).toEqual(['good']);
  });

  it('finds a region narrower than the interval', () => {
    expect(regionsWithin(spread(6.9, 8), spread(0.5, 0.6), 40)).toEqual([
      'good',
      'borderline',
      'unacceptable',
    ]);
    expect(regionsWithin(spread(9, 9.1), spread(0.3, 0.9), 200)).toEqual([
      'slow for this heart rate',
      'underdamped',
      'overdamped',
    ]);
  });

  it('finds a region that lies wholly between two of a ward’s limits', () => {
    const gap = { ...defaultFlushTestRegions, adequate: { low: 0.85, high: 1 } };
    expect(regionsWithin(spread(29, 31), spread(0.7, 0.9), 180, gap)).toEqual([
      'good',
      'adequate',
      'overdamped',
    ]);
  });

  it('leaves the textbook test underdamped at 120 /min whatever half a millimetre hid', () => {
    const test = measuredTest({
      paperMmPerS: 25,
      squareMm: null,
      cycleLength: 1.7,
      cycles: 1,
      definition: 'half cycle',
      heights: { first: 24, next: 17 },
    });
    if (test.result !== 'measured' || !test.naturalHz) throw new Error(JSON.stringify(test));
    expect(regionsWithin(test.naturalHz, test.damping, 120)).toEqual(['underdamped']);
  });

  it('takes an open frequency as up to 100 Hz', () => {
    expect(regionsWithin({ value: 20, low: 15, high: null }, spread(0.5, 0.6), 180)).toEqual([
      'good',
      'slow for this heart rate',
    ]);
  });

  it('holds the region of every line within the intervals', () => {
    const hz = fc.double({ min: 1, max: 60, noNaN: true });
    const z = fc.double({ min: 0.02, max: 1, noNaN: true });
    const share = fc.double({ min: 0, max: 1, noNaN: true });
    fc.assert(
      fc.property(
        hz,
        hz,
        z,
        z,
        share,
        share,
        fc.integer({ min: 40, max: 260 }),
        (f1, f2, z1, z2, sf, sz, rate) => {
          const fn = { ...spread(Math.min(f1, f2), Math.max(f1, f2)) };
          const damping = { ...spread(Math.min(z1, z2), Math.max(z1, z2)) };
          const inside = at(
            fn.low + sf * (fn.high - fn.low),
            damping.low + sz * (damping.high - damping.low),
            rate,
          );
          return regionsWithin(fn, damping, rate).includes(inside);
        },
      ),
    );
  });
});

describe('the verdict in words', () => {
  it('has a sentence of its own for every region', () => {
    const verdicts = [
      regionOf({ naturalHz: 30, damping: 0.6 }, 180),
      regionOf({ naturalHz: 30, damping: 0.25 }, 180),
      regionOf({ naturalHz: 20, damping: 0.6 }, 180),
      regionOf({ naturalHz: 20, damping: 0.1 }, 180),
      regionOf({ naturalHz: 20, damping: 1.2 }, 180),
      regionOf({ naturalHz: 7.2, damping: 0.6 }, 180),
      regionOf({ naturalHz: 5, damping: 0.6 }, 180),
    ];
    expect(verdicts.map(({ region }) => region)).toEqual([...regionNames]);
    expect(new Set(verdicts.map(regionWords)).size).toBe(regionNames.length);
  });

  // Gardner RM, Anesthesiology 1981;54:227-236, abstract.
  it('says too high for underdamped and too low for overdamped', () => {
    expect(regionWords(regionOf({ naturalHz: 20, damping: 0.1 }, 180))).toContain('too high');
    expect(regionWords(regionOf({ naturalHz: 20, damping: 1.2 }, 180))).toContain('too low');
  });
});
