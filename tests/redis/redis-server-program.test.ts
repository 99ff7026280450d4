import { chmodSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { describe, expect, onTestFinished, test } from 'vitest';
import { findRedisServer, isNewEnough, serverVersion } from '../../src/redis/redis-server-program.ts';

function program(words: string): string {
  const folder = mkdtempSync(path.join(os.tmpdir(), 'dic-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  const file = path.join(folder, 'redis-server');
  writeFileSync(file, `#!/bin/sh\necho "${words}"\n`);
  chmodSync(file, 0o755);
  return file;
}

describe('serverVersion', () => {
  // First line: Redis 7.0.15 of Debian 12 as it prints itself. Second: Valkey 8, from memory.
  test.each([
    ['Redis server v=7.0.15 sha=00000000:0 malloc=jemalloc-5.3.0 bits=64 build=ae4d7c971a948f0', 7, 0],
    ['Valkey server v=8.1.1 sha=00000000:0 malloc=jemalloc-5.3.0 bits=64', 8, 1],
  ])('reads %s', (words, major, minor) => {
    expect(serverVersion(words)).toMatchObject({ major, minor });
  });

  test('knows no version in other words', () => {
    expect(serverVersion('bash: command not found')).toBeNull();
  });
});

describe('isNewEnough', () => {
  test.each([
    [6, 2, true],
    [6, 1, false],
    [5, 9, false],
    [7, 0, true],
    [8, 1, true],
  ])('says of Redis %i.%i: %s', (major, minor, expected) => {
    expect(isNewEnough({ major, minor })).toBe(expected);
  });
});

describe('findRedisServer', () => {
  test('finds the server of this machine', () => {
    expect(findRedisServer()).toMatch(/redis-server|valkey-server/);
  });

  test('passes an old server over for a newer one', () => {
    const newer = program('Redis server v=7.2.4 sha=0');
    expect(findRedisServer([program('Redis server v=5.0.14 sha=0'), newer])).toBe(newer);
  });

  test('names an old server and what to install', () => {
    const old = program('Redis server v=6.0.16 sha=0');
    expect(() => findRedisServer([old])).toThrow(
      `${old} 6.0.16 is too old to keep the record: install Redis 6.2`,
    );
  });
});
