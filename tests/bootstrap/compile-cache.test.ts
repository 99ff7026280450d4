import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { expect, it, onTestFinished } from 'vitest';

const file = path.resolve(import.meta.dirname, '../../src/bootstrap/compile-cache.mjs');
const { withCompileCache } = (await import(file)) as {
  withCompileCache: (
    env: Record<string, string | undefined>,
    root: string,
  ) => Record<string, string | undefined>;
};

it('gives Node a place for what it compiles, unless one is named, and Node keeps it there', () => {
  const root = mkdtempSync(path.join(os.tmpdir(), 'dicrotic-compiled-'));
  onTestFinished(() => rmSync(root, { recursive: true, force: true }));
  expect(withCompileCache({ NODE_COMPILE_CACHE: '/elsewhere' }, root)['NODE_COMPILE_CACHE']).toBe(
    '/elsewhere',
  );
  const env = withCompileCache({ PATH: process.env['PATH'] }, root);
  const place = env['NODE_COMPILE_CACHE'] ?? '';
  expect(existsSync(place)).toBe(false);
  const program = path.join(root, 'program.ts');
  writeFileSync(
    program,
    `import { part } from './part.ts';\nconst told: number = part;\nprocess.exitCode = told;\n`,
  );
  writeFileSync(
    path.join(root, 'part.ts'),
    `export const part: number = ${'1 + '.repeat(2_000)} 0 - 2000;\n`,
  );
  execFileSync(process.execPath, [program], { env });
  expect(readdirSync(place)).not.toEqual([]);
});
