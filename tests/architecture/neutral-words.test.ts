import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';

const src = path.resolve(import.meta.dirname, '..', '..', 'src');
const marks = path.join('wording', 'rich-text.ts');

/** Each line of a module that is no comment. */
function codeOf(name: string): string[] {
  const text = readFileSync(path.join(src, name), 'utf8').replaceAll(/\/\*[\s\S]*?\*\//g, '');
  return text.split('\n').filter((line) => !/^\s*\/\//.test(line));
}

const modules = ['chat', 'wording'].flatMap((home) =>
  readdirSync(path.join(src, home), { recursive: true, encoding: 'utf8' })
    .map((name) => path.join(home, name))
    .filter((name) => name.endsWith('.ts') && name !== marks),
);

/** What a platform's own text would look like in a sentence: mentions, escapes, and stars in one that `rich` does not read. */
export function platformWordsIn(line: string): boolean {
  if (/<[@#!][$A-Z]|&(?:amp|lt|gt);/.test(line)) return true;
  const unread = line.replaceAll(/\brich`(?:[^`\\]|\\.)*`/g, '');
  return /['`][^'`]*\*[^\s*'`][^*'`]*\*/.test(unread) && !line.includes('rich`') && !line.includes('RegExp');
}

test('sentences of src/chat and src/wording hold nothing that only one platform reads', () => {
  expect(modules.length).toBeGreaterThan(100);
  const found = modules
    .filter((name) => !name.startsWith(path.join('chat', 'help')))
    .flatMap((name) =>
      codeOf(name)
        .filter(platformWordsIn)
        .map((line) => `${name}: ${line.trim()}`),
    );
  expect(found).toEqual([]);
});

test.each([
  ['  return `*${name}* is out`;', true],
  ["  section('*Next*'),", true],
  ['  return `<@${user}>`;', true],
  ["  text.replaceAll('&', '&amp;')", true],
  ['  return rich`*${name}* is out`;', false],
  ['  const area = width * height;', false],
])('sees in %j whether it does: %s', (line, does) => {
  expect(platformWordsIn(line)).toBe(does);
});
