import { describe, expect, it } from 'vitest';
import { naturalFrequencyHz } from '../../../src/domain/dynamic-response/natural-frequency.ts';
import * as fc from '../../support/properties.ts';

describe('naturalFrequencyHz', () => {
  // The textbook (Mark 1998, Fig 9-10) prints the uncorrected 14.7; 14.794 is the formula worked out.
  it('gives 14.794 Hz for a line that rings at 14.706 Hz with damping 0.1091', () => {
    expect(naturalFrequencyHz(25 / 1.7, 0.1091)).toBeCloseTo(14.794, 3);
  });

  // fd/fn of the second-order system, worked out independently in double precision.
  it.each([
    [0.1, 0.995],
    [0.2, 0.9798],
    [0.3, 0.9539],
    [0.4, 0.9165],
    [0.5, 0.866],
    [0.6, 0.8],
    [0.64, 0.7684],
    [0.7, 0.7141],
    [0.8, 0.6],
  ])('at damping %f the line rings at %f of its natural frequency', (damping, share) => {
    expect(1 / naturalFrequencyHz(1, damping)).toBeCloseTo(share, 4);
  });

  it('is never below the ringing and rises with the damping', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 100, noNaN: true }),
        fc.double({ min: 0, max: 0.95, noNaN: true }),
        fc.double({ min: 0.001, max: 0.04, noNaN: true }),
        (ringingHz, damping, more) => {
          const natural = naturalFrequencyHz(ringingHz, damping);
          return natural >= ringingHz && naturalFrequencyHz(ringingHz, damping + more) > natural;
        },
      ),
    );
  });

  it.each([
    [14, 1],
    [14, -0.1],
    [0, 0.2],
  ])('throws for %f Hz at damping %f', (ringingHz, damping) => {
    expect(() => naturalFrequencyHz(ringingHz, damping)).toThrow(RangeError);
  });
});
