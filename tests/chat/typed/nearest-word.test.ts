import { describe, expect, it } from 'vitest';
import { nearestWord, slipsBetween } from '../../../src/chat/typed/nearest-word.ts';
import * as fc from '../../support/properties.ts';

describe('slipsBetween', () => {
  // kitten/sitting and Saturday/Sunday are the textbook pairs of the Levenshtein distance (3 each); ca/abc is 3 by
  // optimal string alignment (2 by the unrestricted Damerau-Levenshtein distance).
  it.each([
    ['kitten', 'sitting', 3],
    ['Saturday', 'Sunday', 3],
    ['ca', 'abc', 3],
    ['zreo', 'zero', 1],
    ['', 'zero', 4],
    ['zero', 'zero', 0],
  ])('of %j and %j is %i', (one, other, slips) => {
    expect(slipsBetween(one, other)).toBe(slips);
  });

  it('is the same both ways and at most the longer length', () => {
    const word = fc.string({ maxLength: 10 });
    fc.assert(
      fc.property(word, word, (one, other) => {
        expect(slipsBetween(one, other)).toBe(slipsBetween(other, one));
        expect(slipsBetween(one, other)).toBeLessThanOrEqual(Math.max(one.length, other.length));
      }),
    );
  });
});

describe('nearestWord', () => {
  const verbs = ['flush', 'zero', 'level', 'due'];
  it.each([
    ['flsh', 'flush'],
    ['zreo', 'zero'],
    ['levle', 'level'],
    ['du', 'due'],
    ['xy', undefined],
    ['completely', undefined],
    ['', undefined],
    ['f'.repeat(4000), undefined],
  ])('finds for %j %j', (typed, nearest) => {
    expect(nearestWord(typed, verbs)).toBe(nearest);
  });
});
