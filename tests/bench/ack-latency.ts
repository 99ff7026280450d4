import { App, HTTPReceiver } from '@slack/bolt';
import { createLog } from '../../src/observe/log.ts';
import { createMetrics } from '../../src/observe/metrics.ts';
import { startPlatform } from '../../src/practice/platform/start-platform.ts';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import { startService } from '../../src/service/service.ts';
import { freePort } from '../support/free-ports.ts';
import type { TestRedis } from '../support/redis-for-tests.ts';
import { silentAlarm } from './bench-ward.ts';
import { type Measured, ms, percentile } from './measured.ts';
import { sendCommand } from './signed-command.ts';

const signingSecret = 'bench-signing-secret-0123456789';
const perSecond = 50;
const seconds = 8;
const { app, wardChannelId, users } = practiceWorld();

/** Slash command to ack at 50/s over signed HTTP, each command recorded durably after its ack, against a Bolt handler that only acks. */
export async function ackLatency(redis: TestRedis): Promise<Measured[]> {
  const bare = await bareBolt();
  const raw = await acks(bare.port, () => 'due');
  await bare.stop();
  const ours = await ourBolt(redis);
  await acks(ours.port, () => 'due', 1);
  let count = 0;
  // Another number each time: the same reading told twice within a minute would not be written.
  const told = await acks(ours.port, () => `reading Biscuit ${100 + (++count % 90)}/64 mmHg`);
  await ours.stop();
  const row = (what: string, share: number, aim: string): Measured => ({
    what,
    ours: ms(percentile(told, share)),
    raw: ms(percentile(raw, share)),
    ratio: percentile(told, share) / percentile(raw, share),
    aim,
  });
  return [row(`slash to ack at ${perSecond}/s, p50`, 0.5, ''), row('the same, p99', 0.99, '≤ 1.5')];
}

/** Sends commands at the given pace and gives the time each ack took, ms. */
async function acks(port: number, text: () => string, forSeconds = seconds): Promise<number[]> {
  const times: number[] = [];
  const running: Promise<void>[] = [];
  for (let index = 0; index < perSecond * forSeconds; index++) {
    running.push(one(port, text(), index, times));
    await new Promise((resolve) => setTimeout(resolve, 1000 / perSecond));
  }
  await Promise.all(running);
  return times;
}

async function one(port: number, text: string, number: number, times: number[]): Promise<void> {
  const responseUrl = `http://127.0.0.1:${port}/nowhere`;
  const { ackMs } = await sendCommand({
    port,
    signingSecret,
    channel: wardChannelId,
    text,
    number,
    responseUrl,
  });
  times.push(ackMs);
}

async function bareBolt(): Promise<{ port: number; stop: () => Promise<unknown> }> {
  const port = await freePort();
  const receiver = new HTTPReceiver({ signingSecret, endpoints: '/slack/events' });
  const bolt = new App({
    receiver,
    authorize: async () => ({ botToken: app.botToken, botId: app.botId, botUserId: app.botUserId }),
    convoStore: false,
  });
  bolt.command('/artline', async ({ ack }) => ack());
  await bolt.start(port);
  return { port, stop: () => bolt.stop() };
}

async function ourBolt(redis: TestRedis): Promise<{ port: number; stop: () => Promise<void> }> {
  const port = await freePort();
  const clock = { now: () => Date.now() };
  const platform = await startPlatform({
    port: 0,
    clock,
    world: practiceWorld(),
    rateLimit: null,
    deliverTo: { url: `http://127.0.0.1:${port}/slack/events`, signingSecret },
  });
  const service = await startService({
    roles: new Set(['chat']),
    clock,
    redis: redis.client(),
    redisTarget: redis.connection,
    alarm: silentAlarm,
    slack: {
      apiUrl: platform.apiUrl,
      serves: { botToken: app.botToken },
      reach: { by: 'http', signingSecret, port },
    },
    command: '/artline',
    wardZone: 'UTC',
    log: createLog({ level: 'silent', pretty: false }),
    metrics: createMetrics({ withProcessMetrics: false }),
    startWorkers: async () => ({ close: async () => undefined }),
  });
  await platform.slash({ user: 'ina', text: 'place Biscuit dog 28kg left dorsal pedal 20g manual' });
  const form = await platform.until('the form', () => platform.view(users[0]?.id ?? ''));
  await platform.submit({ user: 'ina', viewId: form.id });
  return {
    port,
    async stop() {
      await service.stop();
      await platform.stop();
    },
  };
}
