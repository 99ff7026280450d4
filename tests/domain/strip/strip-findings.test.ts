import { describe, expect, it } from 'vitest';
import { readStrip, type StripFindings } from '../../../src/domain/strip/strip-findings.ts';
import { stripSentence } from '../../../src/wording/strips/strip-sentence.ts';
import { reasonText } from '../../../src/wording/strips/verdict-reasons.ts';
import * as fc from '../../support/properties.ts';
import {
  bellFrom,
  chanceFrom,
  type SimulatedStripOptions,
  simulatedStrip,
} from '../../support/simulated-strip.ts';

const flush = { atS: 12.3, lengthS: 1, bagMmHg: 290 };
const findings = (
  options: SimulatedStripOptions = {},
  change: (p: number, i: number) => number = (p) => p,
) => {
  const { strip } = simulatedStrip(options);
  return readStrip({ ...strip, pressuresMmHg: strip.pressuresMmHg.map(change) }).findings;
};
const names = ({ faults }: StripFindings) => faults.map(({ fault }) => fault);

describe('the fast flush', () => {
  // The made line is the second-order system that the textbook formulas describe; nothing of the reading is in it.
  it.each([
    [60, { naturalHz: 10, damping: 0.1 }],
    [110, { naturalHz: 14.794, damping: 0.1091 }],
    [150, { naturalHz: 14, damping: 0.2 }],
    [180, { naturalHz: 25, damping: 0.3 }],
    [90, { naturalHz: 20, damping: 0.4 }],
    [90, { naturalHz: 20, damping: 0.6 }],
  ])('gives back at %i /min what the line was made with: %o', (ratePerMin, line) => {
    const [found] = findings({ ratePerMin, line, flush }).flushes;
    if (found?.test.measured !== 'ringing') throw new Error(JSON.stringify(found));
    expect(Math.abs(found.test.damping.value - line.damping)).toBeLessThan(0.05);
    expect(Math.abs(found.test.naturalHz.value / line.naturalHz - 1)).toBeLessThan(0.1);
    expect(found.releasedAtS).toBeCloseTo(13.3, 1);
  });

  it('finds two flushes and no third', () => {
    const first = simulatedStrip({ seconds: 15, flush: { ...flush, atS: 6 } }).strip;
    const both = Float64Array.from([...first.pressuresMmHg, ...first.pressuresMmHg]);
    expect(readStrip({ ...first, pressuresMmHg: both }).findings.flushes.length).toBe(2);
  });

  it('finds none in a strip without one, through any line', () => {
    for (const damping of [0.1, 0.3, 0.7, 1.2]) {
      expect(findings({ line: { naturalHz: 9, damping }, ratePerMin: 140 }).flushes).toEqual([]);
    }
  });

  it('does not take a movement for a flush: 0.1 s at 250 mmHg', () => {
    expect(findings({}, (p, i) => (i > 3000 && i < 3025 ? 250 : p)).flushes).toEqual([]);
  });

  it('does not take a swell to 260 mmHg and back within 2 s for a flush', () => {
    const swell = (p: number, i: number) => p + 170 * Math.exp(-0.5 * ((i - 3500) / 120) ** 2);
    expect(findings({}, swell).flushes).toEqual([]);
  });

  it('reads the pulse beside the flush as if it were not there', () => {
    const [with_, without] = [findings({ flush }).beats, findings().beats];
    expect(Math.abs((with_?.sapMmHg ?? 0) - (without?.sapMmHg ?? 9))).toBeLessThan(0.5);
    expect(Math.abs((with_?.mapMmHg ?? 0) - (without?.mapMmHg ?? 9))).toBeLessThan(0.5);
  });

  it('reads the ringing of a recorder that cuts the plateau off at 200 mmHg from its swings', () => {
    const [found] = findings({ flush, clipAboveMmHg: 200, line: { naturalHz: 14, damping: 0.15 } }).flushes;
    if (found?.test.measured !== 'ringing') throw new Error(JSON.stringify(found));
    expect(found.test.dampingFrom).toBe('successive swings');
    expect(Math.abs(found.test.damping.value - 0.15)).toBeLessThan(0.02);
  });

  it('takes no flush that is cut off at the systolic for a beat', () => {
    const { beats, flushes, verdict } = findings({ flush, ratePerMin: 110, clipAboveMmHg: 118 });
    expect([beats?.rhythm, Math.round(beats?.ratePerMin ?? 0), flushes, verdict]).toEqual([
      'regular',
      110,
      [],
      'cannot tell',
    ]);
  });

  it('cannot tell where the recorder cut the ringing off below', () => {
    const found = findings({ flush, clipBelowMmHg: 40, line: { naturalHz: 14, damping: 0.15 } });
    expect(found.flushes[0]?.test).toEqual({ measured: 'cannot tell', because: 'clipped' });
    expect([found.verdict, found.confidence]).toEqual(['cannot tell', 'no verdict']);
  });

  it('cannot tell where the strip ends 0.3 s after it', () => {
    const { strip } = simulatedStrip({ seconds: 13.6, flush });
    expect(readStrip(strip).findings.verdict).toBe('cannot tell');
  });
});

describe('the verdict', () => {
  // By the regions of regions.ts: below 0.2 underdamped, 0.4 to 0.8 good, above 1 overdamped.
  it.each([
    [130, { naturalHz: 12, damping: 0.12 }, 'spiky (underdamped)'],
    [220, { naturalHz: 20, damping: 0.2 }, 'spiky (underdamped)'],
    [90, { naturalHz: 24, damping: 0.5 }, 'normal'],
    [70, { naturalHz: 38, damping: 0.25 }, 'normal'],
    [100, { naturalHz: 9, damping: 1.1 }, 'flat (overdamped)'],
    [200, { naturalHz: 8, damping: 1.2 }, 'flat (overdamped)'],
  ])('at %i /min through %o is %s', (ratePerMin, line, verdict) => {
    expect(findings({ ratePerMin, line, flush }).verdict).toBe(verdict);
  });

  // 8 × the heart rate is wanted: 8 × 200 / 60 = 27 Hz; its damping alone would be good.
  it('calls 8 Hz at 200 /min too slow for this heart rate, and does not call it normal', () => {
    const found = findings({ ratePerMin: 200, line: { naturalHz: 8, damping: 0.5 }, flush });
    expect(found.verdict).toBe('too slow for this heart rate');
    expect(stripSentence(found)).toContain('the line looks too slow for this heart rate, so go by the mean');
  });

  it('is "cannot tell" without a flush, and says what to do', () => {
    const found = findings();
    expect([found.verdict, found.confidence, found.likelyErrorMmHg]).toEqual([
      'cannot tell',
      'no verdict',
      null,
    ]);
    expect(reasonText(found.because)).toMatch(/Do a fast flush and upload again\.$/);
  });

  it('is never sure without a flush', () => {
    for (const damping of [0.1, 0.2, 0.6, 1.2]) {
      for (const ratePerMin of [60, 120, 200]) {
        expect(findings({ ratePerMin, line: { naturalHz: 10, damping } }).confidence).not.toBe('fairly sure');
      }
    }
  });

  it('is never sure of the wrong side where the valve took 20 to 100 ms to shut', () => {
    for (const shutsMs of [20, 50, 100]) {
      for (const naturalHz of [10, 18, 30]) {
        for (const [damping, right] of [
          [0.15, 'spiky (underdamped)'],
          [0.6, 'normal'],
        ] as const) {
          const found = findings({
            ratePerMin: 100,
            line: { naturalHz, damping },
            flush: { ...flush, shutsMs },
          });
          const told = found.confidence === 'fairly sure' ? found.verdict : right;
          expect(told).toBe(right);
        }
      }
    }
  });

  it('has the likely error of the systolic above 0 on a spiky line and below 0 on a flat slow one', () => {
    expect(
      findings({ ratePerMin: 150, line: { naturalHz: 14, damping: 0.15 }, flush }).likelyErrorMmHg?.sapMmHg,
    ).toBeGreaterThan(5);
    expect(findings({ line: { naturalHz: 24, damping: 0.6 }, flush }).likelyErrorMmHg?.sapMmHg).toBeLessThan(
      2,
    );
  });
});

describe('faults', () => {
  const bell = bellFrom(chanceFrom(9));
  it.each([
    ['a flat line at 80', () => 80, ['flat line']],
    ['a flat line with a little noise', (_: number, i: number) => 80 + 0.4 * Math.sin(i), ['flat line']],
    ['a line open to air', (_: number, i: number) => 1 + 0.3 * Math.sin(i), ['reads about 0']],
    ['a trace upside down', (p: number) => 200 - p, ['inverted']],
    ['a trace with the sign turned', (p: number) => -p, ['negative']],
    ['kPa called mmHg', (p: number) => p / 7.500_616, ['wrong units']],
    ['kPa converted twice', (p: number) => p * 7.500_616, ['wrong units']],
    ['a top cut off at 118', (p: number) => Math.min(p, 118), ['clipped']],
    ['a top cut off at 105, a tenth of the trace and more', (p: number) => Math.min(p, 105), ['pegged']],
    ['a bottom cut off at 85', (p: number) => Math.max(p, 85), ['pegged']],
    ['a square wave', (_: number, i: number) => (i % 150 < 60 ? 120 : 70) + bell(), ['square']],
    [
      'a sine',
      (_: number, i: number) => 80 + 20 * Math.sin((2 * Math.PI * 2 * i) / 250) + 0.2 * bell(),
      ['like a sine'],
    ],
    ['a drift of 2 mmHg a second', (p: number, i: number) => p + (2 * i) / 250, ['drifts']],
    ['noise alone', () => 80 + 15 * bell(), ['no steady beat']],
    ['nothing wrong', (p: number) => p, []],
  ])('finds in %s: %j', (_, change, expected) => {
    expect(names(findings({ seconds: 20 }, change))).toEqual(expected);
  });

  it('finds noise of 6 mmHg on a pulse of 45 too noisy', () => {
    expect(names(findings({ seconds: 20 }, (p) => p + 6 * bell()))).toContain('too noisy');
  });

  it('finds 3 s too short', () => {
    expect(names(findings({ seconds: 3 }))).toEqual(['too short']);
  });

  it('gives no pressures where a fault hides the beats', () => {
    const found = findings({}, () => 80);
    expect([found.beats, found.verdict]).toEqual([null, 'cannot tell']);
    expect(stripSentence(found)).toBe('ABP over 30 s cannot be read (flat line): no pressures are given.');
  });

  it('has no fault on any clean line', () => {
    for (const ratePerMin of [45, 100, 180, 255]) {
      for (const damping of [0.1, 0.5, 1.1]) {
        expect(names(findings({ ratePerMin, line: { naturalHz: 12, damping }, flush, seconds: 20 }))).toEqual(
          [],
        );
      }
    }
  });
});

describe('rhythm and pulse', () => {
  it.each([
    [0.01, 'regular'],
    [0.1, 'slightly irregular'],
    [0.25, 'irregular'],
  ] as const)('calls intervals that vary by %d %s', (irregularity, rhythm) => {
    expect(findings({ irregularity, ratePerMin: 90 }).beats?.rhythm).toBe(rhythm);
  });

  it('describes a pulse that breathing makes vary by a tenth to either side', () => {
    const beats = findings({ breathPulseShare: 0.1, breathMmHg: 0 }).beats;
    expect(beats?.pulseFromMmHg).toBeLessThan(0.93 * (beats?.pulseMmHg ?? 0));
    expect(beats?.pulseToMmHg).toBeGreaterThan(1.07 * (beats?.pulseMmHg ?? 0));
  });
});

describe('the dicrotic notch', () => {
  it('is present on the reference wave through a good line', () => {
    expect(findings().notch.notch).toBe('present');
  });

  it('is absent through a slow overdamped line at 200 /min', () => {
    expect(findings({ ratePerMin: 200, line: { naturalHz: 8, damping: 1.2 } }).notch).toEqual({
      notch: 'absent',
    });
  });

  it('cannot be told from ringing', () => {
    expect(findings({ ratePerMin: 130, line: { naturalHz: 12, damping: 0.08 } }).notch).toEqual({
      notch: 'cannot tell',
      because: 'ringing hides it',
    });
  });
});

describe('slow ringing', () => {
  it('hides the notch at 50 /min through a line of 5 Hz and damping 0.05', () => {
    expect(findings({ ratePerMin: 50, line: { naturalHz: 5, damping: 0.05 } }).notch).toEqual({
      notch: 'cannot tell',
      because: 'ringing hides it',
    });
  });

  it('tells no rate plainly where the line rings at twice the pulse: 130 /min at 4.4 Hz', () => {
    expect(names(findings({ ratePerMin: 130, line: { naturalHz: 4.4, damping: 0.08 } }))).not.toEqual([]);
  });
});

describe('the sentence', () => {
  it('tells a good line in plain words with units', () => {
    expect(stripSentence(findings({ ratePerMin: 90, line: { naturalHz: 24, damping: 0.5 }, flush }))).toMatch(
      /^ABP over 30 s: 12\d\/7\d mmHg, mean 9\d mmHg, 9\d beats per minute, regular; the line looks normal \(fairly sure\)\.$/,
    );
  });

  it('says which way a spiky line errs', () => {
    expect(stripSentence(findings({ line: { naturalHz: 12, damping: 0.1 }, flush }))).toContain(
      'the line looks spiky (underdamped), so the systolic reads too high (fairly sure).',
    );
  });

  it('says that it cannot tell, and what is doubtful', () => {
    expect(stripSentence(findings({}, (p) => Math.min(p, 118)))).toMatch(
      /^ABP over 30 s, unsure \(clipped\): about 1\d\d\/\d\d mmHg, mean \d\d mmHg, about 1\d\d beats per minute, .*; whether the line is true cannot be told\.$/,
    );
  });
});

/** Every number anywhere in a value. */
function numbersIn(value: unknown): number[] {
  if (typeof value === 'number') return [value];
  return typeof value === 'object' && value !== null ? Object.values(value).flatMap(numbersIn) : [];
}

describe('whatever the trace', () => {
  const level = fc.oneof(
    fc.integer({ min: -50, max: 320 }),
    fc.double({ min: -1000, max: 4000, noNaN: true }),
    fc.constant(Number.NaN),
  );
  // Stretches of one level, of a ramp, of noise and of a pulse, one after another.
  const stretch = fc.record({
    kind: fc.constantFrom('level', 'ramp', 'noise', 'pulse'),
    samples: fc.integer({ min: 1, max: 600 }),
    from: level,
    to: level,
  });
  const trace = fc.array(stretch, { minLength: 1, maxLength: 6 }).map((stretches) =>
    Float64Array.from(
      stretches.flatMap(({ kind, samples, from, to }, n) =>
        Array.from({ length: samples }, (_, i) => {
          if (kind === 'level') return from;
          if (kind === 'ramp') return from + ((to - from) * i) / samples;
          if (kind === 'noise') return from + (((i * 7919 + n) % 101) / 101) * (to - from);
          return from + 0.5 * (to - from) * (1 + Math.sin(i / 9));
        }),
      ),
    ),
  );

  it('never throws, and tells no number that is none', () => {
    fc.assert(
      fc.property(trace, fc.constantFrom(60, 100, 250, 1000), (pressuresMmHg, samplesPerS) => {
        const strip = { samplesPerS, pressuresMmHg, channel: 'ABP', startsAtS: 0, fileS: 1, notes: [] };
        const { findings: found } = readStrip(strip);
        expect(numbersIn(found).filter((value) => !Number.isFinite(value))).toEqual([]);
        expect(`${stripSentence(found)} ${reasonText(found.because)}`).not.toMatch(/NaN|Infinity|undefined/);
      }),
      { numRuns: 200 },
    );
  });
});
