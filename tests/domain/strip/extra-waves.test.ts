import { describe, expect, it } from 'vitest';
import { type ExtraWaves, weighedExtra } from '../../../src/domain/strip/extra-waves.ts';

// One wave beside each beat of a pulse of 150 /min.
const one: ExtraWaves = {
  perBeat: 1,
  ratio: 0.55,
  leastRatio: 0.5,
  delayS: 0.16,
  trough: 0.5,
  longerS: 0.4,
  shorterPerMin: 300,
  gain: () => 0,
};

describe('a wave soon after the beat', () => {
  it('that begins high above its foot is an early beat', () => {
    expect(weighedExtra(one)).toBe('beats');
  });
  it('that begins as low as a swing of the line does is left open', () => {
    expect(weighedExtra({ ...one, trough: 0.1 })).toBe('cannot tell');
  });
  it('of a slow heart that could be a dicrotic wave is left open', () => {
    expect(weighedExtra({ ...one, longerS: 0.7, delayS: 0.27, ratio: 0.42, trough: 0.9 })).toBe(
      'cannot tell',
    );
  });
  it('of a slow heart that comes half a beat after the stroke is a stroke: a dicrotic wave comes sooner', () => {
    const half = { ...one, longerS: 0.75, delayS: 0.375, ratio: 0.5, trough: 0.2 };
    expect(weighedExtra(half)).toBe('beats');
    expect(weighedExtra({ ...half, delayS: 0.33 })).toBe('cannot tell');
  });
});
