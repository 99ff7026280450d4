import { describe, expect, it } from 'vitest';
import type { ResponseFound } from '../../../src/domain/dynamic-response/likely-cause.ts';
import { causesWords, regionsLabel, tryThis } from '../../../src/wording/care/response-words.ts';

it('calls the ward’s limits approximate', () => {
  expect(regionsLabel).toBe('ward policy, approximate');
});

describe('what to try', () => {
  const everything: ResponseFound[] = (['under', 'good', 'over'] as const).flatMap((damping) =>
    (['low', 'enough', 'unknown'] as const).map((frequency) => ({ damping, frequency })),
  );

  it('always begins with the animal, and is nothing when all is well', () => {
    const all = everything.map(causesWords);
    expect(all.filter((words) => !words.startsWith('First the animal'))).toEqual(['']);
    expect(causesWords({ damping: 'good', frequency: 'enough' })).toBe('');
  });

  it('says what to go by where a fast line rings', () => {
    expect(causesWords({ damping: 'under', frequency: 'enough' })).toMatch(/mean and compare with a cuff\.$/);
  });

  it('never flushes against resistance, nor air into the artery', () => {
    expect(causesWords({ damping: 'over', frequency: 'low' })).toContain('never into the artery');
    expect(causesWords({ damping: 'over', frequency: 'enough' })).toMatch(
      /^First the animal.* Try first: Look/,
    );
    expect(tryThis.clot).toMatch(/^Draw back.*never flush against resistance/);
  });
});
