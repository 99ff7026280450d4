import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

const page = (name: string) => readFileSync(new URL(`../../${name}`, import.meta.url), 'utf8');

it('README says near its top that this is no monitor, and who decides', () => {
  const top = page('README.md').split('\n').slice(0, 20).join('\n');
  expect(top).toContain('not a monitor');
  expect(top).toContain('the attending clinician, hospital protocol and local codes decide');
});

// A row names its source and how sure we are of it, or says that there is none; so may the words before its table.
describe('docs/defaults.md', () => {
  const said = /common practice|no source|\(read\b|from memory|of our own|the ward's own/i;
  const rows = page('docs/defaults.md')
    .split(/^## /m)
    .slice(1)
    .flatMap((section) => {
      const before = section.slice(0, Math.max(0, section.indexOf('\n| ')));
      return section
        .split('\n')
        .filter((line) => line.startsWith('| ') && !/^\| (?:---|policy \||duty \|)/.test(line))
        .map((row) => ({ policy: row.split('|')[1]?.trim() ?? '', words: `${before} ${row}` }));
    });

  it('has the rows it had', () => {
    expect(rows.length).toBeGreaterThan(45);
  });

  it.each(rows)('says where the default comes from: $policy', ({ words }) => {
    expect(words).toMatch(said);
  });
});
