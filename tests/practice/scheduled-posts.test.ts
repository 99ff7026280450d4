import { mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { WebClient } from '@slack/web-api';
import { expect, it } from 'vitest';
import { hurriedClock } from '../../src/app/clock.ts';
import { startPlatform } from '../../src/practice/platform/start-platform.ts';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import { eveningMs } from './tiny-app.ts';

// Source: chat.scheduleMessage and chat.deleteScheduledMessage method pages.

const channel = 'C0WARDEAST';
const inSeconds = (seconds: number) => eveningMs / 1000 + seconds;

async function scheduling(hurried: boolean, statePath?: string) {
  let realMs = 0;
  const clock = hurriedClock(eveningMs, hurried ? 600 : 1, () => realMs);
  const platform = await startPlatform({
    port: 0,
    world: practiceWorld(),
    clock,
    rateLimit: null,
    deliverTo: 'socket',
    realNow: () => realMs,
    ...(statePath === undefined ? {} : { statePath }),
    ...(hurried ? { hurried: clock } : {}),
  });
  const client = new WebClient(platform.world.app.botToken, {
    slackApiUrl: platform.apiUrl,
    retryConfig: { retries: 0 },
  });
  const passRealMs = (ms: number) => {
    realMs += ms;
  };
  const schedule = (seconds: number, text: string) =>
    client.chat.scheduleMessage({ channel, post_at: inSeconds(seconds), text });
  return { platform, client, clock, passRealMs, schedule };
}

it('posts a scheduled message when the ward clock reaches it, and not one called back', async () => {
  const { platform, client, passRealMs, schedule } = await scheduling(true);
  await schedule(600, 'speaks');
  const back = await schedule(700, 'called back');
  await client.chat.deleteScheduledMessage({
    channel,
    scheduled_message_id: back.scheduled_message_id ?? '',
  });
  expect(platform.messages(channel)).toEqual([]);
  passRealMs(2_000);
  await platform.until('the scheduled message', () => platform.messages(channel).length > 0);
  expect(platform.messages(channel).map((message) => message.text)).toEqual(['speaks']);
  await platform.stop();
});

it('holds scheduled messages for 3 s of real time after a jump, so that a living bot can push them ahead', async () => {
  const { platform, clock, passRealMs, schedule } = await scheduling(true);
  await schedule(600, 'reminders may be down');
  clock.jumpTo(eveningMs + 3_600_000);
  passRealMs(2_900);
  await new Promise((resolve) => setTimeout(resolve, 450));
  expect(platform.messages(channel)).toEqual([]);
  passRealMs(200);
  await platform.until('the held message', () => platform.messages(channel).length > 0);
  await platform.stop();
});

it('refuses the past, over 120 days, over 30 in five minutes, and calling back in the last minute', async () => {
  const { platform, client, schedule } = await scheduling(false);
  await expect(schedule(-1, 'a')).rejects.toThrow('time_in_past');
  await expect(schedule(120 * 86_400 + 60, 'a')).rejects.toThrow('time_too_far');
  for (let count = 0; count < 30; count += 1) await schedule(3_600 + count, 'a');
  await expect(schedule(3_650, 'a')).rejects.toThrow('restricted_too_many');
  const { scheduled_message_id: id = '' } = await schedule(45, 'soon');
  await expect(client.chat.deleteScheduledMessage({ channel, scheduled_message_id: id })).rejects.toThrow(
    'invalid_scheduled_message_id',
  );
  await platform.stop();
});

it('never posts a scheduled message that carries metadata, and warns of it', async () => {
  const { platform, client, passRealMs, schedule } = await scheduling(true);
  await client.apiCall('chat.scheduleMessage', {
    channel,
    post_at: inSeconds(60),
    text: 'with metadata',
    metadata: { event_type: 'e', event_payload: {} },
  });
  await schedule(61, 'without');
  passRealMs(1_000);
  await platform.until('the other one', () => platform.messages(channel).length > 0);
  expect(platform.messages(channel).map((message) => message.text)).toEqual(['without']);
  expect(platform.warnings).toEqual([
    'chat.scheduleMessage: with metadata the platform never posts the message',
  ]);
  await platform.stop();
});

it('remembers scheduled messages over a restart', async () => {
  const statePath = join(mkdtempSync(join(tmpdir(), 'practice-')), 'journal.jsonl');
  const first = await scheduling(true, statePath);
  await first.schedule(600, 'speaks after the restart');
  await first.platform.stop();
  const second = await scheduling(true, statePath);
  expect((await second.client.chat.scheduledMessages.list()).scheduled_messages).toHaveLength(1);
  second.passRealMs(2_000);
  await second.platform.until('it', () => second.platform.messages(channel).length > 0);
  await second.platform.stop();
});
