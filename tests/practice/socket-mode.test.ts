import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { unansweredLine } from '../../src/practice/platform/delivery-desk.ts';
import { startTinyWard, type TinyWard } from './tiny-app.ts';

// Source: apis/events-api/using-socket-mode; interactivity/handling-user-interaction (3 s, 5 posts in 30 min).

let ward: TinyWard;
let realAheadMs = 0;
beforeEach(async () => {
  realAheadMs = 0;
  ward = await startTinyWard({ realNow: () => Date.now() + realAheadMs });
});
afterEach(() => ward.stop());

describe('Socket Mode', () => {
  it('tells the person when a command is not acknowledged within 3 s', async () => {
    const { platform } = ward;
    const delivery = await platform.slash({ user: 'ina', command: '/unheard' });
    expect(delivery).toMatchObject({ acked: false, error: 'operation_timeout' });
    expect(platform.ephemerals('ina')).toMatchObject([{ text: unansweredLine, fromPlatform: true }]);
    expect(platform.ephemerals('teo')).toEqual([]);
  });

  it('delivers a payload again, unchanged, on request', async () => {
    const { platform } = ward;
    await platform.slash({ user: 'ina', text: 'note twice' });
    await platform.redeliver('slash_commands');
    await platform.until('the second note', () => platform.messages('C0WARDEAST').length === 2);
    const [first, second] = platform.deliveries;
    expect(second?.payload).toEqual(first?.payload);
  });

  it('is left and taken up again by the app when the platform asks it to reconnect', async () => {
    const { platform } = ward;
    platform.disconnect('refresh_requested');
    await platform.until('the app to leave', () => platform.connections() === 0);
    // The client of Bolt 5.1 reconnects after its ping time-out of 5 s.
    await platform.until('the app to return', () => platform.connections() === 1, 12_000);
    expect(await platform.slash({ user: 'ina' })).toMatchObject({ acked: true });
  }, 20_000);

  it('opens no connection with an address used before', async () => {
    const { platform } = ward;
    const url = `ws://127.0.0.1:${platform.port}/link/?ticket=guessed`;
    const outcome = await new Promise((resolve) => {
      const socket = new WebSocket(url);
      socket.addEventListener('error', () => resolve('refused'));
      socket.addEventListener('open', () => resolve('opened'));
    });
    expect(outcome).toBe('refused');
  });
});

describe('response addresses', () => {
  const post = (url: string, body: object) =>
    fetch(url, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(body),
    });
  const address = async () => {
    await ward.platform.slash({ user: 'ina', text: 'fail' });
    return String(ward.platform.deliveries.at(-1)?.payload.response_url);
  };

  it('take five posts and no sixth', async () => {
    const url = await address();
    for (let count = 0; count < 5; count += 1) expect((await post(url, { text: 'a' })).status).toBe(200);
    expect(await (await post(url, { text: 'a' })).json()).toEqual({ ok: false, error: 'used_url' });
    expect(ward.platform.ephemerals('ina')).toHaveLength(5);
  });

  it('work for 30 minutes', async () => {
    const url = await address();
    realAheadMs = 30 * 60_000 - 5_000;
    expect((await post(url, { text: 'a', response_type: 'in_channel' })).status).toBe(200);
    realAheadMs = 30 * 60_000 + 5_000;
    expect((await post(url, { text: 'a' })).status).toBe(404);
    expect(ward.platform.messages('C0WARDEAST')).toHaveLength(1);
  });

  it('reach channels the bot is not in, and keep to the block limits', async () => {
    const { platform } = ward;
    await platform.slash({ user: 'ina', channel: 'C0TEAROOM0', text: 'fail' });
    const url = String(platform.deliveries.at(-1)?.payload.response_url);
    expect((await post(url, { text: 'a', blocks: [{ type: 'nonsense' }] })).status).toBe(400);
    expect((await post(url, { text: 'Not a ward' })).status).toBe(200);
    expect(platform.ephemerals('ina').at(-1)).toMatchObject({ channel: 'C0TEAROOM0', text: 'Not a ward' });
  });
});

describe('presses', () => {
  it('of an older rendition carry the old button; hostile ones may come from outside the channel', async () => {
    const { platform, app } = ward;
    const old = [
      {
        type: 'actions' as const,
        block_id: 'old',
        elements: [
          {
            type: 'button' as const,
            action_id: 'later',
            value: 'stale',
            text: { type: 'plain_text' as const, text: 'Later' },
          },
        ],
      },
    ];
    const { ts = '' } = await app.client.chat.postMessage({ channel: 'C0WARDEAST', text: 'a', blocks: old });
    await app.client.chat.update({ channel: 'C0WARDEAST', ts, text: 'settled', blocks: [] });
    await expect(platform.press({ user: 'ina', messageTs: ts, actionId: 'later' })).rejects.toThrow(
      'nothing',
    );
    await platform.press({
      user: 'ina',
      messageTs: ts,
      actionId: 'later',
      stale: old,
      as: { team: 'T0OTHER', channel: 'C0TEAROOM0' },
    });
    expect(platform.deliveries.at(-1)?.payload).toMatchObject({
      team: { id: 'T0OTHER' },
      channel: { id: 'C0TEAROOM0' },
      actions: [{ value: 'stale' }],
    });
  });

  it('refuse to guess between two buttons with the same action', async () => {
    const { platform, app } = ward;
    const row = (value: string) => ({
      type: 'actions' as const,
      elements: [
        {
          type: 'button' as const,
          action_id: 'later',
          value,
          text: { type: 'plain_text' as const, text: value },
        },
      ],
    });
    const { ts = '' } = await app.client.chat.postMessage({
      channel: 'C0WARDEAST',
      text: 'a',
      blocks: [row('Biscuit'), row('Mochi')],
    });
    await expect(platform.press({ user: 'ina', messageTs: ts, actionId: 'later' })).rejects.toThrow(
      '2 times',
    );
    await platform.press({ user: 'ina', messageTs: ts, actionId: 'later', value: 'Mochi' });
    expect(platform.deliveries.at(-1)?.payload).toMatchObject({ actions: [{ value: 'Mochi' }] });
  });
});
