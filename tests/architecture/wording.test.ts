import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import { isProse, namesAtAGlance, textsOf } from './prose.ts';

const src = path.resolve(import.meta.dirname, '..', '..', 'src');

/** Where everything a ward reads is said; `docs/decisions/023` says why there are two. */
const homes = ['wording', 'chat'];

/** Folders that say something and are no home, with who reads it. */
const exempt: Readonly<Record<string, string>> = {
  programs: 'operators, at the command line',
  service: 'operators, in the log and on /readyz',
  observe: 'operators, in metrics and on /readyz',
  redis: 'operators, at the start and in the log',
  export: 'other hospitals’ systems, and operators who restore',
  practice: 'whoever tries the bot out, on the stand-in’s own page',
  invented: 'nobody: an invented ward’s people, animals and notes',
  'app/rehearsal': 'nobody: an invented line to practise on',
};

/** Names that no type says, each with its file. */
const names: readonly (readonly [file: string, text: string])[] = [
  ['app/notify-loss.ts', 'lost entries'],
  ['domain/audit/attempts-of.ts', 'no line …'],
  ['domain/reading/targets.ts', 'low below high'],
  ['pictures/look.ts', 'Atkinson Hyperlegible'],
];

const modules = readdirSync(src, { recursive: true, encoding: 'utf8' })
  .filter((name) => name.endsWith('.ts'))
  .map((name) => name.split(path.sep).join('/'));
const isIn = (folders: readonly string[]) => (file: string) =>
  folders.some((folder) => file.startsWith(`${folder}/`));
const codeOf = (file: string) => readFileSync(path.join(src, file), 'utf8');
const read = (file: string) => textsOf(codeOf(file));

describe('what a ward reads', () => {
  test('is said in its two homes and nowhere else', () => {
    const outside = modules.filter((file) => !isIn([...homes, ...Object.keys(exempt)])(file));
    expect(outside.length).toBeGreaterThan(250);
    const texts = outside.map((file) => ({ file, ...read(file) }));
    // What the core or a home has as a name is one here too: kinds, answers, reasons.
    const named = [
      ...texts.flatMap((one) => one.names),
      ...modules.filter(isIn(homes)).flatMap((file) => namesAtAGlance(codeOf(file))),
    ];
    const found = texts.flatMap(({ file, prose }) =>
      prose
        .filter(({ text }) => !named.includes(text))
        .filter(({ text }) => !names.some(([of, name]) => of === file && name === text))
        .map(({ text, line }) => `src/${file}:${line} says “${text}”: say it in src/wording`),
    );
    expect(found).toEqual([]);
  });

  test.each(Object.keys(exempt))('is not asked of src/%s for nothing: it says something', (folder) => {
    expect(modules.filter(isIn([folder])).some((file) => read(file).prose.length > 0)).toBe(true);
  });

  test.each(names)('has a name in %s that looks like it: %s', (file, name) => {
    expect(read(file).prose.map(({ text }) => text)).toContain(name);
  });
});

describe('prose in a module', () => {
  test.each([
    ["say('The tap is open.');", ['The tap is open.']],
    ['say(`${name} is out`);', ['… is out']],
    ["const why = { dog: 'too heavy' };", ['too heavy']],
    ['say(rich`Look at *the limb* first`);', ['Look at *the limb* first']],
    ["const a = isOut ? 'came out' : 'out';", ['came out']],
  ])('is found in %s', (code, prose) => {
    expect(textsOf(code).prose.map(({ text }) => text)).toEqual(prose);
  });

  test.each([
    "import { a } from './two words.ts';",
    "type Found = 'not found' | 'not allowed';",
    "const all = ['dorsal pedal', 'median caudal'] as const;",
    "const kind = z.enum(['dorsal pedal', 'median caudal']);",
    "if (found === 'not found') stop();",
    "switch (kind) { case 'not found': stop(); }",
    "const label = { 'not found': 1 };",
    "throw new RangeError('a share of no line');",
    "log.warn({ ward }, 'a message was refused');",
    "deps.trouble('a message was refused', { ward });",
    "class Gone extends Error { constructor() { super('it is gone'); } }",
    'const svg = `<path d="M0 0" stroke="red thin"/>${text}`;',
    "const one = 'flush';",
  ])('is not what stands in %s', (code) => {
    expect(textsOf(code).prose).toEqual([]);
  });

  test('stands in the line that’s named', () => {
    expect(textsOf("const a = 1;\n\nsay('two words');\n").prose).toEqual([{ text: 'two words', line: 3 }]);
  });

  test.each([
    ['two words', true],
    ['One, two', true],
    ['flush', false],
    ['12 mL/kg', false],
    ['text/html; charset=utf-8', false],
  ])('%j: %s', (text, does) => {
    expect(isProse(text)).toBe(does);
  });
});
