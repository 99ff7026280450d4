import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { screenOf } from '../../src/chat/help/screens.ts';
import { commandVerbs, parseCommand } from '../../src/chat/typed/parse-command.ts';

const readme = readFileSync(new URL('../../README.md', import.meta.url), 'utf8');
const typed = [...readme.matchAll(/`\/artline ([a-z]+)/g)].map(([, verb = '']) => verb);

describe('the verbs that the README and help name', () => {
  it.each([...commandVerbs])('%s is typed in the README and has a screen', (verb) => {
    expect(typed).toContain(verb);
    expect(screenOf(verb)?.verb).toBe(verb);
  });

  it('are all real ones', () => {
    for (const verb of typed) expect(parseCommand(verb), verb).toEqual({ is: 'verb', verb, rest: '' });
  });
});
