import { spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import os from 'node:os';
import path from 'node:path';
import { Redis } from 'ioredis';
import { afterAll, beforeAll, describe, expect, onTestFinished, test } from 'vitest';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { recordFile } from '../../src/export/record-lines.ts';
import { createLog } from '../../src/observe/log.ts';
import { exportCommand } from '../../src/programs/export/export-command.ts';
import { restoreCommand } from '../../src/programs/restore/restore-command.ts';
import { startEmbeddedRedis } from '../../src/redis/embedded-redis.ts';
import { readWardCopy, writeWardCopy } from '../../src/redis/ward-copies.ts';
import { nightWard } from '../export/ward-copies.ts';
import { bareEnv } from '../support/bare-env.ts';
import { calledCommand, type Ended } from '../support/called-command.ts';
import { startTestRedis } from '../support/redis-for-tests.ts';
import { midShiftZone, startPracticeProcess } from './practice-process.ts';

const folder = mkdtempSync(path.join(os.tmpdir(), 'dic-ex-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const { copy, now } = nightWard();
const file = path.join(folder, 'night.ndjson');
const log = createLog({ level: 'silent', pretty: false });

function dataDir(name: string): string {
  return path.join(folder, name);
}

const commands = { export: exportCommand, restore: restoreCommand };

/** On an embedded Redis under `name`, or on the Redis of a URL. */
function envOf(name: string): NodeJS.ProcessEnv {
  const where = name.startsWith('redis:') ? { REDIS_URL: name } : { DATA_DIR: dataDir(name) };
  return { ...bareEnv, WARD_TZ: midShiftZone, ...where };
}

/** Carries a command out, in this process. */
function run(command: keyof typeof commands, name: string, ...words: string[]): Promise<Ended> {
  return calledCommand(commands[command], words, envOf(name));
}

/** Runs a main as its npm script does. */
function runMain(main: keyof typeof commands, name: string, ...words: string[]): Ended {
  const { status, stdout, stderr } = spawnSync(process.execPath, [`src/programs/${main}/main.ts`, ...words], {
    encoding: 'utf8',
    env: envOf(name),
  });
  return { status, stdout, stderr };
}

/** A server for one test that a REDIS_URL can name. */
async function redisOnPort(...extra: string[]) {
  const port = await new Promise<number>((resolve, reject) => {
    const server = createServer();
    server.once('error', reject);
    server.listen(0, '127.0.0.1', () => {
      const address = server.address();
      server.close(() => resolve(typeof address === 'object' && address ? address.port : 0));
    });
  });
  const redis = await startTestRedis(['--port', String(port), '--bind', '127.0.0.1', ...extra]);
  onTestFinished(() => redis.stop());
  return { url: `redis://127.0.0.1:${port}`, redis };
}

beforeAll(() => writeFileSync(file, recordFile(copy, now)));

describe('npm run restore and npm run export', () => {
  test('bring a ward into an empty embedded store and out again, the same entries byte for byte', () => {
    expect(runMain('restore', 'a', file)).toEqual({
      status: 0,
      stderr: '',
      stdout:
        'Restored: ward T0TEST.C0WARD, 2 lines, 15 entries. The bot posts the cards anew and tells what is due.\n',
    });
    const out = path.join(folder, 'again.ndjson');
    expect(runMain('export', 'a', '--ward', copy.wardId, '--out', out)).toEqual({
      status: 0,
      stdout: '',
      stderr: `${out}: ward T0TEST.C0WARD, 2 lines, 15 entries.\n`,
    });
    const body = (name: string) => readFileSync(name, 'utf8').split('\n').slice(1);
    expect(body(out)).toEqual(body(file));
    expect(statSync(out).mode & 0o777).toBe(0o600);
  });

  test('work on the Redis of a REDIS_URL, in every format', async () => {
    const { url, redis } = await redisOnPort();
    expect(await run('restore', url, file)).toMatchObject({ status: 0 });
    expect(await run('restore', url, file)).toMatchObject({
      status: 1,
      stderr: expect.stringContaining('holds something already'),
    });
    const csv = (await run('export', url, '--ward', copy.wardId, '--format', 'csv', '--bom')).stdout;
    expect(csv.split('\r\n')[0]).toMatch(/^\uFEFFward,line,number,patient,/);
    const bundle: unknown = JSON.parse(
      (await run('export', url, '--ward', copy.wardId, '--format', 'fhir')).stdout,
    );
    expect(bundle).toMatchObject({ resourceType: 'Bundle', identifier: { value: copy.wardId } });
    expect(await run('export', url, '--ward', 'T0.C0')).toEqual({
      status: 1,
      stdout: '',
      stderr: 'Ward T0.C0 holds nothing. Wards here: T0TEST.C0WARD.\n',
    });
    expect(await run('export', url)).toMatchObject({
      status: 2,
      stderr: expect.stringContaining('Name a ward with --ward. Wards here: T0TEST.C0WARD.'),
    });
    expect(
      await run('export', url, '--ward', copy.wardId, '--out', path.join(folder, 'no', 'x')),
    ).toMatchObject({
      status: 1,
      stderr: expect.stringContaining('cannot be written (ENOENT)'),
    });
    const client = redis.client();
    expect(await readWardCopy(client, copy.wardId)).toEqual(copy);
  });

  test('leave a file from before as it is when the new one cannot be made', async () => {
    const { url } = await redisOnPort();
    const out = path.join(folder, 'kept.ndjson');
    writeFileSync(out, 'from before');
    expect(await run('export', url, '--ward', copy.wardId, '--out', out)).toMatchObject({ status: 1 });
    expect(readFileSync(out, 'utf8')).toBe('from before');
  });

  test('put no record into a Redis that may forget it', async () => {
    const { url, redis } = await redisOnPort('--maxmemory-policy', 'allkeys-lru');
    expect(await run('restore', url, file)).toMatchObject({
      status: 1,
      stderr: expect.stringContaining('noeviction'),
    });
    expect(await redis.client().dbsize()).toBe(0);
  });

  test('take a copy while a bot has the store open', async () => {
    const embedded = await startEmbeddedRedis({ dataDir: dataDir('live'), log });
    const client = new Redis(embedded.connection);
    try {
      expect(await writeWardCopy(client, copy, defaultPolicy('UTC'), now)).toBe('written');
      const child = spawn(process.execPath, ['src/programs/export/main.ts', '--ward', copy.wardId], {
        env: { ...bareEnv, DATA_DIR: dataDir('live') },
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

  test('prove a file with --check and make no store for it', async () => {
    const { status, stdout } = await run('restore', 'none', '--check', file);
    expect([status, stdout]).toEqual([
      0,
      expect.stringMatching(/is whole: ward T0TEST.C0WARD, 2 lines, 15 entries.*same \d+ open duties\.\n$/),
    ]);
    expect(statSync(dataDir('none'), { throwIfNoEntry: false })).toBeUndefined();
  });

  test('take a file that an earlier version wrote, and say what is set to its default', async () => {
    const old = path.join(folder, 'old.ndjson');
    writeFileSync(old, readFileSync(file, 'utf8').replace('"lapsedAfterDays":90,', ''));
    const said = 'An earlier version wrote it: in 1 line what came later is set to its default. ';
    expect(await run('restore', 'none', '--check', old)).toMatchObject({
      status: 0,
      stdout: expect.stringContaining(`15 entries. ${said}Read and written again it is the same`),
    });
    expect(await run('restore', 'old', old)).toMatchObject({
      status: 0,
      stdout: expect.stringContaining(`15 entries. ${said}The bot posts the cards anew`),
    });
  });

  test('say of a file that mail or an editor changed what was done to it', async () => {
    const changed = path.join(folder, 'changed.ndjson');
    writeFileSync(changed, readFileSync(file, 'utf8').replaceAll('\n', '\r\n'));
    expect(await run('restore', 'none', changed)).toMatchObject({
      status: 1,
      stderr: expect.stringMatching(
        /would not come back as it is: its line ends are CRLF.*Nothing was restored\.\n$/,
      ),
    });
  });

  test('refuse a broken file by its line and write nothing', async () => {
    const broken = path.join(folder, 'broken.ndjson');
    writeFileSync(broken, readFileSync(file, 'utf8').replace('"gauge":24', '"gauge":25'));
    expect(await run('restore', 'none', broken)).toMatchObject({
      status: 1,
      stdout: '',
      stderr: expect.stringMatching(
        /broken\.ndjson, line 5: entry\.body\.gauge: .*Nothing was restored\.\n$/,
      ),
    });
    writeFileSync(broken, Buffer.from([0xff, 0xfe, 0x7b]));
    expect((await run('restore', 'none', broken)).stderr).toContain('is not UTF-8');
    expect(statSync(dataDir('none'), { throwIfNoEntry: false })).toBeUndefined();
  });

  test.each<[main: 'export' | 'restore', words: string[], said: string]>([
    ['export', ['--ward', 'T.C', '--format', 'pdf'], '--format is pdf: use one of ndjson, csv'],
    ['export', ['--loud'], "Unknown option '--loud'"],
    ['restore', [], 'Name one file.'],
    ['restore', ['a', 'b'], 'Name one file.'],
    ['restore', ['/nowhere/a.ndjson'], 'cannot be read'],
  ])('say how %s is used at %j and end with 2', async (main, words, said) => {
    const { status, stderr } = await run(main, 'none', ...words);
    expect([status, stderr]).toEqual([2, expect.stringContaining(said)]);
    expect(stderr).toContain(`npm run ${main} -- `);
  });

  test('say that a folder holds no record', async () => {
    expect(await run('export', 'none', '--ward', 'T.C')).toMatchObject({
      status: 1,
      stderr: expect.stringContaining('holds no record'),
    });
  });

  test('list every bad setting and end with 2', async () => {
    const bad = { ...bareEnv, REDIS_URL: 'http://x', PORT: 'many' };
    const { status, stderr } = await calledCommand(exportCommand, [], bad);
    expect([status, stderr]).toEqual([2, expect.stringMatching(/REDIS_URL[\s\S]*PORT|PORT[\s\S]*REDIS_URL/)]);
  });

  test('bring a ward into a store on which a bot is running, which posts its cards and goes on', async () => {
    const running = await startPracticeProcess(dataDir('running'));
    try {
      const at = Date.now() - 3_600_000;
      const ward = 'T0PRACTICE.C0WARDEAST';
      writeFileSync(path.join(folder, 'into.ndjson'), recordFile({ ...copy, wardId: ward }, at));
      expect(await run('restore', 'running', path.join(folder, 'into.ndjson'))).toMatchObject({ status: 0 });
      await running.until('the card', ({ messages }) =>
        messages['C0WARDEAST']?.find(({ text }) => text.includes('Biscuit')),
      );
      expect(await run('restore', 'running', path.join(folder, 'into.ndjson'))).toMatchObject({
        status: 1,
        stderr: expect.stringContaining('holds something already'),
      });
    } finally {
      await running.kill('SIGTERM');
    }
  }, 60_000);

  // What the whole thing is for: the machine is gone, the export is there.
  test('bring a ward back to a bot on another machine, with its card and what is due', async () => {
    const lost = await startPracticeProcess(dataDir('lost'));
    const act = (text: string) => lost.act({ kind: 'slash', user: 'U0NURSEINA', where: 'ward', text });
    await act('place Biscuit dog 28kg left dorsal pedal 20g manual');
    const form = await lost.until('the form', ({ views }) => views['U0NURSEINA']);
    await lost.act({ kind: 'submit', user: 'U0NURSEINA', viewId: form.id });
    await lost.until('the card', ({ messages }) => messages['C0WARDEAST']?.length);
    const wards = (await run('export', 'lost')).stderr;
    const ward = /Wards here: (\S+)\./.exec(wards)?.[1] ?? '';
    const out = path.join(folder, 'lost.ndjson');
    const taken = await run('export', 'lost', '--ward', ward, '--out', out);
    await lost.kill('SIGTERM');
    expect(taken).toMatchObject({ status: 0, stderr: expect.stringContaining(', 1 line, ') });

    expect(await run('restore', 'found', out)).toMatchObject({ status: 0 });
    const found = await startPracticeProcess(dataDir('found'));
    try {
      const card = await found.until('the card', ({ messages }) =>
        messages['C0WARDEAST']?.find(({ text }) => text.includes('Biscuit')),
      );
      expect(card.text).toContain('left dorsal pedal');
      await found.jump();
      await found.until('the first reminder', ({ messages }) =>
        messages['C0WARDEAST']?.find(({ text }) =>
          /^Due now, with .*Biscuit \(left dorsal pedal\): zero and level/.test(text),
        ),
      );
    } finally {
      await found.kill('SIGTERM');
    }
  }, 60_000);
});
