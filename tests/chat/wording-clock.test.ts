import { expect, it } from 'vitest';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { clockText } from '../../src/wording/care/line-words.ts';

// Directive 2000/84/EC: clocks go back at 01:00 UTC on the last Sunday of October, 25 October 2026.
it.each([
  ['2026-10-25T00:30:00Z', '02:30 (first, UTC+2)'],
  ['2026-10-25T01:30:00Z', '02:30 (second, UTC+1)'],
  ['2026-10-25T02:30:00Z', '03:30'],
])('shows %s in Berlin as %s', (instant, shown) => {
  const at = Date.parse(instant);
  expect(clockText(defaultPolicy('Europe/Berlin'), at, at)).toBe(shown);
});
