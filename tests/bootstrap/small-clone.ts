import { spawn } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { onTestFinished } from 'vitest';

const repository = path.resolve(import.meta.dirname, '..', '..');

/** How a program ended and what it printed. */
export interface Ending {
  code: number | null;
  output: string;
}

/** A temporary folder that goes away with the test. */
export function temporaryFolder(): string {
  const folder = mkdtempSync(path.join(os.tmpdir(), 'dicrotic-test-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

/** Writes an executable shell script. */
export function writeProgram(file: string, shell: string): void {
  mkdirSync(path.dirname(file), { recursive: true });
  writeFileSync(file, `#!/bin/sh\n${shell}\n`, { mode: 0o755 });
}

/**
 * A repository of its own with the real bootstrap, one invented dependency that counts as installed, the real
 * Node 24 and the given main.
 */
export function smallClone(mainSource: string): string {
  const root = temporaryFolder();
  cpSync(path.join(repository, 'src', 'bootstrap'), path.join(root, 'src', 'bootstrap'), { recursive: true });
  mkdirSync(path.join(root, 'src', 'programs', 'bot'), { recursive: true });
  writeFileSync(path.join(root, 'src', 'programs', 'bot', 'main.ts'), mainSource);
  writeFileSync(path.join(root, 'package.json'), JSON.stringify({ name: 'small', type: 'module' }));
  const lock = { packages: { '': {}, 'node_modules/invented': { version: '1.0.0' } } };
  writeFileSync(path.join(root, 'package-lock.json'), JSON.stringify(lock));
  mkdirSync(path.join(root, 'node_modules', 'node', 'bin'), { recursive: true });
  writeFileSync(path.join(root, 'node_modules', '.package-lock.json'), JSON.stringify(lock));
  symlinkSync(process.execPath, path.join(root, 'node_modules', 'node', 'bin', 'node'));
  return root;
}

/** Starts `node src/bootstrap/run.mjs <words>` in a small clone, on the Node that runs the tests. */
export function startBootstrap(root: string, words: readonly string[], env: Record<string, string> = {}) {
  const child = spawn(process.execPath, ['src/bootstrap/run.mjs', ...words], {
    cwd: root,
    env: { PATH: process.env['PATH'] ?? '', REDIS_URL: 'redis://127.0.0.1:1', ...env },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let output = '';
  const collect = (chunk: Buffer) => {
    output += chunk.toString();
  };
  child.stdout.on('data', collect);
  child.stderr.on('data', collect);
  const ended = new Promise<Ending>((resolve) => {
    child.on('close', (code) => resolve({ code, output }));
  });
  const printed = (text: string) =>
    new Promise<void>((resolve, reject) => {
      const look = () => {
        if (output.includes(text)) resolve();
      };
      child.stdout.on('data', look);
      child.stderr.on('data', look);
      child.on('close', () => reject(new Error(`ended before printing "${text}":\n${output}`)));
      look();
    });
  return { child, ended, printed };
}
