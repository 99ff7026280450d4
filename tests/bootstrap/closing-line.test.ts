import { spawnSync } from 'node:child_process';
import { mkdirSync, symlinkSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import { closingLine } from '../support/closing-line-reporter.ts';
import { temporaryFolder } from './small-clone.ts';

const repository = path.resolve(import.meta.dirname, '..', '..');

/** Runs vitest with our reporter over the given test files, as `npm test` does, and gives back what it printed. */
function runVitest(files: Record<string, string>): { code: number | null; lines: string[] } {
  const root = temporaryFolder();
  mkdirSync(path.join(root, 'tests', 'support'), { recursive: true });
  symlinkSync(path.join(repository, 'node_modules'), path.join(root, 'node_modules'));
  const reporter = path.join(repository, 'tests', 'support', 'closing-line-reporter.ts');
  writeFileSync(
    path.join(root, 'vitest.config.ts'),
    `import { ClosingLineReporter } from ${JSON.stringify(reporter)};
     export default { test: { include: ['*.test.ts'], reporters: ['default', new ClosingLineReporter()] } };`,
  );
  for (const [name, text] of Object.entries(files)) {
    writeFileSync(path.join(root, name), `import { expect, test } from 'vitest';\n${text}`);
  }
  const vitest = path.join(repository, 'node_modules', 'vitest', 'vitest.mjs');
  const { status, stdout } = spawnSync(process.execPath, [vitest, 'run'], { cwd: root, encoding: 'utf8' });
  return { code: status, lines: stdout.trimEnd().split('\n') };
}

describe('closingLine', () => {
  test('leaves skipped tests out when there are none', () => {
    expect(closingLine({ passed: 12, failed: 0, skipped: 0 })).toBe('12 passed, 0 failed');
  });

  test('names skipped tests when there are some', () => {
    expect(closingLine({ passed: 3, failed: 1, skipped: 2 })).toBe('3 passed, 1 failed, 2 skipped');
  });
});

describe('a vitest run with the closing line', () => {
  test('ends with the counts alone on the last line', () => {
    const { code, lines } = runVitest({
      'a.test.ts': `test('a', () => { expect(1).toBe(1); }); test('b', () => { expect(1).toBe(2); }); test.skip('c', () => {});`,
    });
    expect(lines.at(-1)).toBe('1 passed, 1 failed, 1 skipped');
    expect(code).toBe(1);
  });

  test('counts a file that cannot be loaded as one failure', () => {
    const { code, lines } = runVitest({
      'a.test.ts': `test('a', () => { expect(1).toBe(1); });`,
      'b.test.ts': `import './missing.ts'; test('never', () => { expect(1).toBe(1); });`,
    });
    expect(lines.at(-1)).toBe('1 passed, 1 failed');
    expect(code).toBe(1);
  });

  test('counts an error that no test caught as one failure', () => {
    const { code, lines } = runVitest({
      'a.test.ts': `test('a', async () => { setTimeout(() => { throw new Error('late'); }, 5); await new Promise((done) => setTimeout(done, 50)); expect(1).toBe(1); });`,
    });
    expect(lines.at(-1)).toBe('1 passed, 1 failed');
    expect(code).toBe(1);
  });
});
