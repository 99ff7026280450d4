import { spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { Redis } from 'ioredis';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { recordFile } from '../../src/export/record-lines.ts';
import { createLog } from '../../src/observe/log.ts';
import { startEmbeddedRedis } from '../../src/redis/embedded-redis.ts';
import { readWardCopy, writeWardCopy } from '../../src/redis/ward-copies.ts';
import { nightWard } from '../export/ward-copies.ts';

const folder = mkdtempSync(path.join(os.tmpdir(), 'dic-ex-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const { copy, now } = nightWard();
const file = path.join(folder, 'night.ndjson');
const log = createLog({ level: 'silent', pretty: false });

function dataDir(name: string): string {
  return path.join(folder, name);
}

/** Runs a main as its npm script does, on an embedded Redis under `name`. */
function run(main: 'export' | 'restore', name: string, ...words: string[]) {
  const { status, stdout, stderr } = spawnSync(process.execPath, [`src/${main}/main.ts`, ...words], {
    encoding: 'utf8',
    env: { PATH: process.env['PATH'], DATA_DIR: dataDir(name) },
  });
  return { status, stdout, stderr };
}

beforeAll(() => writeFileSync(file, recordFile(copy, now)));

describe('npm run restore and npm run export', () => {
  test('bring a ward into an empty store and out again, the same entries byte for byte', () => {
    expect(run('restore', 'a', file)).toEqual({
      status: 0,
      stderr: '',
      stdout:
        'Restored: ward T0TEST.C0WARD, 2 lines, 15 entries. The bot posts the cards anew and tells what is due.\n',
    });
    const out = path.join(folder, 'again.ndjson');
    expect(run('export', 'a', '--ward', copy.wardId, '--out', out)).toMatchObject({ status: 0, stdout: '' });
    const body = (name: string) => readFileSync(name, 'utf8').split('\n').slice(1);
    expect(body(out)).toEqual(body(file));
    expect(statSync(out).mode & 0o777).toBe(0o600);
    expect(run('restore', 'a', file)).toMatchObject({
      status: 1,
      stderr: expect.stringContaining('holds something already'),
    });
    const csv = run('export', 'a', '--ward', copy.wardId, '--format', 'csv').stdout;
    expect(csv.split('\r\n')[0]).toMatch(/^ward,line,number,patient,/);
    const bundle: unknown = JSON.parse(run('export', 'a', '--ward', copy.wardId, '--format', 'fhir').stdout);
    expect(bundle).toMatchObject({ resourceType: 'Bundle', identifier: { value: copy.wardId } });
    expect(run('export', 'a', '--ward', 'T0.C0')).toMatchObject({
      status: 1,
      stderr: 'Ward T0.C0 holds nothing. Wards here: T0TEST.C0WARD.\n',
    });
  });

  test('take a copy while a bot has the store open', async () => {
    const embedded = await startEmbeddedRedis({ dataDir: dataDir('live'), log });
    const client = new Redis(embedded.connection);
    try {
      expect(await writeWardCopy(client, copy, defaultPolicy('UTC'), now)).toBe('written');
      const child = spawn(process.execPath, ['src/export/main.ts', '--ward', copy.wardId], {
        env: { PATH: process.env['PATH'], DATA_DIR: dataDir('live') },
      });
      let stdout = '';
      child.stdout.on('data', (chunk: Buffer) => {
        stdout += chunk.toString();
      });
      const code = await new Promise((resolve) => child.once('close', resolve));
      expect([code, stdout.split('\n').slice(1)]).toEqual([0, recordFile(copy, now).split('\n').slice(1)]);
      expect(await readWardCopy(client, copy.wardId)).toEqual(copy);
    } finally {
      client.disconnect();
      await embedded.stop();
    }
  });

  test('prove a file with --check and make no store for it', () => {
    const { status, stdout } = run('restore', 'none', '--check', file);
    expect([status, stdout]).toEqual([
      0,
      expect.stringMatching(/is whole: ward T0TEST.C0WARD, 2 lines, 15 entries.*same \d+ open duties\.\n$/),
    ]);
    expect(statSync(dataDir('none'), { throwIfNoEntry: false })).toBeUndefined();
  });

  test('refuse a broken file by its line and write nothing', () => {
    const broken = path.join(folder, 'broken.ndjson');
    writeFileSync(broken, readFileSync(file, 'utf8').replace('"gauge":24', '"gauge":25'));
    expect(run('restore', 'none', broken)).toMatchObject({
      status: 1,
      stdout: '',
      stderr: expect.stringMatching(
        /broken\.ndjson, line 5: entry\.body\.gauge: .*Nothing was restored\.\n$/,
      ),
    });
    writeFileSync(broken, Buffer.from([0xff, 0xfe, 0x7b]));
    expect(run('restore', 'none', broken).stderr).toContain('is not UTF-8');
    expect(statSync(dataDir('none'), { throwIfNoEntry: false })).toBeUndefined();
  });

  test.each<[main: 'export' | 'restore', words: string[], said: string]>([
    ['export', ['--ward', 'T.C', '--format', 'pdf'], '--format is pdf: use one of ndjson, csv'],
    ['export', ['--loud'], "Unknown option '--loud'"],
    ['restore', [], 'Name one file.'],
    ['restore', ['a', 'b'], 'Name one file.'],
    ['restore', ['/nowhere/a.ndjson'], 'cannot be read'],
  ])('say how %s is used at %j and end with 2', (main, words, said) => {
    const { status, stderr } = run(main, 'none', ...words);
    expect([status, stderr]).toEqual([2, expect.stringContaining(said)]);
    expect(stderr).toContain(`npm run ${main} -- `);
  });

  test('say that a folder holds no record', () => {
    expect(run('export', 'none', '--ward', 'T.C')).toMatchObject({
      status: 1,
      stderr: expect.stringContaining('holds no record'),
    });
  });

  test('list every bad setting and end with 2', () => {
    const { status, stderr } = spawnSync(process.execPath, ['src/export/main.ts'], {
      encoding: 'utf8',
      env: { PATH: process.env['PATH'], REDIS_URL: 'http://x', PORT: 'many' },
    });
    expect([status, stderr]).toEqual([2, expect.stringMatching(/REDIS_URL[\s\S]*PORT|PORT[\s\S]*REDIS_URL/)]);
  });
});
