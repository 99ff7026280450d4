import { execFile, spawn } from 'node:child_process';
import {
  appendFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { promisify } from 'node:util';
import { Redis } from 'ioredis';
import { describe, expect, onTestFinished, test } from 'vitest';
import type { Log } from '../../src/observe/log.ts';
import { type EmbeddedRedis, startEmbeddedRedis } from '../../src/redis/embedded-redis.ts';
import { processIdentity } from '../../src/redis/process-identity.ts';

const silent: Log = { debug() {}, info() {}, warn() {}, error() {} };

/** A short temporary folder, so that a socket fits into it; gone with the test. */
function dataFolder(): string {
  const folder = mkdtempSync(path.join(os.tmpdir(), 'dic-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

async function start(dataDir: string, log: Log = silent): Promise<EmbeddedRedis> {
  const redis = await startEmbeddedRedis({ dataDir, log });
  onTestFinished(() => redis.stop());
  return redis;
}

function clientOf(redis: Pick<EmbeddedRedis, 'connection'>): Redis {
  const client = new Redis({ ...redis.connection, retryStrategy: () => 50 });
  client.on('error', () => {});
  onTestFinished(() => client.disconnect());
  return client;
}

/** A process that has ended but was not reaped by its parent does not count. */
function isAlive(pid: number): boolean {
  return processIdentity(pid) !== null;
}

/** A process of its own that starts the embedded server, prints where it is, and waits to be killed. */
async function startElsewhere(
  dataDir: string,
): Promise<{ kill: () => Promise<void>; pid: number; serverPid: number }> {
  const starter = path.join(import.meta.dirname, 'start-and-wait.ts');
  const child = spawn(process.execPath, [starter, dataDir], { stdio: ['ignore', 'pipe', 'inherit'] });
  const ended = new Promise<void>((resolve) => {
    child.once('exit', () => resolve());
  });
  onTestFinished(() => {
    child.kill('SIGKILL');
  });
  const serverPid = await new Promise<number>((resolve, reject) => {
    child.stdout.once('data', (chunk: Buffer) => resolve(Number(chunk.toString())));
    child.once('exit', () => reject(new Error('ended before the server ran')));
  });
  const kill = async () => {
    child.kill('SIGKILL');
    await ended;
  };
  return { kill, pid: child.pid ?? 0, serverPid };
}

describe('startEmbeddedRedis', () => {
  test('writes through to disk, evicts nothing and ticks 100 times a second', async () => {
    const client = clientOf(await start(dataFolder()));
    const setting = async (name: string) => ((await client.config('GET', name)) as string[])[1];
    expect(await setting('appendonly')).toBe('yes');
    expect(await setting('appendfsync')).toBe('always');
    expect(await setting('maxmemory-policy')).toBe('noeviction');
    expect(await setting('hz')).toBe('100');
    expect(await setting('save')).toBe('');
  });

  test('keeps all data in the redis folder of DATA_DIR, closed to other users', async () => {
    const dataDir = dataFolder();
    const client = clientOf(await start(dataDir));
    await client.set('kept', 'yes');
    expect(readdirSync(path.join(dataDir, 'redis'))).toContain('appendonlydir');
    expect(statSync(path.join(dataDir, 'redis')).mode & 0o777).toBe(0o700);
    expect(statSync(path.join(dataDir, 'redis', 'redis.conf')).mode & 0o777).toBe(0o600);
  });

  test('makes DATA_DIR when it is missing', async () => {
    const dataDir = path.join(dataFolder(), 'new', 'deep');
    await start(dataDir);
    expect(existsSync(path.join(dataDir, 'redis'))).toBe(true);
  });

  test('listens on a private socket and on no port', async () => {
    const redis = await start(dataFolder());
    expect(redis.connection).toHaveProperty('path');
    const client = clientOf(redis);
    expect(((await client.config('GET', 'port')) as string[])[1]).toBe('0');
  });

  test('listens on loopback with a password where the path is too long for a socket', async () => {
    const dataDir = path.join(dataFolder(), 'x'.repeat(120));
    const redis = await start(dataDir);
    expect(redis.connection).toMatchObject({
      host: '127.0.0.1',
      password: expect.stringMatching(/^[\w-]{32}$/),
    });
    const client = clientOf(redis);
    expect(await client.ping()).toBe('PONG');
    if (!('port' in redis.connection)) throw new Error('not on a port');
    const stranger = new Redis({ host: '127.0.0.1', port: redis.connection.port, retryStrategy: () => null });
    stranger.on('error', () => {});
    onTestFinished(() => stranger.disconnect());
    await expect(stranger.set('a', 'b')).rejects.toThrow('NOAUTH');
  });

  test('works in a folder whose name has blanks, quotes and letters beyond ASCII', async () => {
    const dataDir = path.join(dataFolder(), `a "b" 'c' \\ é`);
    const first = await start(dataDir);
    await clientOf(first).set('kept', 'yes');
    await first.stop();
    expect(await clientOf(await start(dataDir)).get('kept')).toBe('yes');
  });

  test('keeps what was told over a stop and a start', async () => {
    const dataDir = dataFolder();
    const first = await start(dataDir);
    await clientOf(first).rpush('log', 'placed', 'zeroed');
    await first.stop();
    expect(isAlive(first.pid)).toBe(false);
    expect(await clientOf(await start(dataDir)).lrange('log', 0, -1)).toEqual(['placed', 'zeroed']);
  });

  test('leaves no lock and no socket behind when it stops', async () => {
    const dataDir = dataFolder();
    const redis = await start(dataDir);
    expect(existsSync(path.join(dataDir, 'dicrotic.lock'))).toBe(true);
    await redis.stop();
    expect(existsSync(path.join(dataDir, 'dicrotic.lock'))).toBe(false);
    expect(existsSync(path.join(dataDir, 'redis', 'redis.sock'))).toBe(false);
  });

  test('refuses a second live start on the same DATA_DIR and names the first process', async () => {
    const dataDir = dataFolder();
    const elsewhere = await startElsewhere(dataDir);
    await expect(startEmbeddedRedis({ dataDir, log: silent })).rejects.toThrow(
      `Dicrotic already runs on DATA_DIR ${dataDir} (process ${elsewhere.pid}): stop that process first, or give this one its own DATA_DIR and PORT.`,
    );
    expect(isAlive(elsewhere.serverPid)).toBe(true);
    await elsewhere.kill();
    await start(dataDir);
  });

  test('refuses a second start by the same process', async () => {
    const dataDir = dataFolder();
    await start(dataDir);
    await expect(startEmbeddedRedis({ dataDir, log: silent })).rejects.toThrow('already runs on DATA_DIR');
  });

  test('ends the server that a killed process left running, and keeps its data', async () => {
    const dataDir = dataFolder();
    const elsewhere = await startElsewhere(dataDir);
    const connection = { path: path.join(dataDir, 'redis', 'redis.sock') };
    await clientOf({ connection }).set('kept', 'yes');
    await elsewhere.kill();
    expect(isAlive(elsewhere.serverPid)).toBe(true);

    const redis = await start(dataDir);
    expect(isAlive(elsewhere.serverPid)).toBe(false);
    expect(redis.pid).not.toBe(elsewhere.serverPid);
    expect(await clientOf(redis).get('kept')).toBe('yes');
  });

  test('ends such a server also when it listens on a port', async () => {
    const dataDir = path.join(dataFolder(), 'x'.repeat(120));
    const elsewhere = await startElsewhere(dataDir);
    await elsewhere.kill();
    await start(dataDir);
    expect(isAlive(elsewhere.serverPid)).toBe(false);
  });

  test('ends such a server also when it hangs and answers nobody', async () => {
    const dataDir = dataFolder();
    const elsewhere = await startElsewhere(dataDir);
    rmSync(path.join(dataDir, 'redis', 'redis.sock'));
    await elsewhere.kill();
    await start(dataDir);
    expect(isAlive(elsewhere.serverPid)).toBe(false);
  });

  test('leaves a process alone that only got the number of an old server', async () => {
    const dataDir = dataFolder();
    mkdirSync(path.join(dataDir, 'redis'));
    const bystander = spawn(process.execPath, ['-e', 'setInterval(() => {}, 1000)'], { stdio: 'ignore' });
    onTestFinished(() => {
      bystander.kill('SIGKILL');
    });
    writeFileSync(path.join(dataDir, 'redis', 'redis.pid'), String(bystander.pid));
    await start(dataDir);
    expect(isAlive(bystander.pid ?? 0)).toBe(true);
  });

  test('takes over a lock whose process number now belongs to another process', async () => {
    const dataDir = dataFolder();
    writeFileSync(
      path.join(dataDir, 'dicrotic.lock'),
      JSON.stringify({ pid: process.ppid, run: 'an earlier run' }),
    );
    const redis = await start(dataDir);
    expect(await clientOf(redis).ping()).toBe('PONG');
  });

  test.each(['', '{"pid":', '[]'])('takes over a lock file that holds only %j', async (text) => {
    const dataDir = dataFolder();
    writeFileSync(path.join(dataDir, 'dicrotic.lock'), text);
    expect(await clientOf(await start(dataDir)).ping()).toBe('PONG');
  });

  // The backup described in docs/operations.md.
  // As docs/operations.md says, “Our own Redis, copied while it runs”.
  test('starts from a copy of the append-only folder taken while entries came in, with all that was told before', async () => {
    const dataDir = dataFolder();
    const client = clientOf(await start(dataDir));
    let told = 0;
    let isOver = false;
    const entries = (async () => {
      while (!isOver) {
        await client.rpush('log', ...Array.from({ length: 50 }, (_, n) => `entry ${told + n}`));
        told += 50;
      }
    })();
    await client.bgrewriteaof();
    await client.config('SET', 'auto-aof-rewrite-percentage', '0');
    await expect
      .poll(async () => /aof_rewrite_(in_progress|scheduled):1/.test(await client.info('persistence')), {
        timeout: 20_000,
      })
      .toBe(false);
    const before = told;
    const restored = dataFolder();
    mkdirSync(path.join(restored, 'redis'), { recursive: true });
    await promisify(execFile)('cp', [
      '-a',
      path.join(dataDir, 'redis', 'appendonlydir'),
      path.join(restored, 'redis'),
    ]);
    isOver = true;
    await entries;
    const kept = await clientOf(await start(restored)).lrange('log', 0, -1);
    expect(before).toBeGreaterThan(0);
    expect(kept.length).toBeGreaterThanOrEqual(before);
    expect(kept).toEqual(Array.from({ length: kept.length }, (_, n) => `entry ${n}`));
  });

  // A power cut tears the file in the middle of a write. Redis documents aof-load-truncated for it (redis.conf of 7.0).
  test.each([
    ['cut short', (file: string) => truncateSync(file, statSync(file).size - 7)],
    ['ended by half a command', (file: string) => appendFileSync(file, '*3\r\n$3\r\nSET\r\n$4\r\nlo')],
  ])('loads a file %s and loses only the torn write', async (_name, tear) => {
    const dataDir = dataFolder();
    const first = await start(dataDir);
    const client = clientOf(first);
    for (let entry = 0; entry < 20; entry += 1) await client.rpush('log', `entry ${entry}`);
    await first.stop();
    const folder = path.join(dataDir, 'redis', 'appendonlydir');
    const file = readdirSync(folder).find((name) => name.endsWith('.incr.aof'));
    tear(path.join(folder, file ?? ''));
    const log = await clientOf(await start(dataDir)).lrange('log', 0, -1);
    expect(log.slice(0, 19)).toEqual(Array.from({ length: 19 }, (_, entry) => `entry ${entry}`));
  });

  test('starts the server again on the same connection when it is killed', async () => {
    const redis = await start(dataFolder());
    const client = clientOf(redis);
    await client.set('kept', 'yes');
    const firstPid = redis.pid;
    process.kill(firstPid, 'SIGKILL');
    await expect.poll(() => redis.pid, { timeout: 10_000 }).not.toBe(firstPid);
    expect(await client.get('kept')).toBe('yes');
  });

  test('ends the last server also when it was started again in between', async () => {
    const redis = await start(dataFolder());
    const firstPid = redis.pid;
    process.kill(firstPid, 'SIGKILL');
    await expect.poll(() => redis.pid, { timeout: 10_000 }).not.toBe(firstPid);
    await redis.stop();
    expect(isAlive(redis.pid)).toBe(false);
  });

  test('names the folder and the remedy when DATA_DIR is a file', async () => {
    const file = path.join(dataFolder(), 'file');
    writeFileSync(file, '');
    await expect(startEmbeddedRedis({ dataDir: file, log: silent })).rejects.toThrow(
      `DATA_DIR ${file} cannot be used (ENOTDIR): it must be a folder this user may write to; change its owner or set DATA_DIR to another.`,
    );
  });

  test('says what to install when there is no server program, and holds no lock then', async () => {
    const dataDir = dataFolder();
    await expect(
      startEmbeddedRedis({ dataDir, log: silent, programNames: ['no-such-server'] }),
    ).rejects.toThrow(
      'No redis-server or valkey-server was found on this machine: install Redis 6.2 or newer',
    );
    await start(dataDir);
  });

  test("repeats the server's last words when it cannot start, and holds no lock then", async () => {
    const dataDir = dataFolder();
    mkdirSync(path.join(dataDir, 'redis', 'appendonlydir'), { recursive: true });
    writeFileSync(path.join(dataDir, 'redis', 'appendonlydir', 'appendonly.aof.manifest'), 'nonsense\n');
    await expect(startEmbeddedRedis({ dataDir, log: silent })).rejects.toThrow(
      /ended while starting[\s\S]*[Ii]nvalid/,
    );
    expect(existsSync(path.join(dataDir, 'dicrotic.lock'))).toBe(false);
  });

  test('writes no line of its log with anything but ids and fixed words', async () => {
    const lines: unknown[] = [];
    const log: Log = { ...silent, info: (fields) => lines.push(fields) };
    const redis = await start(dataFolder(), log);
    expect(lines).toEqual([{ serverPid: redis.pid }]);
  });

  test('lets two wards of one machine run side by side in folders of their own', async () => {
    const [one, two] = await Promise.all([start(dataFolder()), start(dataFolder())]);
    await clientOf(one).set('here', 'one');
    expect(await clientOf(two).get('here')).toBeNull();
    expect(readFileSync(`/proc/${one.pid}/cmdline`, 'utf8')).toContain('redis.conf');
  });
});
