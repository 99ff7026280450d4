import { spawn } from 'node:child_process';
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { describe, expect, onTestFinished, test } from 'vitest';
import { DataDirBusyError, lockDataDir } from '../../src/redis/data-dir-lock.ts';

function folder(): string {
  const made = mkdtempSync(path.join(os.tmpdir(), 'dic-'));
  onTestFinished(() => rmSync(made, { recursive: true, force: true }));
  return made;
}

/** A process that tries to hold the folder, says "held" or "busy", and keeps what it has until its input closes. */
function rival(dataDir: string) {
  const module = pathToFileURL(path.resolve(import.meta.dirname, '../../src/redis/data-dir-lock.ts')).href;
  const script = `
    const { lockDataDir } = await import(${JSON.stringify(module)});
    try { lockDataDir(${JSON.stringify(dataDir)}); console.log('held'); } catch { console.log('busy'); }
    process.stdin.resume();`;
  const child = spawn(process.execPath, ['--input-type=module', '-e', script], {
    stdio: ['pipe', 'pipe', 'inherit'],
  });
  onTestFinished(() => {
    child.kill('SIGKILL');
  });
  return new Promise<string>((resolve, reject) => {
    child.stdout.once('data', (chunk: Buffer) => resolve(chunk.toString().trim()));
    child.once('exit', () => reject(new Error('ended without a word')));
  });
}

describe('lockDataDir', () => {
  test('gives the folder to one holder at a time', () => {
    const dataDir = folder();
    const lock = lockDataDir(dataDir);
    expect(() => lockDataDir(dataDir)).toThrow(DataDirBusyError);
    lock.release();
    lockDataDir(dataDir).release();
    expect(readdirSync(dataDir)).toEqual([]);
  });

  test('lets an old holder release nothing that is no longer its own', () => {
    const dataDir = folder();
    const first = lockDataDir(dataDir);
    first.release();
    lockDataDir(dataDir);
    first.release();
    expect(() => lockDataDir(dataDir)).toThrow(DataDirBusyError);
  });

  test('gives a dead holder’s folder to exactly one of 6 that start at once', async () => {
    const dataDir = folder();
    writeFileSync(path.join(dataDir, 'dicrotic.lock'), JSON.stringify({ pid: 1, run: 'an earlier run' }));
    const words = await Promise.all(Array.from({ length: 6 }, () => rival(dataDir)));
    expect(words.toSorted((a, b) => a.localeCompare(b))).toEqual([
      'busy',
      'busy',
      'busy',
      'busy',
      'busy',
      'held',
    ]);
    expect(readdirSync(dataDir)).toEqual(['dicrotic.lock']);
  });
});
