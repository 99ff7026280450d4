import { spawnSync } from 'node:child_process';
import {
  copyFileSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { arrowsOfFolders, badArrows, circleIn, importsOf, layers, type ModuleImports } from './layers.ts';

const repository = path.resolve(import.meta.dirname, '..', '..');
const root = mkdtempSync(path.join(os.tmpdir(), 'dicrotic-arrows-'));
copyFileSync(path.join(repository, '.oxlintrc.json'), path.join(root, '.oxlintrc.json'));
copyFileSync(path.join(repository, 'tsconfig.json'), path.join(root, 'tsconfig.json'));
symlinkSync(path.join(repository, 'node_modules'), path.join(root, 'node_modules'));
afterAll(() => rmSync(root, { recursive: true, force: true }));

interface Finding {
  code: string;
  filename: string;
}

/** What the linter, with this repository's own configuration, finds in files of these contents. */
function lint(files: Record<string, string>, ...flags: string[]): string[] {
  const top = path.join(root, Object.keys(files)[0]?.split('/')[0] ?? '');
  for (const [name, text] of Object.entries(files)) {
    const file = path.join(root, name);
    mkdirSync(path.dirname(file), { recursive: true });
    writeFileSync(file, text);
  }
  const oxlint = path.join(repository, 'node_modules', 'oxlint', 'bin', 'oxlint');
  const run = spawnSync(process.execPath, [oxlint, ...flags, '--format', 'json', path.basename(top)], {
    cwd: root,
    encoding: 'utf8',
  });
  rmSync(top, { recursive: true, force: true });
  const report: { diagnostics: Finding[] } = JSON.parse(run.stdout);
  return report.diagnostics.map((finding) => finding.code);
}

const refused: [file: string, from: string][] = [
  ['src/domain/line/a.ts', '../../app/clock.ts'],
  ['src/domain/line/a.ts', '../../slack/bot.ts'],
  ['src/domain/line/a.ts', 'node:fs'],
  ['src/domain/line/a.ts', 'ioredis'],
  ['src/domain/line/a.ts', 'zod/mini'],
  ['src/app/a.ts', '../redis/keys.ts'],
  ['src/app/a.ts', '../jobs/wake.ts'],
  ['src/app/a.ts', 'node:http'],
  ['src/chat/a.ts', '../slack/bot.ts'],
  ['src/wording/care/a.ts', '../../chat/parts.ts'],
  ['src/chat/a.ts', '@slack/web-api'],
  ['src/chat/a.ts', '@slack/bolt'],
  ['src/slack/a.ts', '../practice/scenes.ts'],
  ['src/slack/a.ts', 'bullmq'],
  ['src/redis/a.ts', '@slack/web-api'],
  ['src/practice/platform/a.ts', '../../slack/bot.ts'],
  ['src/jobs/wake.ts', '../service/service.ts'],
  ['src/audit/a.ts', '../programs/audit/main.ts'],
  ['src/programs/demo/night.ts', '../audit/main.ts'],
  ['src/programs/config.ts', '../app/clock.ts'],
  ['src/programs/config.ts', '../redis/keys.ts'],
  ['src/programs/config.ts', 'node:fs'],
  ['src/nowhere/a.ts', 'zod'],
  ['src/app/a.ts', '../../tests/support/properties.ts'],
];

const allowed: [file: string, from: string][] = [
  ['src/domain/line/a.ts', '../policy/ward-policy.ts'],
  ['src/domain/line/a.ts', 'luxon'],
  ['src/chat/verbs/a.ts', '../../domain/strip/strip-findings.ts'],
  ['src/slack/a.ts', 'node:util'],
  ['src/programs/config.ts', '../redis/redis-address.ts'],
  ['src/programs/jobs/main.ts', '../bot/main.ts'],
  ['src/programs/demo/night.ts', '../command-stop.ts'],
];

function modulesOfTree(): ModuleImports[] {
  const names = readdirSync(path.join(repository, 'src'), { recursive: true, encoding: 'utf8' });
  return names
    .filter((name) => /\.(?:ts|js|mjs)$/.test(name))
    .map((name) => {
      const file = `src/${name.split(path.sep).join('/')}`;
      return { file, imports: importsOf(readFileSync(path.join(repository, file), 'utf8')) };
    });
}

describe('import arrows', () => {
  test('point inward everywhere in src', () => {
    const modules = modulesOfTree();
    expect(modules.length).toBeGreaterThan(600);
    expect(badArrows(modules)).toEqual([]);
  });

  test.each(refused)('refuses that %s imports %s', (file, from) => {
    expect(badArrows([{ file, imports: [from] }])).toHaveLength(1);
  });

  test.each(allowed)('lets %s import %s', (file, from) => {
    expect(badArrows([{ file, imports: [from] }])).toEqual([]);
  });

  test('go one way: each layer imports only layers named before it', () => {
    const names = Object.keys(layers);
    for (const [name, layer] of Object.entries(layers))
      for (const below of layer.layers) expect(names.indexOf(below)).toBeLessThan(names.indexOf(name));
  });

  test('make no circle among the folders of src', () => {
    const arrows = arrowsOfFolders(modulesOfTree());
    expect(arrows.size).toBeGreaterThanOrEqual(60);
    expect(circleIn(arrows)).toBeNull();
  });

  test.each<[arrows: Record<string, string[]>, circle: string[] | null]>([
    [{ a: ['b'], b: ['c'], c: [] }, null],
    [{ a: ['b', 'c'], b: ['c'], c: [] }, null],
    [{ a: ['b'], b: ['c'], c: ['b'] }, ['b', 'c', 'b']],
    [{ a: [], b: ['b'] }, ['b', 'b']],
  ])('sees the circle in %j', (arrows, circle) => {
    expect(circleIn(new Map(Object.entries(arrows)))).toEqual(circle);
  });

  test.each([
    ["import { a } from './a.ts';", './a.ts'],
    ["import type { A } from './a.ts';", './a.ts'],
    ["import {\n  a,\n  b,\n} from './a.ts';", './a.ts'],
    ["export { a } from './a.ts';", './a.ts'],
    ["export * from './a.ts';", './a.ts'],
    ["import './a.ts';", './a.ts'],
    ["const later = () => import('./a.ts');", './a.ts'],
  ])('sees the import in %s', (text, specifier) => {
    expect(importsOf(`${text}\n`)).toEqual([specifier]);
  });

  test('takes words for no import', () => {
    expect(importsOf("const said = ['taken from ', 'import '];\n")).toEqual([]);
  });

  test('refuses two files that import each other', () => {
    const files = {
      'src/app/a.ts': "import { b } from './b.ts';\nexport const a = () => b;\n",
      'src/app/b.ts': "import { a } from './a.ts';\nexport const b = () => a;\n",
    };
    expect(lint(files)).toContain('import(no-cycle)');
  });
});

describe('what a folder may not reach for', () => {
  test.each([
    ['src/domain/a.ts', 'export const at = Date.now();', 'eslint(no-restricted-globals)'],
    ['src/domain/a.ts', 'export const at = new Date();', 'eslint(no-restricted-globals)'],
    ['src/app/a.ts', 'export const at = Date.now();', 'eslint(no-restricted-globals)'],
    [
      'src/domain/a.ts',
      "import { DateTime } from 'luxon';\nexport const at = DateTime.now();",
      'eslint(no-restricted-properties)',
    ],
    [
      'src/domain/a.ts',
      "import { DateTime } from 'luxon';\nexport const at = DateTime.utc();",
      'eslint(no-restricted-properties)',
    ],
    [
      'src/domain/a.ts',
      "import { DateTime } from 'luxon';\nexport const at = DateTime.local();",
      'eslint(no-restricted-properties)',
    ],
    ['src/domain/a.ts', 'export const luck = Math.random();', 'eslint(no-restricted-properties)'],
    ['src/domain/a.ts', "export const port = process.env['PORT'];", 'node(no-process-env)'],
    ['src/slack/a.ts', "export const port = process.env['PORT'];", 'node(no-process-env)'],
    ['src/redis/a.ts', 'export const { PORT } = process.env;', 'node(no-process-env)'],
    ['src/programs/config.ts', "export const port = process.env['PORT'];", 'node(no-process-env)'],
    ['src/jobs/wake.ts', "export const port = process.env['PORT'];", 'node(no-process-env)'],
    [
      'src/slack/a.ts',
      "import { env } from 'node:process';\nexport const e = env;",
      'eslint(no-restricted-imports)',
    ],
    ['src/slack/a.ts', "export default 'thing';", 'import(no-default-export)'],
    ['src/slack/a.ts', "console.log('words');", 'eslint(no-console)'],
  ])('refuses in %s: %s', (file, text, code) => {
    expect(lint({ [file]: `${text}\n` })).toContain(code);
  });

  test.each(['src/programs/bot/main.ts', 'src/programs/strip/main.ts', 'src/programs/erase/main.ts'])(
    'lets %s read the environment',
    (file) => {
      expect(lint({ [file]: "export const port = process.env['PORT'];\n" })).not.toContain(
        'node(no-process-env)',
      );
    },
  );

  test('lets the clock read the machine clock', () => {
    expect(lint({ 'src/app/clock.ts': 'export const at = () => Date.now();\n' })).toEqual([]);
  });
});

describe('rules that need types', () => {
  test('refuses a promise that nobody waits for', () => {
    const text = 'const post = async () => 1;\nexport const nudge = () => {\n  post();\n};\n';
    expect(lint({ 'src/slack/a.ts': text }, '--type-aware')).toContain('typescript(no-floating-promises)');
  });

  test('refuses a switch that leaves a case out', () => {
    const text =
      "export function say(kind: 'flush' | 'zero'): number {\n  switch (kind) {\n    case 'flush':\n      return 1;\n  }\n  return 0;\n}\n";
    expect(lint({ 'src/domain/a.ts': text }, '--type-aware')).toContain(
      'typescript(switch-exhaustiveness-check)',
    );
  });
});

describe('the linter on this repository', () => {
  test('looks at the folders of src at all', () => {
    const oxlint = path.join(repository, 'node_modules', 'oxlint', 'bin', 'oxlint');
    const run = spawnSync(process.execPath, [oxlint, '--format', 'json', 'src'], {
      cwd: repository,
      encoding: 'utf8',
    });
    const report: { number_of_files: number } = JSON.parse(run.stdout);
    expect(report.number_of_files).toBeGreaterThan(5);
  });
});
