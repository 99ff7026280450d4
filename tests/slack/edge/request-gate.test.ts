import { createHmac } from 'node:crypto';
import { createServer, request as httpRequest, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { requestGate } from '../../../src/slack/edge/request-gate.ts';

// The worked example of docs.slack.dev, "Verifying requests from Slack": secret, time, body and signature.
const example = {
  signingSecret: '8f742231b10e8888abcd99yyyzzz85a5',
  timestamp: '1531420618',
  body: 'token=xyzz0WbapA4vBCDEFasx0q6G&team_id=T1DC2JH3J&team_domain=testteamnow&channel_id=G8PSS9T3V&channel_name=foobar&user_id=U2CERLKJA&user_name=roadrunner&command=%2Fwebhook-collect&text=&response_url=https%3A%2F%2Fhooks.slack.com%2Fcommands%2FT1DC2JH3J%2F397700885554%2F96rGlfmibIGlgcZRskXaIFfN&trigger_id=398738663015.47445629121.803a0bc887a14d10d2c447fce8b6703c',
  signature: 'v0=a2114d57b48eac39b9ad189dd8316235a7b4a8d21a10bd27519666489c69b503',
};
const { signingSecret } = example;
const atMs = Number(example.timestamp) * 1_000;
const form = 'application/x-www-form-urlencoded';

let server: Server;
let handled: { body: string; type: string | undefined }[];
let troubles: string[];
let now: number;
beforeEach(async () => {
  handled = [];
  troubles = [];
  now = atMs;
  const gate = requestGate(
    (request, response) => {
      const { rawBody } = request as unknown as { rawBody?: Buffer };
      handled.push({ body: String(rawBody ?? ''), type: request.headers['content-type'] });
      response.end('handled');
    },
    { path: '/slack/events', signingSecret, nowMs: () => now, trouble: (what) => troubles.push(what) },
  );
  server = createServer(gate).listen(0, '127.0.0.1');
  await new Promise((resolve) => server.once('listening', resolve));
});
afterEach(() => {
  server.closeAllConnections();
  server.close();
});

const sign = (timestamp: string, body: string) =>
  `v0=${createHmac('sha256', signingSecret).update(`v0:${timestamp}:${body}`).digest('hex')}`;

function send(
  body: string,
  {
    type = form,
    timestamp = example.timestamp,
    signature = sign(timestamp, body),
    path = '/slack/events',
  } = {},
): Promise<number> {
  return new Promise((resolve, reject) => {
    const sent = httpRequest(
      {
        port: (server.address() as AddressInfo).port,
        path,
        method: 'POST',
        headers: {
          'content-type': type,
          'x-slack-request-timestamp': timestamp,
          'x-slack-signature': signature,
        },
      },
      (answer) => {
        answer.resume();
        resolve(answer.statusCode ?? 0);
      },
    );
    sent.on('error', reject);
    sent.end(body);
  });
}

const shifted = (seconds: number) => String(Number(example.timestamp) + seconds);
const payload = (value: unknown) => new URLSearchParams({ payload: JSON.stringify(value) }).toString();

describe('a request to the chat’s address', () => {
  it('is taken with the signature of the platform’s own worked example, and its body handed on as it came', async () => {
    expect(await send(example.body, { signature: example.signature })).toBe(200);
    expect(handled).toEqual([{ body: example.body, type: form }]);
  });

  it('is taken where its type names a character set', async () => {
    expect(await send(example.body, { type: `${form}; charset=utf-8` })).toBe(200);
    expect(handled).toEqual([{ body: example.body, type: form }]);
  });

  it.each([
    ['another body', { body: `${example.body}x`, signature: example.signature }],
    ['no signature of ours', { body: example.body, signature: 'v0=00' }],
    [
      'another version of signatures',
      { body: example.body, signature: example.signature.replace('v0', 'v1') },
    ],
    ['a time that is none', { body: example.body, timestamp: 'soon' }],
  ])('is refused with %s', async (_what, { body, ...how }) => {
    expect(await send(body, how)).toBe(401);
    expect([handled, troubles]).toEqual([[], []]);
  });

  it.each([
    [-301, 401],
    [-299, 200],
    [299, 200],
    [301, 401],
    [86_400, 401],
  ])('signed for a time %i s from now is answered %i: five minutes either way', async (seconds, status) => {
    expect(await send(example.body, { timestamp: shifted(seconds) })).toBe(status);
    expect(handled).toHaveLength(status === 200 ? 1 : 0);
  });

  it.each([
    ['payload=null', 'payload=null'],
    ['no JSON', 'payload=%7Bno'],
    ['an unknown type', payload({ type: 'something' })],
    ['a press without a person', payload({ type: 'block_actions', trigger_id: 't', actions: [{}] })],
    [
      'a press of nothing',
      payload({ type: 'block_actions', user: { id: 'U1' }, trigger_id: 't', actions: [] }),
    ],
    ['a form without a view', payload({ type: 'view_submission', user: { id: 'U1' } })],
    ['a command without a person', 'command=%2Fartline&team_id=T1&channel_id=C1'],
    ['a list', payload([1, 2])],
    ['nothing', ''],
  ])('that is signed nonsense is answered at once, and the operator told: %s', async (_what, body) => {
    expect(await send(body)).toBe(400);
    expect(handled).toEqual([]);
    expect(troubles).toEqual(['a signed request could not be read']);
  });

  it('that says events are left out is taken, and the operator told', async () => {
    const body = JSON.stringify({ type: 'app_rate_limited', team_id: 'T1', minute_rate_limited: 1 });
    expect(await send(body, { type: 'application/json' })).toBe(200);
    expect([handled, troubles]).toEqual([[], ['the chat platform leaves events out: there were too many']]);
  });

  it.each([
    ['an address check', JSON.stringify({ type: 'url_verification', challenge: 'c' })],
    [
      'an event',
      JSON.stringify({ type: 'event_callback', team_id: 'T1', event: { type: 'app_home_opened' } }),
    ],
  ])('is handed on: %s', async (_what, body) => {
    expect(await send(body, { type: 'application/json' })).toBe(200);
    expect(handled).toHaveLength(1);
  });

  it('that is larger than any payload of the platform is refused while it comes', async () => {
    expect(await send('x'.repeat(5 * 1024 * 1024))).toBe(413);
    expect(handled).toEqual([]);
  });

  // The framework reads the address as a URL, so these are the same one to it.
  it.each(['/slack/events?a=b', '/./slack/events', '/x/../slack/events', 'http://bot.example/slack/events'])(
    'is looked at however its address is written: %s',
    async (path) => {
      expect(await send(example.body, { path, timestamp: shifted(86_400) })).toBe(401);
      expect(await send('payload=null', { path })).toBe(400);
      expect(handled).toEqual([]);
    },
  );

  it.each(['/healthz', '//[', '//slack/events'])('elsewhere is none of its business: %s', async (path) => {
    expect(await send('', { path, signature: '' })).toBe(200);
    expect(handled).toHaveLength(1);
  });
});
