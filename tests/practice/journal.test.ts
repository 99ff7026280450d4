import { spawnSync } from 'node:child_process';
import { appendFileSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { WebClient } from '@slack/web-api';
import { expect, it } from 'vitest';
import { hurriedClock } from '../../src/app/clock.ts';
import { openJournal } from '../../src/practice/platform/journal.ts';
import { startPlatform } from '../../src/practice/platform/start-platform.ts';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import { eveningMs } from './tiny-app.ts';

const freshPath = () => join(mkdtempSync(join(tmpdir(), 'practice-')), 'journal.jsonl');

async function start(statePath: string, nowMs = eveningMs) {
  const platform = await startPlatform({
    port: 0,
    world: practiceWorld(),
    clock: hurriedClock(nowMs, 1),
    statePath,
    rateLimit: null,
    deliverTo: 'socket',
  });
  const client = new WebClient(platform.world.app.botToken, { slackApiUrl: platform.apiUrl });
  return { platform, client };
}

it('keeps messages, updates, deletions, direct messages and files over a restart', async () => {
  const path = freshPath();
  const { platform, client } = await start(path);
  const kept = await client.chat.postMessage({
    channel: 'C0WARDEAST',
    text: 'kept',
    metadata: { event_type: 'e', event_payload: { key: 'k' } },
  });
  const gone = await client.chat.postMessage({ channel: 'C0WARDEAST', text: 'gone' });
  await client.chat.update({ channel: 'C0WARDEAST', ts: kept.ts ?? '', text: 'changed' });
  await client.chat.delete({ channel: 'C0WARDEAST', ts: gone.ts ?? '' });
  await client.chat.postMessage({ channel: 'U0NURSEINA', text: 'for Ina' });
  await client.filesUploadV2({
    channel_id: 'C0WARDEAST',
    filename: 'strip.csv',
    file: Buffer.from('t,p\n0,90\n'),
  });
  const before = [platform.messages('C0WARDEAST'), platform.messages('ina')];
  await platform.stop();

  // The ward clock of the second start lies behind: timestamps must still not repeat.
  const second = await start(path, eveningMs - 3_600_000);
  const after = [second.platform.messages('C0WARDEAST'), second.platform.messages('ina')];
  expect(JSON.stringify(after).replaceAll(/127.0.0.1:\d+/g, '')).toBe(
    JSON.stringify(before).replaceAll(/127.0.0.1:\d+/g, ''),
  );
  const next = await second.client.chat.postMessage({ channel: 'C0WARDEAST', text: 'next' });
  expect(Number(next.ts)).toBeGreaterThan(Number(before.flat().at(-1)?.ts));
  const [file] = [...second.platform.core.workspace.files.values()];
  expect(Buffer.from(file?.bytesBase64 ?? '', 'base64').toString()).toBe('t,p\n0,90\n');
  await second.platform.stop();
});

it('has lost nothing when the process is killed right after writing', () => {
  const path = freshPath();
  const module = new URL('../../src/practice/platform/journal.ts', import.meta.url).href;
  const script = `
    const { openJournal } = await import(${JSON.stringify(module)});
    const journal = openJournal(${JSON.stringify(path)});
    for (let n = 0; n < 500; n += 1) journal.append({ n });
    process.kill(process.pid, 'SIGKILL');
  `;
  const killed = spawnSync(process.execPath, ['--input-type=module', '--eval', script]);
  expect(killed.signal).toBe('SIGKILL');
  expect(openJournal<{ n: number }>(path).past.at(-1)).toEqual({ n: 499 });
});

it('drops a last line cut short and goes on after it', () => {
  const path = freshPath();
  const first = openJournal<{ n: number }>(path);
  first.append({ n: 1 });
  first.append({ n: 2 });
  first.close();
  appendFileSync(path, '{"n":3,"te');
  const second = openJournal<{ n: number }>(path);
  expect(second.past).toEqual([{ n: 1 }, { n: 2 }]);
  second.append({ n: 4 });
  second.close();
  expect(readFileSync(path, 'utf8')).toBe('{"n":1}\n{"n":2}\n{"n":4}\n');
});

it('refuses a spoiled line in the middle, naming it', () => {
  const path = freshPath();
  writeFileSync(path, '{"n":1}\nspoiled\n{"n":3}\n');
  expect(() => openJournal(path)).toThrow('cannot be read at line 2 of 3');
});
