import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { recordFile } from '../../src/export/record-lines.ts';
import { createLog } from '../../src/observe/log.ts';
import { eraseCommand } from '../../src/programs/erase/erase-command.ts';
import { redisHeartbeat } from '../../src/redis/heartbeat.ts';
import { openStore } from '../../src/redis/open-store.ts';
import { redisChannelIds } from '../../src/redis/redis-channel-ids.ts';
import { redisHomeReaders } from '../../src/redis/redis-home-readers.ts';
import { readWardCopy, writeWardCopy } from '../../src/redis/ward-copies.ts';
import { nightWard } from '../export/ward-copies.ts';
import { bareEnv } from '../support/bare-env.ts';
import { calledCommand } from '../support/called-command.ts';

const dataDir = mkdtempSync(path.join(os.tmpdir(), 'dic-er-'));
afterAll(() => rmSync(dataDir, { recursive: true, force: true }));
const kept = path.join(dataDir, 'night.ndjson');
const { copy, now } = nightWard();
const other = { ...copy, wardId: 'T0TEST.C0OTHER' };
const policy = defaultPolicy('UTC');

const env = { ...bareEnv, DATA_DIR: dataDir };

/** Carries it out in this process. */
async function erase(...words: string[]) {
  const { status, stdout, stderr } = await calledCommand(eraseCommand, words, env);
  return { status, said: stdout + stderr };
}

/** The same as its npm script runs it. */
function eraseMain(...words: string[]) {
  const { status, stdout, stderr } = spawnSync(process.execPath, ['src/programs/erase/main.ts', ...words], {
    encoding: 'utf8',
    env,
  });
  return { status, said: stdout + stderr };
}

async function inStore<T>(work: (client: Awaited<ReturnType<typeof openStore>>['client']) => Promise<T>) {
  const store = await openStore({ redisUrl: null, dataDir }, createLog({ level: 'silent', pretty: false }), {
    mustExist: false,
  });
  try {
    return await work(store.client);
  } finally {
    await store.close();
  }
}

beforeAll(async () => {
  writeFileSync(kept, recordFile(copy, now));
  await inStore(async (client) => {
    await writeWardCopy(client, copy, policy, now);
    await writeWardCopy(client, other, policy, now);
  });
});

describe('npm run erase', () => {
  const ward = ['--ward', copy.wardId];

  test.each([
    [[], 2, /Name a ward with --ward/],
    [ward, 2, /Name one file, or say --keep-nothing/],
    [[...ward, '--keep-nothing', kept], 2, /Name one file, or say --keep-nothing/],
    [['--ward', 'T0TEST.C0NONE', '--keep-nothing'], 1, /holds nothing/],
    [[...ward, kept], 1, /has 2 lines on its list.*Say --lines-are-in/],
    [[...ward, '--lines-are-in', '/nowhere/x'], 2, /cannot be read/],
  ])('refuses %j, and says what to do', async (given, status, says) => {
    const refused = await erase(...given);
    expect(refused).toEqual({ status, said: expect.stringMatching(says) });
  });

  test('refuses an export that is not the record as it is now', async () => {
    const old = path.join(dataDir, 'old.ndjson');
    writeFileSync(old, readFileSync(kept, 'utf8').trimEnd().split('\n').slice(0, -1).join('\n'));
    expect(await erase(...ward, '--lines-are-in', old)).toEqual({
      status: 1,
      said: expect.stringContaining(
        'is not the record as it is now: export the ward again. Nothing was erased.',
      ),
    });
  });

  test('refuses while a bot gives signs of life', async () => {
    const beat = { realMs: Date.now(), wardMs: Date.now() };
    await inStore((client) => redisHeartbeat(client).beat(beat, []));
    expect(await erase(...ward, '--lines-are-in', kept)).toEqual({
      status: 1,
      said: expect.stringContaining('A bot runs on this record'),
    });
    await inStore((client) => redisHeartbeat(client).beat({ ...beat, realMs: Date.now() - 10 * 60_000 }, []));
  });

  test('takes all of the ward, and nothing of another', async () => {
    expect(await inStore((client) => readWardCopy(client, copy.wardId))).toEqual(copy);
    // What lies beside the record: the id its channel has since, and what Home last showed.
    const [team = '', old = ''] = copy.wardId.split('.');
    await inStore(async (client) => {
      await redisChannelIds(client).put({ team, old, now: 'C0SHARED' });
      const said = { text: 'Biscuit: flushed', blocks: [], untilMs: now };
      await redisHomeReaders(client).keep('U0INA', { hash: 'h', said });
      await redisHomeReaders(client).opened('U0INA', now);
    });
    expect(eraseMain(...ward, '--lines-are-in', kept)).toEqual({
      status: 0,
      said: expect.stringMatching(
        /^Erased: ward T0TEST\.C0WARD, 2 lines, 15 entries\. What stands in the chat/,
      ),
    });
    await inStore(async (client) => {
      expect(await client.smembers('wards')).toEqual([other.wardId]);
      expect(await client.keys(`*${copy.wardId}*`)).toEqual([]);
      // So that a ward that is restored finds its channel.
      expect(await redisChannelIds(client).all()).toEqual([{ team, old, now: 'C0SHARED' }]);
      expect(await redisHomeReaders(client).shown('U0INA')).toBeNull();
      // Whoever opened it still has it kept up to date: it may show other wards.
      expect(await redisHomeReaders(client).lately(now)).toEqual(['U0INA']);
      expect(await readWardCopy(client, other.wardId)).toEqual(other);
    });
  });
});
