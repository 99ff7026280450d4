import { readFileSync, statSync } from 'node:fs';
import path from 'node:path';
import { expect, it } from 'vitest';

const repository = path.resolve(import.meta.dirname, '..', '..');
const page = readFileSync(path.join(repository, 'docs', 'threat-model.md'), 'utf8');

it('docs/threat-model.md names a test that is there for each control', () => {
  const [, controls = ''] = page.split('## What stands against it');
  const rows = controls.split('\n').filter((line) => line.startsWith('| ') && !/^\| (threat|---)/.test(line));
  expect(rows.length).toBeGreaterThan(8);
  for (const row of rows) {
    const named = [...(row.split('|').at(-2) ?? '').matchAll(/`(tests\/[^`]+)`/g)].map(
      ([, file = '']) => file,
    );
    expect(named.length, row).toBeGreaterThan(0);
    for (const file of named)
      expect(statSync(path.join(repository, file), { throwIfNoEntry: false })?.isFile(), file).toBe(true);
  }
});
