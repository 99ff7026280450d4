import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { startWorkers } from '../../src/jobs/worker.ts';
import { createLog } from '../../src/observe/log.ts';
import { createMetrics } from '../../src/observe/metrics.ts';
import { operatorWatch } from '../../src/observe/operator-watch.ts';
import type { Platform } from '../../src/practice/platform/platform.ts';
import { startPlatform } from '../../src/practice/platform/start-platform.ts';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import { bullmqAlarm } from '../../src/redis/bullmq-alarm.ts';
import { connect, openCommands, untilReady } from '../../src/redis/connections.ts';
import { redisRecord } from '../../src/redis/redis-record.ts';
import { waitingPosts } from '../../src/redis/waiting-posts.ts';
import { startService } from '../../src/service/service.ts';
import { caredForLine, fillWard, policy, policyOfShiftAt } from '../bench/bench-ward.ts';
import { bareEnv } from '../support/bare-env.ts';
import { freePort } from '../support/free-ports.ts';
import { startTestRedis, type TestRedis } from '../support/redis-for-tests.ts';

const world = practiceWorld();
const [first] = world.channels;
const named = (name: string) =>
  Array.from({ length: 12 }, (_, index) => `C0${name}${String(index).padStart(2, '0')}`);
const [one, other] = [named('ONE'), named('OTHER')];
const wardOf = (channel: string) => `${world.team.id}.${channel}`;

let redis: TestRedis;
let redisPort: number;
let platform: Platform;

beforeAll(async () => {
  if (!first) throw new Error('the practice world has no channel');
  redisPort = await freePort();
  redis = await startTestRedis(['--port', String(redisPort)]);
  platform = await startPlatform({
    port: 0,
    clock: { now: () => Date.now() },
    world: {
      ...world,
      channels: [
        ...world.channels,
        ...[...one, ...other].map((id) => ({ ...first, id, name: id.toLowerCase() })),
      ],
    },
    deliverTo: 'socket',
  });
}, 30_000);
afterAll(async () => {
  await platform.stop();
  await redis.stop();
}, 30_000);

/** Wards whose handover fell due a moment ago, and nothing else. */
async function fill(channels: readonly string[]): Promise<number> {
  const record = redisRecord({ client: redis.client(), defaultPolicy: policy });
  const dueAt = Math.floor(Date.now() / 60_000) * 60_000;
  const placedAt = dueAt - 20 * 60_000;
  for (const channel of channels)
    await fillWard(
      record,
      wardOf(channel),
      [caredForLine('l0', placedAt, 'manual'), caredForLine('l1', placedAt, 'continuous')],
      placedAt,
      policyOfShiftAt(dueAt + policy.handoverBeforeMin * 60_000),
    );
  return dueAt;
}

async function startJobs(troubles: string[]) {
  const commands = openCommands(redis.connection, () => undefined);
  await untilReady(commands, 10_000);
  const clock = { now: () => Date.now() };
  const log = createLog({ level: 'silent', pretty: false });
  const metrics = createMetrics({ withProcessMetrics: false });
  const posted: string[] = [];
  const watch = {
    ...operatorWatch(metrics, log),
    trouble: (what: string, _ids: object, cause?: unknown) => void troubles.push(`${what}: ${String(cause)}`),
    posted: (outcome: string) => void posted.push(outcome),
  };
  const alarm = bullmqAlarm({ target: redis.connection, clock, watch });
  const service = await startService({
    roles: new Set(['jobs']),
    clock,
    redis: commands,
    redisTarget: redis.connection,
    alarm,
    slack: {
      apiUrl: platform.apiUrl,
      serves: { botToken: world.app.botToken },
      reach: { by: 'socket', appToken: world.app.appToken },
    },
    command: world.command,
    wardZone: 'UTC',
    log,
    metrics,
    watch,
    handoverFiles: null,
    handoverProcess: {
      redisCopies: 0,
      logLevel: 'silent',
      tracesTo: null,
      program: new URL('./dying-handovers.ts', import.meta.url),
    },
    startWorkers: (cases) =>
      startWorkers({
        connect: () => connect(redis.connection, 'jobs'),
        prefixes: alarm.prefixes,
        cases,
        clock,
        sweepEveryMs: 5_000,
        watch,
        metrics,
        canary: { everyMs: 3_600_000, set: async () => undefined, ran: async () => undefined },
      }),
  });
  return {
    alarm,
    commands,
    posted,
    async stop() {
      await service.stop();
      await alarm.close();
      commands.disconnect();
    },
  };
}

const handovers = (channel: string) =>
  platform
    .messages(channel)
    .filter(({ metadata }) => String(metadata?.event_payload['key']).startsWith('3.handover.'));

it('posts each handover once, though the process that hands over dies with some sent and not written down', async () => {
  const channels = one;
  const dueAt = await fill(channels);
  const troubles: string[] = [];
  const bot = await startJobs(troubles);
  try {
    for (const channel of channels) await bot.alarm.wakeAt(wardOf(channel), dueAt);
    await platform.until(
      'a handover on each ward',
      () => channels.every((channel) => handovers(channel).length > 0),
      60_000,
    );
    // All of them may stand before the bot has heard of the death.
    await expect
      .poll(() => troubles, { timeout: 30_000 })
      .toEqual(['the process that hands over ended; the bot does it itself: Error: it ended with SIGKILL']);
    // What was being sent is held for half a minute, and then looked for.
    for (let look = 0; look < 240 && (await waitingPosts(bot.commands)) > 0; look++)
      await new Promise((resolve) => setTimeout(resolve, 250));
    expect(bot.posted).toContain('found');
    for (const channel of channels) {
      expect(handovers(channel)).toHaveLength(1);
      const thread = platform.messages(channel).filter(({ thread_ts: thread }) => thread !== undefined);
      expect(thread.map(({ text }) => text).join('\n')).toContain('Dog l0');
      expect(new Set(thread.map(({ text }) => text)).size).toBe(thread.length);
    }
  } finally {
    await bot.stop();
  }
}, 150_000);

it('is what the program does by itself, which stops with nothing left behind', async () => {
  const dataDir = mkdtempSync(path.join(os.tmpdir(), 'dicrotic-handovers-'));
  await fill(other);
  // As `npm run jobs` starts it: it ends when descriptor 3 closes.
  const preload = path.resolve(import.meta.dirname, '../../src/bootstrap/stop-with-parent.mjs');
  const jobs = spawn(process.execPath, ['--import', preload, 'src/programs/jobs/main.ts'], {
    env: {
      ...bareEnv,
      DATA_DIR: dataDir,
      HEALTH_PORT: '0',
      SLACK_BOT_TOKEN: world.app.botToken,
      SLACK_APP_TOKEN: world.app.appToken,
      SLACK_API_URL: platform.apiUrl,
      REDIS_URL: `redis://127.0.0.1:${redisPort}`,
    },
    stdio: ['ignore', 'pipe', 'inherit', 'pipe'],
  });
  let said = '';
  jobs.stdout?.on('data', (text: Buffer) => {
    said += text.toString();
  });
  try {
    await platform.until(
      'a handover on each ward',
      () => other.every((channel) => handovers(channel).length > 0),
      90_000,
    );
    expect(said).toContain('many wards hand over: started a process for it');
    const ended = once(jobs, 'close');
    jobs.kill('SIGTERM');
    // Its output closes once every process that it started is gone.
    expect(await ended).toEqual([0, null]);
    expect(said).not.toContain('the process that hands over ended');
    for (const channel of other) expect(handovers(channel)).toHaveLength(1);
  } finally {
    jobs.kill('SIGKILL');
    rmSync(dataDir, { recursive: true, force: true });
  }
}, 150_000);
