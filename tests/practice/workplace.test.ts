import { WebAPIPlatformError, WebClient } from '@slack/web-api';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { hurriedClock } from '../../src/app/clock.ts';
import type { Platform } from '../../src/practice/platform/platform.ts';
import { startPlatform } from '../../src/practice/platform/start-platform.ts';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import { eveningMs } from './tiny-app.ts';

// Errors: method pages docs.slack.dev/reference/methods/NAME. That a private channel is hidden from who is not in it, and that
// a message to a deactivated account is taken, is from memory.

const ward = 'C0WARDEAST';
let platform: Platform;
let client: WebClient;

beforeEach(async () => {
  platform = await startPlatform({
    port: 0,
    world: practiceWorld(),
    clock: hurriedClock(eveningMs, 1),
    rateLimit: null,
    deliverTo: 'socket',
  });
  client = new WebClient(platform.world.app.botToken, {
    slackApiUrl: platform.apiUrl,
    retryConfig: { retries: 0 },
  });
});
afterEach(() => platform.stop());

const refusal = async (call: Promise<unknown>): Promise<string> => {
  const error = await call.then(
    () => null,
    (cause: unknown) => cause,
  );
  if (!(error instanceof WebAPIPlatformError)) throw new Error(`not refused: ${String(error)}`);
  return String(error.data.error);
};
const said = () => client.chat.postMessage({ channel: ward, text: 'here' });

it('an archived channel takes no post and no change, and takes both once it is unarchived', async () => {
  const { ts = '' } = await said();
  await platform.archive(ward);
  expect(await refusal(said())).toBe('is_archived');
  expect(await refusal(client.chat.update({ channel: ward, ts, text: 'there' }))).toBe('is_inactive');
  expect((await client.conversations.info({ channel: ward })).channel?.is_archived).toBe(true);
  await platform.unarchive(ward);
  await client.chat.update({ channel: ward, ts, text: 'there' });
});

it('an app taken out of a channel is not in it; of a private one it sees nothing; of a removed one nobody does', async () => {
  const own = platform.world.app.botUserId;
  await platform.takeOut({ user: own, channel: ward });
  expect(await refusal(said())).toBe('not_in_channel');
  expect((await client.conversations.info({ channel: ward })).channel?.is_member).toBe(false);
  platform.makePrivate(ward);
  expect(await refusal(said())).toBe('channel_not_found');
  expect(await refusal(client.conversations.info({ channel: ward }))).toBe('channel_not_found');
  await platform.join({ user: own, channel: ward });
  await said();
  await platform.removeChannel(ward);
  expect(await refusal(said())).toBe('channel_not_found');
});

it('says of an account what became of it, and opens no direct messages with one that nobody uses', async () => {
  platform.changePerson('teo', { deleted: true });
  expect((await client.users.info({ user: 'U0NURSETEO' })).user?.deleted).toBe(true);
  expect(await refusal(client.conversations.open({ users: 'U0NURSETEO' }))).toBe('user_disabled');
  platform.changePerson('ina', { isBot: true });
  expect(await refusal(client.conversations.open({ users: 'U0NURSEINA' }))).toBe('cannot_dm_bot');
});

it('takes nothing from an app that was uninstalled', async () => {
  await platform.uninstall();
  expect(await refusal(said())).toBe('token_revoked');
});
