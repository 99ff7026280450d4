import { type ErrorCode, WebAPIPlatformError, WebClient } from '@slack/web-api';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { hurriedClock } from '../../src/app/clock.ts';
import type { Platform, PlatformOptions } from '../../src/practice/platform/platform.ts';
import { startPlatform } from '../../src/practice/platform/start-platform.ts';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import { eveningMs } from './tiny-app.ts';

// Sources: method pages docs.slack.dev/reference/methods/NAME (errors, ceilings), rate-limits, handling-user-interaction.

const ward = 'C0WARDEAST';
const clock = () => hurriedClock(eveningMs, 1);
let platform: Platform;
let client: WebClient;

const open = async (options: Partial<PlatformOptions> = {}) => {
  await platform?.stop();
  platform = await startPlatform({
    port: 0,
    world: practiceWorld(),
    clock: clock(),
    rateLimit: null,
    deliverTo: 'socket',
    ...options,
  });
  client = as(platform.world.app.botToken);
};
const as = (token: string) =>
  new WebClient(token, {
    slackApiUrl: platform.apiUrl,
    retryConfig: { retries: 0 },
    rejectRateLimitedCalls: true,
  });
const refusal = async (call: Promise<unknown>): Promise<string> => {
  const error = await call.then(
    () => null,
    (cause: unknown) => cause,
  );
  if (!(error instanceof WebAPIPlatformError)) throw new Error(`not refused: ${String(error)}`);
  return String(error.data.error);
};
const text = (of: string) => [{ type: 'section', text: { type: 'mrkdwn', text: of } }];

beforeEach(() => open());
afterEach(() => platform.stop());

describe('tokens', () => {
  it('knows the bot by its token and refuses none, another and the app’s', async () => {
    expect(await client.auth.test()).toMatchObject({ user_id: 'U0PRACTBOT', team_id: 'T0PRACTICE' });
    expect(await refusal(as('').auth.test())).toBe('not_authed');
    expect(await refusal(as('xoxb-other').auth.test())).toBe('invalid_auth');
    expect(await refusal(as('xapp-practice-app').auth.test())).toBe('not_allowed_token_type');
    expect(await refusal(client.apps.connections.open({}))).toBe('not_allowed_token_type');
  });

  it('refuses a method it does not have', async () => {
    expect(await refusal(client.apiCall('reactions.dance'))).toBe('unknown_method');
  });

  it('refuses a request addressed to another name, which may have been rebound to this machine', async () => {
    const { request } = await import('node:http');
    const status = await new Promise((resolve) => {
      request(
        `${platform.origin}/api/auth.test`,
        { method: 'POST', headers: { host: 'evil.example' } },
        (answer) => resolve(answer.statusCode),
      ).end();
    });
    expect(status).toBe(421);
  });
});

describe('chat.postMessage', () => {
  it('stamps messages with ward time and never gives a timestamp twice', async () => {
    const posted = await Promise.all(
      Array.from({ length: 20 }, () => client.chat.postMessage({ channel: ward, text: 'a' })),
    );
    const stamps = posted.map(({ ts }) => ts);
    expect(new Set(stamps).size).toBe(20);
    expect(Number(stamps[0])).toBeGreaterThanOrEqual(eveningMs / 1000);
    expect(Number(stamps[0])).toBeLessThan(eveningMs / 1000 + 60);
  });

  it('reaches a person by user id, in direct messages', async () => {
    const posted = await client.chat.postMessage({ channel: 'U0CLINSUVI', text: 'Late flush' });
    expect(posted.channel).toBe('D0CLINSUVI');
    expect(platform.messages('suvi').map((message) => message.text)).toEqual(['Late flush']);
    expect(platform.notified).toMatchObject([
      { userIds: ['U0CLINSUVI'], why: 'direct message', line: 'Late flush' },
    ]);
  });

  it.each([
    ['a channel that is not there', { channel: 'C0NOWHERE', text: 'a' }, 'channel_not_found'],
    ['a channel the bot is not in', { channel: 'C0TEAROOM0', text: 'a' }, 'not_in_channel'],
    ['nothing to show', { channel: ward, text: '' }, 'no_text'],
    [
      '51 blocks',
      { channel: ward, text: 'a', blocks: Array.from({ length: 51 }, () => ({ type: 'divider' })) },
      'invalid_blocks',
    ],
    [
      'blocks of 13,500 characters',
      { channel: ward, text: 'a', blocks: Array.from({ length: 5 }, () => text('x'.repeat(2650))[0]) },
      'msg_blocks_too_long',
    ],
    [
      'metadata without a payload',
      { channel: ward, text: 'a', metadata: { event_type: 'e' } },
      'invalid_metadata_schema',
    ],
    [
      'metadata of 17 kB',
      { channel: ward, text: 'a', metadata: { event_type: 'e', event_payload: { key: 'x'.repeat(17_000) } } },
      'metadata_too_large',
    ],
    ['a reply to no message', { channel: ward, text: 'a', thread_ts: '1.000001' }, 'thread_not_found'],
  ])('refuses %s', async (_what, call, error) => {
    expect(await refusal(client.apiCall('chat.postMessage', call))).toBe(error);
    expect(platform.messages(ward)).toEqual([]);
  });

  it('says which block is wrong', async () => {
    const call = client.apiCall('chat.postMessage', {
      channel: ward,
      text: 'a',
      blocks: text('x'.repeat(3001)),
    });
    await expect(call).rejects.toMatchObject({
      data: {
        response_metadata: {
          messages: ['[ERROR] must be less than 3001 characters [json-pointer:/blocks/0/text/text]'],
        },
      },
    });
  });

  it('warns of blocks without top-level text', async () => {
    await client.apiCall('chat.postMessage', { channel: ward, blocks: text('a') });
    expect(platform.warnings).toHaveLength(1);
  });

  it('notes whom mentions and broadcasts in text and blocks notify, and that escaped ones notify nobody', async () => {
    await client.chat.postMessage({ channel: ward, text: 'a', blocks: text('With <@U0NURSEINA>') });
    await client.chat.postMessage({ channel: ward, text: 'All: <!channel>' });
    await client.chat.postMessage({ channel: ward, text: '&lt;!channel&gt; &lt;@U0NURSETEO&gt;' });
    await client.apiCall('chat.postMessage', {
      channel: ward,
      text: 'a',
      blocks: [{ type: 'header', text: { type: 'plain_text', text: '<!here> <@U0NURSETEO>' } }],
    });
    expect(platform.notified.map(({ why, userIds }) => [why, userIds.length])).toEqual([
      ['mention', 1],
      ['broadcast', 4],
    ]);
  });

  it('takes five at once and one a second after that, a channel', async () => {
    let realMs = 0;
    await open({ rateLimit: { perChannelPerSecond: 1, burst: 5 }, realNow: () => realMs });
    const post = () => client.chat.postMessage({ channel: ward, text: 'a' });
    for (let count = 0; count < 5; count += 1) await post();
    await expect(post()).rejects.toMatchObject({ retryAfter: 1 });
    await client.chat.postMessage({ channel: 'U0NURSEINA', text: 'another channel' });
    realMs += 1_000;
    await post();
    expect(platform.messages(ward)).toHaveLength(6);
  });
});

describe('chat.update and chat.delete', () => {
  it('drops old blocks when only text is given, keeps metadata, marks the message as changed', async () => {
    const metadata = { event_type: 'e', event_payload: { key: 'k' } };
    const { ts = '' } = (await client.apiCall('chat.postMessage', {
      channel: ward,
      text: 'a',
      blocks: text('a'),
      metadata,
    })) as { ts?: string };
    await client.chat.update({ channel: ward, ts, text: 'b' });
    const [message] = platform.messages(ward);
    expect(message).toMatchObject({ ts, text: 'b', metadata });
    expect(message?.blocks).toBeUndefined();
    expect(message?.edited).toBeDefined();
  });

  it('refuses over 4,000 characters, other people’s messages and messages that are gone', async () => {
    const { ts = '' } = await client.chat.postMessage({ channel: ward, text: 'a' });
    const said = await platform.say({ user: 'ina', text: 'hello' });
    expect(await refusal(client.chat.update({ channel: ward, ts, text: 'x'.repeat(4001) }))).toBe(
      'msg_too_long',
    );
    expect(await refusal(client.chat.update({ channel: ward, ts: said.ts, text: 'b' }))).toBe(
      'cant_update_message',
    );
    await client.chat.delete({ channel: ward, ts });
    expect(await refusal(client.chat.update({ channel: ward, ts, text: 'b' }))).toBe('message_not_found');
  });
});

describe('conversations and users', () => {
  it('pages history newest first, in a window, with metadata only when asked', async () => {
    const metadata = { event_type: 'e', event_payload: { key: 'k' } };
    for (const word of ['a', 'b', 'c'])
      await client.chat.postMessage({ channel: ward, text: word, metadata });
    const stamps = platform.messages(ward).map(({ ts }) => ts);
    const first = await client.conversations.history({ channel: ward, limit: 2 });
    expect(first.messages?.map((message) => message.text)).toEqual(['c', 'b']);
    expect(first.messages?.[0]?.metadata).toBeUndefined();
    const cursor = first.response_metadata?.next_cursor ?? '';
    const second = await client.conversations.history({
      channel: ward,
      cursor,
      limit: 2,
      include_all_metadata: true,
    });
    expect(second.messages).toMatchObject([{ text: 'a', metadata }]);
    expect(second.has_more).toBe(false);
    const after = await client.conversations.history({ channel: ward, oldest: stamps[1] ?? '' });
    expect(after.messages?.map((message) => message.text)).toEqual(['c']);
    expect(await refusal(client.conversations.history({ channel: 'C0TEAROOM0' }))).toBe('not_in_channel');
  });

  it('keeps thread replies out of history and in their thread', async () => {
    const root = await client.chat.postMessage({ channel: ward, text: 'root' });
    const ts = root.ts ?? '';
    await client.chat.postMessage({ channel: ward, text: 'reply', thread_ts: ts });
    const history = await client.conversations.history({ channel: ward });
    const thread = await client.conversations.replies({ channel: ward, ts });
    expect(history.messages).toHaveLength(1);
    expect(thread.messages?.map((message) => message.text)).toEqual(['root', 'reply']);
  });

  it('knows members, channels, people and their zones', async () => {
    const members = await client.conversations.members({ channel: ward });
    expect(members.members).toHaveLength(5);
    expect(await client.conversations.info({ channel: 'C0TEAROOM0' })).toMatchObject({
      channel: { is_member: false },
    });
    expect(await client.users.info({ user: 'U0NURSEINA' })).toMatchObject({
      user: { name: 'ina', tz: 'UTC', tz_offset: 0 },
    });
    expect(await refusal(client.users.info({ user: 'U0NOBODY' }))).toBe('user_not_found');
    expect(await client.conversations.open({ users: 'U0NURSETEO' })).toMatchObject({
      channel: { id: 'D0NURSETEO' },
    });
  });
});

describe('faults on demand', () => {
  const post = () => client.chat.postMessage({ channel: ward, text: 'a' });

  it('answers 503 before doing anything, then works again', async () => {
    platform.fault({ method: 'chat.postMessage', kind: 'http503' });
    await expect(post()).rejects.toMatchObject({ statusCode: 503 });
    expect(platform.messages(ward)).toHaveLength(0);
    await post();
  });

  it('loses the answer after the message is stored', async () => {
    platform.fault({ method: 'chat.postMessage', kind: 'dropAfterStore' });
    await expect(post()).rejects.toMatchObject({
      code: 'slack_webapi_request_error' satisfies `${ErrorCode}`,
    });
    expect(platform.messages(ward)).toHaveLength(1);
  });

  it('answers ratelimited with the time to wait, or any error by name', async () => {
    platform.fault({ method: '*', kind: 'ratelimited', ms: 30_000 });
    await expect(post()).rejects.toMatchObject({ retryAfter: 30 });
    platform.fault({
      method: 'chat.postMessage',
      kind: 'platformError',
      error: 'account_inactive',
      times: 2,
    });
    expect(await refusal(post())).toBe('account_inactive');
    expect(await refusal(post())).toBe('account_inactive');
    await post();
  });

  it('plays dead as a whole and comes back', async () => {
    platform.goDown();
    await expect(post()).rejects.toMatchObject({ statusCode: 503 });
    expect(await platform.slash({ user: 'ina' })).toMatchObject({ acked: false, error: 'no_connection' });
    platform.comeBack();
    await post();
  });
});
