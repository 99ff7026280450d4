import { WebClient } from '@slack/web-api';
import { describe, expect, it } from 'vitest';
import type { Audits } from '../../src/app/audits.ts';
import { noticePost } from '../../src/app/notice-post.ts';
import { platformClock } from '../../src/slack/platform-clock.ts';
import { postEventType } from '../../src/slack/post-metadata.ts';
import { slackMessenger } from '../../src/slack/slack-messenger.ts';
import { webClientOptions } from '../../src/slack/web-client-options.ts';
import { minute, wall } from '../support/line-builder.ts';

const now = wall('02:00');
const post = noticePost('0.lost', 'ward', now, { what: 'unknown' });

/** A platform whose clock is `behindMs` behind ours, and on which the post was sent just now. */
function platform(behindMs: number) {
  const theirs = now - behindMs;
  const message = {
    ts: (theirs / 1000).toFixed(6),
    metadata: { event_type: postEventType, event_payload: { key: post.key, ward: 'T0TEST.C0WARD' } },
  };
  const clock = platformClock(
    () => now,
    async (asked, init) => {
      const request = new Request(asked, init);
      const oldest = new URLSearchParams(await request.text()).get('oldest');
      const messages = oldest !== null && Number(oldest) * 1000 > theirs ? [] : [message];
      const body = request.url.endsWith('conversations.history') ? { ok: true, messages } : { ok: true };
      return new Response(JSON.stringify(body), {
        headers: { 'content-type': 'application/json', date: new Date(theirs).toUTCString() },
      });
    },
  );
  const client = new WebClient('xoxb-test', {
    ...webClientOptions('http://127.0.0.1:1/api/'),
    fetch: clock.fetch,
  });
  const messenger = slackMessenger(client, {
    names: { of: async (user) => user },
    sharePicture: async () => undefined,
    handoverFiles: null,
    command: '/artline',
    clock: { now: () => now },
    people: { standing: async () => 'well', zone: async () => null },
    audits: {} as Audits,
    platformBehindMs: () => clock.behindMs(),
  });
  return { clock, client, messenger };
}

describe('a message whose send was lost', () => {
  it.each([0, 3 * minute, -3 * minute])(
    'is found where the platform’s clock is %i ms behind ours, by the time of its own answers',
    async (behindMs) => {
      const { client, messenger } = platform(behindMs);
      await client.auth.test();
      expect((await messenger.find('T0TEST.C0WARD', post, now - 5_000))?.id).toBeDefined();
    },
  );
});

describe('the platform’s clock', () => {
  it('is read to the second off its answers, and is never taken to be ahead', async () => {
    const slow = platform(90_000);
    await slow.client.auth.test();
    expect(slow.clock.behindMs()).toBe(90_000);
    const ahead = platform(-90_000);
    await ahead.client.auth.test();
    expect(ahead.clock.behindMs()).toBe(0);
  });

  it('is not believed where it says nonsense, or nothing', async () => {
    const dates = ['Thu, 01 Jan 1970 00:00:00 GMT', 'soon', null];
    for (const date of dates) {
      const clock = platformClock(
        () => now,
        async () => new Response('', date === null ? {} : { headers: { date } }),
      );
      await clock.fetch('http://127.0.0.1:1/');
      expect(clock.behindMs()).toBe(0);
    }
  });
});
