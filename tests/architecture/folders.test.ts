import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';

const src = path.resolve(import.meta.dirname, '..', '..', 'src');
const folders = readdirSync(src, { recursive: true, withFileTypes: true })
  .filter((entry) => entry.isDirectory())
  .map(({ parentPath, name }) => path.relative(src, path.join(parentPath, name)));

test('there are folders to look at', () => {
  expect(folders.length).toBeGreaterThan(50);
});

test.each(folders)('src/%s says what lives there and what doesn’t', (folder) => {
  const readme = readFileSync(path.join(src, folder, 'README.md'), 'utf8');
  expect(readme).toMatch(/^# (.+)\n\n\*\*Lives here:\*\* [^\n]+\n\n\*\*Doesn’t:\*\* [^\n]+\n$/);
  expect(readme.split('\n')[0]).toBe(`# ${folder}`);
});
