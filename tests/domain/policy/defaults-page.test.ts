import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { defaultPolicy, wardPolicySchema } from '../../../src/domain/policy/ward-policy.ts';
import { wardZone } from '../../support/line-builder.ts';

const policy: Record<string, unknown> = defaultPolicy(wardZone);
const inWords = [
  'shifts',
  'clinicians',
  'lead',
  'rota',
  'overrideFor',
  'backup',
  'dangerFor',
  'againFor',
  'inCharge',
];
/** Times of day, not numbers. */
const clocks = ['waking', 'questionsAt'];

/** Rows of docs/defaults.md: the policy keys of the first column, then default and bounds as written. */
const rows = readFileSync(new URL('../../../docs/defaults.md', import.meta.url), 'utf8')
  .split('\n')
  .filter((line) => line.startsWith('| ') && !line.startsWith('| ---'))
  .map((line) => line.split('|').map((cell) => cell.trim()))
  .map(([, first = '', value = '', bounds = '']) => ({
    keys: [...first.matchAll(/`([A-Za-z]+)`/g)].map(([, key = '']) => key).filter((key) => key in policy),
    value,
    bounds,
  }))
  .filter(({ keys, value }) => keys.length > 0 && /\d/.test(value) && !inWords.includes(keys[0] ?? ''));

const numbers = (text: string) => [...text.matchAll(/\d+(?:\.\d+)?/g)].map(Number);
const leaves = (value: unknown): number[] =>
  typeof value === 'object' && value !== null ? Object.values(value).flatMap(leaves) : [Number(value)];
const described = rows
  .filter(({ keys }) => !clocks.includes(keys[0] ?? ''))
  .map(({ keys, value, bounds }) => ({ title: keys.join(', '), keys, value, bounds }));

describe('docs/defaults.md', () => {
  it('has every number of the policy once', () => {
    const keys = rows.flatMap((row) => row.keys);
    expect(keys.toSorted((a, b) => a.localeCompare(b))).toEqual(
      Object.keys(policy)
        .filter((key) => !inWords.includes(key))
        .sort((a, b) => a.localeCompare(b)),
    );
  });

  it.each(described)('says the default of $title', ({ keys, value }) => {
    expect(numbers(value)).toEqual(keys.flatMap((key) => leaves(policy[key])));
  });

  it.each(clocks)('says the times of day of %s', (key) => {
    const said = rows.find(({ keys }) => keys[0] === key)?.value ?? '';
    const times = (value: unknown): string[] =>
      typeof value === 'string' ? [value] : Object.values(value as object).flatMap(times);
    expect(said.match(/\d\d:\d\d/g)).toEqual(times(policy[key]));
  });

  it.each(described)('says the bounds of $title', ({ keys, bounds }) => {
    const issuesAt = (key: string, value: unknown) =>
      (wardPolicySchema.safeParse({ ...policy, [key]: value }).error?.issues ?? []).filter(
        ({ path, code }) => path[0] === key && code !== 'custom',
      );
    const ends = numbers(bounds);
    const paths = keys.flatMap((key): { key: string; step: string | null }[] => {
      const value = policy[key];
      if (typeof value !== 'object' || value === null) return [{ key, step: null }];
      return Object.keys(value).map((step) => ({ key, step }));
    });
    expect(ends).toHaveLength(paths.length * 2);
    for (const [index, { key, step }] of paths.entries()) {
      const [least = Number.NaN, most = Number.NaN] = ends.slice(index * 2, index * 2 + 2);
      const at = (number: number) =>
        issuesAt(key, step === null ? number : { ...(policy[key] as object), [step]: number });
      expect([least, most].flatMap(at)).toEqual([]);
      for (const beyond of [least - 1, most + 1]) expect(at(beyond).length).toBeGreaterThan(0);
    }
  });
});
