import { spawnSync } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';

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

const importing = (from: string) => `import { thing } from '${from}';\nexport const used = [thing];\n`;

const refused: [file: string, from: string][] = [
  ['src/domain/line/a.ts', '../../app/clock.ts'],
  ['src/domain/line/a.ts', '../../slack/app.ts'],
  ['src/domain/line/a.ts', '../../chat/parts.ts'],
  ['src/domain/line/a.ts', '../../redis/store.ts'],
  ['src/domain/line/a.ts', '../../practice/platform/world.ts'],
  ['src/domain/line/a.ts', '../../observe/log.ts'],
  ['src/domain/line/a.ts', '../../config.ts'],
  ['src/domain/line/a.ts', '../../main.ts'],
  ['src/domain/line/a.ts', '../../../jobs/wake.ts'],
  ['src/domain/line/a.ts', 'node:fs'],
  ['src/domain/line/a.ts', 'ioredis'],
  ['src/domain/line/a.ts', '@slack/bolt'],
  ['src/domain/line/a.ts', 'zod/mini'],
  ['src/app/a.ts', '../slack/app.ts'],
  ['src/app/a.ts', '../chat/parts.ts'],
  ['src/app/a.ts', '../redis/store.ts'],
  ['src/app/a.ts', '../practice/practice-world.ts'],
  ['src/app/a.ts', '../observe/log.ts'],
  ['src/app/a.ts', '../config.ts'],
  ['src/app/a.ts', '../../jobs/wake.ts'],
  ['src/app/a.ts', 'ioredis'],
  ['src/app/a.ts', 'bullmq'],
  ['src/app/a.ts', '@slack/bolt'],
  ['src/app/a.ts', 'node:http'],
  ['src/chat/a.ts', '../redis/store.ts'],
  ['src/chat/a.ts', '../practice/practice-world.ts'],
  ['src/chat/a.ts', '../../jobs/wake.ts'],
  ['src/slack/a.ts', '../redis/store.ts'],
  ['src/slack/a.ts', '../practice/practice-world.ts'],
  ['src/slack/a.ts', '../../jobs/wake.ts'],
  ['src/slack/a.ts', 'ioredis'],
  ['src/slack/a.ts', 'bullmq'],
  ['src/redis/a.ts', '../slack/app.ts'],
  ['src/redis/a.ts', '../chat/parts.ts'],
  ['src/redis/a.ts', '../practice/practice-world.ts'],
  ['src/redis/a.ts', '../../jobs/wake.ts'],
  ['src/redis/a.ts', '@slack/web-api'],
  ['src/practice/a.ts', '../slack/app.ts'],
  ['src/practice/a.ts', '../redis/store.ts'],
  ['src/practice/a.ts', '../../jobs/wake.ts'],
  ['src/practice/a.ts', '@slack/bolt'],
  ['src/practice/platform/a.ts', '../../slack/app.ts'],
  ['src/observe/a.ts', '../slack/app.ts'],
  ['src/observe/a.ts', '../redis/store.ts'],
  ['src/observe/a.ts', '../../jobs/wake.ts'],
  ['src/config.ts', './app/clock.ts'],
  ['src/config.ts', 'node:fs'],
  ['src/demo/night.ts', '../../jobs/wake.ts'],
  ['src/domain/line/a.ts', '../../strip/findings-text.ts'],
  ['src/app/a.ts', '../strip/findings-text.ts'],
  ['src/strip/a.ts', '../slack/app.ts'],
  ['src/strip/a.ts', '../app/clock.ts'],
  ['src/domain/line/a.ts', '../../pictures/look.ts'],
  ['src/app/a.ts', '../pictures/look.ts'],
  ['src/pictures/a.ts', '../slack/app.ts'],
  ['src/pictures/a.ts', '../strip/strip-svg.ts'],
  ['src/domain/line/a.ts', '../../paper/a4-page.ts'],
  ['src/app/a.ts', '../paper/a4-page.ts'],
  ['src/paper/a.ts', '../slack/app.ts'],
  ['src/paper/a.ts', '../redis/store.ts'],
  ['src/domain/line/a.ts', '../../audit/audit-text.ts'],
  ['src/app/a.ts', '../audit/audit-text.ts'],
  ['src/redis/a.ts', '../audit/audit-text.ts'],
  ['src/audit/a.ts', '../slack/app.ts'],
  ['src/audit/a.ts', '../redis/store.ts'],
  ['jobs/wake.ts', '../src/audit/audit-text.ts'],
  ['src/domain/line/a.ts', '../../export/record-lines.ts'],
  ['src/app/a.ts', '../export/record-lines.ts'],
  ['src/redis/a.ts', '../export/record-lines.ts'],
  ['src/export/a.ts', '../redis/store.ts'],
  ['src/export/a.ts', '../slack/app.ts'],
  ['src/export/a.ts', '../config.ts'],
  ['src/export/a.ts', '../restore/main.ts'],
  ['jobs/wake.ts', '../src/slack/app.ts'],
  ['jobs/wake.ts', '../src/redis/store.ts'],
  ['jobs/wake.ts', '../src/practice/practice-world.ts'],
  ['jobs/wake.ts', '../src/main.ts'],
  ['jobs/wake.ts', 'ioredis'],
  ['jobs/wake.ts', '@slack/bolt'],
];

const allowed: [file: string, from: string][] = [
  ['src/domain/line/a.ts', 'luxon'],
  ['src/domain/line/a.ts', 'zod'],
  ['src/domain/line/a.ts', '../policy/ward-policy.ts'],
  ['src/domain/duties/a.ts', '../strip/strip-findings.ts'],
  ['src/app/a.ts', '../domain/strip/strip-findings.ts'],
  ['src/strip/a.ts', '../domain/strip/strip-findings.ts'],
  ['src/strip/a.ts', '../pictures/look.ts'],
  ['src/pictures/a.ts', '../domain/audit/lines-audit.ts'],
  ['src/domain/ward/a.ts', '../audit/line-course.ts'],
  ['src/app/a.ts', '../domain/audit/line-course.ts'],
  ['src/audit/a.ts', '../pictures/picture.ts'],
  ['src/audit/a.ts', '../app/audits.ts'],
  ['src/audit/audit-worker.ts', '../redis/store.ts'],
  ['src/slack/a.ts', '../audit/audit-text.ts'],
  ['src/slack/a.ts', '../paper/make-paper.ts'],
  ['src/export/a.ts', '../domain/record/entry.ts'],
  ['src/export/a.ts', '../app/ward-copy.ts'],
  ['src/export/main.ts', '../redis/store.ts'],
  ['src/restore/main.ts', '../export/restore-record.ts'],
  ['src/app/a.ts', '../domain/policy/ward-policy.ts'],
  ['src/app/a.ts', './clock.ts'],
  ['src/slack/a.ts', '../app/clock.ts'],
  ['src/slack/blocks/a.ts', '@slack/bolt'],
  ['src/redis/a.ts', '../app/clock.ts'],
  ['src/redis/a.ts', 'ioredis'],
  ['src/redis/a.ts', 'bullmq'],
  ['src/practice/a.ts', '../app/clock.ts'],
  ['src/observe/a.ts', 'pino'],
  ['src/config.ts', 'zod'],
  ['jobs/wake.ts', '../src/app/clock.ts'],
  ['src/main.ts', './slack/app.ts'],
  ['src/main.ts', '../jobs/wake.ts'],
  ['jobs/main.ts', '../src/redis/store.ts'],
  ['src/demo/main.ts', '../../jobs/wake.ts'],
];

describe('import arrows', () => {
  test.each(refused)('refuses that %s imports %s', (file, from) => {
    expect(lint({ [file]: importing(from) })).toContain('eslint(no-restricted-imports)');
  });

  test.each(allowed)('lets %s import %s', (file, from) => {
    expect(lint({ [file]: importing(from) })).not.toContain('eslint(no-restricted-imports)');
  });

  test('refuses a forbidden file that is only exported on', () => {
    const files = { 'src/domain/a.ts': "export { thing } from '../slack/app.ts';\n" };
    expect(lint(files)).toContain('eslint(no-restricted-imports)');
  });

  test('refuses a forbidden file that is imported for its types alone', () => {
    const files = { 'src/app/a.ts': "import type { T } from '../redis/store.ts';\nexport type U = T;\n" };
    expect(lint(files)).toContain('eslint(no-restricted-imports)');
  });

  test('refuses a forbidden file that is imported late', () => {
    const files = { 'src/slack/a.ts': "export const later = () => import('../redis/store.ts');\n" };
    expect(lint(files)).toContain('eslint(no-restricted-imports)');
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
    ['src/config.ts', "export const port = process.env['PORT'];", 'node(no-process-env)'],
    ['jobs/wake.ts', "export const port = process.env['PORT'];", 'node(no-process-env)'],
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

  test.each([
    'src/main.ts',
    'jobs/main.ts',
    'src/demo/main.ts',
    'src/strip/main.ts',
    'src/export/main.ts',
    'src/restore/main.ts',
    'src/restore/erase.ts',
  ])('lets %s read the environment', (file) => {
    expect(lint({ [file]: "export const port = process.env['PORT'];\n" })).not.toContain(
      'node(no-process-env)',
    );
  });

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
