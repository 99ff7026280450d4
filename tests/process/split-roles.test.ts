import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { hurriedClock } from '../../src/app/clock.ts';
import type { Platform } from '../../src/practice/platform/platform.ts';
import { startPlatform } from '../../src/practice/platform/start-platform.ts';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import { bareEnv } from '../support/bare-env.ts';
import { freePort } from '../support/free-ports.ts';
import { startTestRedis, type TestRedis } from '../support/redis-for-tests.ts';

/** One ward minute a second: what is due at once is asked for after ten seconds. */
const rate = 60;
const startMs = Date.parse('2026-11-24T20:00:00Z');
const { app, wardChannelId } = practiceWorld();
const ina = 'U0NURSEINA';

let redis: TestRedis;
let platform: Platform;
let dataDir: string;
const children: ChildProcess[] = [];

beforeAll(async () => {
  dataDir = mkdtempSync(path.join(os.tmpdir(), 'dicrotic-split-'));
  const redisPort = await freePort();
  redis = await startTestRedis(['--port', String(redisPort)]);
  platform = await startPlatform({
    port: 0,
    clock: hurriedClock(startMs, rate),
    world: practiceWorld(),
    deliverTo: 'socket',
  });
  const begin = async (program: string, roles: Record<string, string>) => {
    const child = spawn(process.execPath, [program], {
      env: {
        ...bareEnv,
        DATA_DIR: dataDir,
        PORT: '0',
        LOG_LEVEL: 'warn',
        SLACK_BOT_TOKEN: app.botToken,
        SLACK_APP_TOKEN: app.appToken,
        SLACK_API_URL: platform.apiUrl,
        REDIS_URL: `redis://127.0.0.1:${redisPort}`,
        CLOCK_START: new Date(startMs).toISOString(),
        CLOCK_RATE: String(rate),
        ...roles,
      },
      stdio: 'inherit',
    });
    children.push(child);
  };
  await begin('src/programs/bot/main.ts', { ROLES: 'chat' });
  await begin('src/programs/jobs/main.ts', {});
  await platform.until('the chat process to connect', () => platform.connections() > 0, 15_000);
}, 40_000);

afterAll(async () => {
  for (const child of children) {
    const ended = once(child, 'exit');
    child.kill('SIGTERM');
    await ended;
  }
  await platform.stop();
  await redis.stop();
  rmSync(dataDir, { recursive: true, force: true });
}, 40_000);

describe('a process for the chat and one for the jobs, on one Redis', () => {
  it('registers in the one, and the other posts the card and asks for what is due', async () => {
    await platform.slash({ user: 'ina', text: 'place Biscuit dog 28kg left dorsal pedal 20g manual' });
    const form = await platform.until('the form', () => platform.view(ina), 10_000);
    expect((await platform.submit({ user: 'ina', viewId: form.id })).accepted).toBe(true);
    const first = (kind: string) => () =>
      platform.messages(wardChannelId).find(({ metadata }) => metadata?.event_payload.kind === kind);
    const card = await platform.until('the card', first('card'), 15_000);
    expect(card.text).toContain('Biscuit');
    const nudge = await platform.until('the nudge', first('nudge'), 30_000);
    expect(nudge.text).toMatch(/^Due now.*zero and level, fast-flush test/);
  }, 70_000);

  it('counts an audit in the one, and the other counts it again to post it in the ward, with its pictures', async () => {
    const reportIn = (place: string) => () =>
      platform.messages(place).find(({ metadata }) => metadata?.event_payload.kind === 'report');
    await platform.slash({ user: 'ina', text: 'audit 7d' });
    const report = await platform.until('the report', reportIn(ina), 20_000);
    expect(report.text).toContain('Lines. 1 line was in at some time: dogs 1.');
    await platform.press({ user: 'ina', actionId: 'done:audit', messageTs: report.ts });
    const posted = await platform.until('the report in the ward', reportIn(wardChannelId), 30_000);
    expect(posted.text).toBe(report.text);
    const picture = await platform.until(
      'its picture',
      () => platform.messages(wardChannelId).find(({ files }) => (files ?? []).length > 0),
      20_000,
    );
    expect(picture.thread_ts).toBe(posted.ts);
  }, 70_000);
});
