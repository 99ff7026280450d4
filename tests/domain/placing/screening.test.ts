import { describe, expect, it } from 'vitest';
import { withImplied } from '../../../src/domain/placing/screening.ts';

describe('withTold', () => {
  it.each([
    [[], { species: 'cat' }, ['cat']],
    [[], { species: 'dog', bleeding: true }, ['bleeding disorder']],
    [
      ['walking patient'],
      { species: 'cat', bleeding: true },
      ['bleeding disorder', 'walking patient', 'cat'],
    ],
    [['cat'], { species: 'cat' }, ['cat']],
    [['cat', 'bleeding disorder'], { species: 'dog', bleeding: false }, ['bleeding disorder', 'cat']],
    [[], { species: 'other' }, []],
    [[], {}, []],
  ] as const)('of %j found and %j told gives %j', (found, told, all) => {
    expect(withImplied(found, told)).toEqual(all);
  });
});
