import { expect, it } from 'vitest';
import { doubleTaps } from '../../src/chat/double-taps.ts';

it('a second tap on the same button within a second is one; one later, of another, or after another button is not', () => {
  let now = 0;
  const isSecond = doubleTaps(() => now);
  expect(isSecond('ina', 'done Biscuit', '1')).toBe(false);
  now = 300;
  expect(isSecond('ina', 'done Biscuit', '2')).toBe(true);
  expect(isSecond('teo', 'done Biscuit', '3')).toBe(false);
  // The same tap, delivered again.
  expect(isSecond('ina', 'done Biscuit', '1')).toBe(false);
  now = 999;
  expect(isSecond('ina', 'done Biscuit', '4')).toBe(true);
  now = 1_000;
  expect(isSecond('ina', 'done Biscuit', '5')).toBe(false);
  expect(isSecond('ina', 'done Mochi', '6')).toBe(false);
  expect(isSecond('ina', 'done Biscuit', '7')).toBe(false);
});
