import { describe, expect, it } from 'vitest';
import { measuredTest, type StripReading } from '../../../src/domain/dynamic-response/measured-test.ts';
import * as fc from '../../support/properties.ts';

// Mark JB, Atlas of Cardiovascular Monitoring, Churchill Livingstone 1998, Figs 9-9, 9-10; Miller's Anesthesia 6th ed., Fig 32-11.
const textbook: StripReading = {
  paperMmPerS: 25,
  squareMm: null,
  cycleLength: 1.7,
  cycles: 1,
  definition: 'half cycle',
  heights: { first: 24, next: 17 },
};

function measured(reading: StripReading) {
  const test = measuredTest(reading);
  if (test.result !== 'measured' || !test.ringingHz || !test.naturalHz) throw new Error(JSON.stringify(test));
  return { ...test, ringingHz: test.ringingHz, naturalHz: test.naturalHz };
}

describe('the published worked example', () => {
  it('rings at 14.7 Hz with damping 0.11 and a ratio of 0.71', () => {
    const { ringingHz, damping, ratio } = measured(textbook);
    expect(ringingHz.value).toBeCloseTo(14.7, 1);
    expect(damping.value).toBeCloseTo(0.11, 2);
    expect(ratio).toBeCloseTo(0.71, 2);
  });

  it('has a natural frequency of 14.794 Hz, which the book leaves uncorrected', () => {
    expect(measured(textbook).naturalHz.value).toBeCloseTo(14.794, 3);
  });

  it('keeps which definition was used, and would be 0.055 by the other', () => {
    expect(measured(textbook).definition).toBe('half cycle');
    const other = measured({ ...textbook, definition: 'full cycle' });
    expect([other.definition, other.damping.value.toFixed(4)]).toEqual(['full cycle', '0.0548']);
  });

  // By hand: 25/2.2 and 25/1.2 Hz; ratios 17.5/23.5 and 16.5/24.5.
  it('reaches from 11.4 to 20.8 Hz and from 0.093 to 0.125 with half a millimetre of reading error', () => {
    const { ringingHz, damping } = measured(textbook);
    expect([ringingHz.low, ringingHz.high]).toEqual([25 / 2.2, 25 / 1.2]);
    expect(damping.low).toBeCloseTo(0.0934, 4);
    expect(damping.high).toBeCloseTo(0.1248, 4);
  });
});

describe('units', () => {
  it('takes large squares of 5 mm: 2 squares at 50 mm/s are 5 Hz, give or take half a square', () => {
    const { ringingHz } = measured({ ...textbook, paperMmPerS: 50, squareMm: 5, cycleLength: 2 });
    expect(ringingHz).toEqual({ value: 5, low: 4, high: 50 / 7.5 });
  });

  it('takes small squares of 1 mm like millimetres', () => {
    expect(measuredTest({ ...textbook, squareMm: 1 })).toEqual(measuredTest(textbook));
  });

  it('is surer when four cycles are read at once', () => {
    const { ringingHz } = measured({ ...textbook, cycleLength: 6.8, cycles: 4 });
    expect(ringingHz.value).toBeCloseTo(14.706, 3);
    expect(ringingHz.low).toBeCloseTo(100 / 7.3, 10);
    expect(ringingHz.high).toBeCloseTo(100 / 6.3, 10);
  });
});

describe('where something is not to be seen', () => {
  it('says about 0.7 or more without a second swing, and has no natural frequency', () => {
    expect(measuredTest({ ...textbook, heights: { first: 20, next: null } })).toEqual({
      result: 'no second swing',
      definition: 'half cycle',
      dampingAtLeast: 0.7,
      ringingHz: measured(textbook).ringingHz,
    });
  });

  it('says no more than 0.40 where the first swing is 2 mm and half a millimetre could hide', () => {
    const test = measuredTest({ ...textbook, heights: { first: 2, next: null } });
    // ln 4 / sqrt(π² + ln² 4) = 0.4037.
    expect(test.result === 'no second swing' && test.dampingAtLeast).toBeCloseTo(0.4037, 4);
  });

  it('says nothing at all where the first swing is within the reading error', () => {
    const test = measuredTest({ ...textbook, heights: { first: 0.4, next: null } });
    expect(test).toMatchObject({ result: 'no second swing', dampingAtLeast: 0 });
  });

  it('takes a trace that does not ring at all', () => {
    expect(measuredTest({ ...textbook, cycleLength: null, heights: null })).toEqual({
      result: 'no second swing',
      definition: 'half cycle',
      dampingAtLeast: 0.7,
      ringingHz: null,
    });
  });

  it('still has the damping where no whole cycle is seen', () => {
    const test = measuredTest({ ...textbook, cycleLength: null });
    expect(test).toMatchObject({ result: 'measured', ringingHz: null, naturalHz: null });
  });

  it('has no upper end of frequency where the cycle is within the reading error', () => {
    const { ringingHz, naturalHz } = measured({ ...textbook, cycleLength: 0.5 });
    expect([ringingHz.high, naturalHz.high]).toEqual([null, null]);
  });

  it('leaves the damping open to 1, and the natural frequency open, where the next swing is within the error', () => {
    const { damping, naturalHz } = measured({ ...textbook, heights: { first: 24, next: 0.5 } });
    expect([damping.high, naturalHz.high]).toEqual([1, null]);
  });

  it('lets the damping reach down to 0 where the two heights are within the error', () => {
    expect(measured({ ...textbook, heights: { first: 3, next: 2.5 } }).damping.low).toBe(0);
    expect(measured({ ...textbook, heights: { first: 0.4, next: 0.3 } }).damping.low).toBe(0);
  });
});

describe('refusals', () => {
  it.each<[string, Partial<StripReading>, object]>([
    [
      'a paper speed of 0',
      { paperMmPerS: 0 },
      { what: 'paper speed', value: 0, from: 5, to: 200, unit: 'mm/s' },
    ],
    ['no length', { cycleLength: 0 }, { what: 'cycle length', value: 0, from: 0.01, to: 500, unit: 'mm' }],
    [
      'a length that is no number',
      { cycleLength: Number.NaN, squareMm: 5 },
      { what: 'cycle length', value: Number.NaN, from: 0.01, to: 500, unit: 'squares' },
    ],
    ['half a cycle', { cycles: 1.5 }, { what: 'cycles', value: 1.5, from: 1, to: 20, unit: 'cycles' }],
    [
      'a height of 0',
      { heights: { first: 24, next: 0 } },
      { what: 'next height', value: 0, from: 0.01, to: 500, unit: 'mm' },
    ],
    [
      'a height below 0',
      { heights: { first: -24, next: null } },
      { what: 'first height', value: -24, from: 0.01, to: 500, unit: 'mm' },
    ],
  ])('refuses %s with the value and what is allowed', (_, wrong, refusal) => {
    expect(measuredTest({ ...textbook, ...wrong })).toEqual({
      result: 'refused',
      refusal: { because: 'out of range', ...refusal },
    });
  });

  it.each([
    [17, 24],
    [20, 20],
  ])('refuses a swing of %i mm followed by one of %i mm', (first, next) => {
    expect(measuredTest({ ...textbook, heights: { first, next } })).toEqual({
      result: 'refused',
      refusal: { because: 'does not die down', first, next },
    });
  });

  it('refuses ringing of 250 Hz, which no line does', () => {
    expect(measuredTest({ ...textbook, cycleLength: 0.1 })).toEqual({
      result: 'refused',
      refusal: { because: 'rings implausibly', ringingHz: 250, lowestHz: 1, highestHz: 100 },
    });
  });
});

describe('properties', () => {
  const within = fc.double({ min: -0.5, max: 0.5, noNaN: true });
  const mm = (min: number, max: number) => fc.double({ min, max, noNaN: true });

  it('holds whatever half a square of error hid: the true values lie inside the intervals', () => {
    fc.assert(
      fc.property(
        fc.record({
          paper: fc.constantFrom(25, 50),
          cycle: mm(1, 6),
          first: mm(4, 40),
          share: mm(0.05, 0.95),
        }),
        fc.tuple(within, within, within),
        fc.constantFrom('half cycle' as const, 'full cycle' as const),
        ({ paper, cycle, first, share }, [e1, e2, e3], definition) => {
          const trueTest = measuredTest({
            ...textbook,
            definition,
            paperMmPerS: paper,
            cycleLength: cycle,
            heights: { first, next: first * share },
          });
          const read = measuredTest({
            ...textbook,
            definition,
            paperMmPerS: paper,
            cycleLength: cycle + e1,
            heights: { first: first + e2, next: first * share + e3 },
          });
          fc.pre(trueTest.result === 'measured' && read.result === 'measured');
          const slack = 1e-9;
          for (const key of ['ringingHz', 'naturalHz', 'damping'] as const) {
            const truth = trueTest[key]?.value ?? Number.NaN;
            const told = read[key];
            expect(told?.low).toBeLessThanOrEqual(truth + slack);
            expect(told?.high ?? Number.POSITIVE_INFINITY).toBeGreaterThanOrEqual(truth - slack);
          }
        },
      ),
    );
  });

  it('answers every number with a result, never a throw', () => {
    const any = fc.double();
    fc.assert(
      fc.property(any, any, any, any, fc.constantFrom(1, 5, null), (paper, cycle, first, next, squareMm) => {
        const test = measuredTest({
          ...textbook,
          squareMm: squareMm as 1 | 5 | null,
          paperMmPerS: paper,
          cycleLength: cycle,
          heights: { first, next },
        });
        return ['measured', 'refused'].includes(test.result);
      }),
    );
  });
});
