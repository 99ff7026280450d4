import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import { startTinyWard, type TinyWard } from './tiny-app.ts';

// Source of the key names: github slackapi/java-slack-sdk json-logs/samples and the types of @slack/bolt.

let ward: TinyWard;
beforeAll(async () => {
  const world = practiceWorld();
  const shortcuts = [...world.shortcuts, { callbackId: 'on-message', name: 'On a message' }];
  const globalShortcuts = [{ callbackId: 'anywhere', name: 'Anywhere' }];
  ward = await startTinyWard({ world: { ...world, shortcuts, globalShortcuts } });
});
afterAll(() => ward.stop());

const last = () => ward.platform.deliveries.at(-1)?.payload ?? {};
const keys = (object: unknown) => Object.keys(object as object).sort();

describe('payloads', () => {
  it('of a slash command are strings only, with mentions resolved and the rest escaped', async () => {
    await ward.platform.slash({ user: 'ina', text: 'oncall @suvi #tea-room a<b & @nobody @channel' });
    expect(keys(last())).toEqual(
      [
        'api_app_id',
        'channel_id',
        'channel_name',
        'command',
        'is_enterprise_install',
        'response_url',
        'team_domain',
        'team_id',
        'text',
        'token',
        'trigger_id',
        'user_id',
        'user_name',
      ].sort(),
    );
    expect(Object.values(last()).every((value) => typeof value === 'string')).toBe(true);
    expect(last().text).toBe(
      'oncall <@U0CLINSUVI|suvi> <#C0TEAROOM0|tea-room> a&lt;b &amp; @nobody <!channel>',
    );
  });

  it('of a command in direct messages name the channel directmessage', async () => {
    ward.platform.core.workspace.directMessages('U0NURSEINA');
    await ward.platform.slash({ user: 'ina', channel: 'D0NURSEINA' });
    expect(last()).toMatchObject({ channel_id: 'D0NURSEINA', channel_name: 'directmessage' });
  });

  it('of a press carry container, state and the one action', async () => {
    const { platform, app } = ward;
    await app.client.chat.postMessage({
      channel: 'C0WARDEAST',
      text: 'a',
      blocks: [
        {
          type: 'actions',
          block_id: 'b',
          elements: [
            { type: 'button', action_id: 'later', value: '1', text: { type: 'plain_text', text: 'Q & A' } },
            { type: 'users_select', action_id: 'who' },
          ],
        },
      ],
    });
    const message = platform.messages('C0WARDEAST').at(-1);
    await platform.press({ user: 'ina', messageTs: message?.ts ?? '', actionId: 'later' });
    expect(keys(last())).toEqual(
      [
        'actions',
        'api_app_id',
        'channel',
        'container',
        'enterprise',
        'is_enterprise_install',
        'message',
        'response_url',
        'state',
        'team',
        'token',
        'trigger_id',
        'type',
        'user',
      ].sort(),
    );
    expect(last()).toMatchObject({
      user: { id: 'U0NURSEINA', username: 'ina', name: 'ina', team_id: 'T0PRACTICE' },
      container: { type: 'message', message_ts: message?.ts, channel_id: 'C0WARDEAST', is_ephemeral: false },
      state: { values: { b: { who: { type: 'users_select', selected_user: null } } } },
      actions: [{ type: 'button', block_id: 'b', action_id: 'later', value: '1' }],
    });
    // Plain text comes back escaped (github slackapi/bolt-python 513).
    expect(JSON.stringify(last().message)).toContain('Q &amp; A');
  });

  it('may claim another workspace or channel, as a hostile sender would', async () => {
    await ward.platform.slash({ user: 'ina', text: 'fail', team: 'T0OTHER' });
    expect(last()).toMatchObject({ team_id: 'T0OTHER' });
  });

  it('of events carry the envelope, a fresh event_id and one authorization', async () => {
    const { platform } = ward;
    await platform.openHome({ user: 'ina' });
    const first = last();
    expect(first).toMatchObject({
      type: 'event_callback',
      team_id: 'T0PRACTICE',
      api_app_id: 'A0PRACTICE',
      event: { type: 'app_home_opened', user: 'U0NURSEINA', tab: 'home' },
      authorizations: [{ team_id: 'T0PRACTICE', user_id: 'U0PRACTBOT', is_bot: true }],
    });
    await platform.join({ user: 'U0PRACTBOT', channel: 'C0TEAROOM0' });
    expect(last()).toMatchObject({ event: { type: 'member_joined_channel', channel_type: 'C' } });
    expect(last().event_id).not.toBe(first.event_id);
    const shared = await platform.shareFile({ user: 'teo', name: 'strip.csv', bytes: Buffer.from('t,p\n') });
    expect(last()).toMatchObject({
      event: { type: 'file_shared', file_id: shared.fileId, user_id: 'U0NURSETEO', channel_id: 'C0WARDEAST' },
    });
  });

  it('of shortcuts have no channel, those on messages have one', async () => {
    const { platform } = ward;
    const said = await platform.say({ user: 'teo', text: 'Biscuit is restless' });
    const listening = (callbackId: string) =>
      ward.app.shortcut(callbackId, async ({ ack }) => {
        await ack();
      });
    listening('anywhere');
    listening('on-message');
    await platform.shortcut({ user: 'teo', callbackId: 'anywhere' });
    expect(last()).toMatchObject({ type: 'shortcut', callback_id: 'anywhere' });
    expect(keys(last())).not.toContain('channel');
    expect(keys(last())).not.toContain('response_url');
    await platform.messageShortcut({
      user: 'teo',
      channel: 'C0WARDEAST',
      messageTs: said.ts,
      callbackId: 'on-message',
    });
    expect(last()).toMatchObject({
      type: 'message_action',
      channel: { id: 'C0WARDEAST' },
      message: { text: 'Biscuit is restless' },
      message_ts: said.ts,
    });
    await expect(
      platform.messageShortcut({
        user: 'teo',
        channel: 'C0WARDEAST',
        messageTs: said.ts,
        callbackId: 'undeclared',
      }),
    ).rejects.toThrow(
      "The app declares no message shortcut 'undeclared'; it declares read_strip, on-message.",
    );
  });

  it('of a shortcut on a message with files carry the files, with where their bytes are', async () => {
    const { platform } = ward;
    const { message, fileIds } = await platform.shareFiles({
      user: 'teo',
      text: 'Fast flush <10 min ago',
      files: [
        { name: 'biscuit.hea', bytes: Buffer.from('biscuit 1 250 4\n') },
        { name: 'biscuit.dat', bytes: Buffer.from([1, 0, 255, 127]) },
      ],
    });
    await platform.messageShortcut({
      user: 'ina',
      channel: 'C0WARDEAST',
      messageTs: message.ts,
      callbackId: 'read_strip',
    });
    const address = (id?: string) => `${platform.origin}/files/${id}`;
    // Key names: github slackapi/java-slack-sdk json-logs/samples (file object). The platform knows no file type of
    // these endings; that it then says `text` or `binary` is from memory.
    expect(last()).toMatchObject({
      type: 'message_action',
      callback_id: 'read_strip',
      user: { id: 'U0NURSEINA' },
      message_ts: message.ts,
      message: {
        user: 'U0NURSETEO',
        text: 'Fast flush &lt;10 min ago',
        files: [
          {
            id: fileIds[0],
            name: 'biscuit.hea',
            filetype: 'text',
            mimetype: 'text/plain',
            size: 16,
            user: 'U0NURSETEO',
            file_access: 'visible',
            url_private_download: address(fileIds[0]),
          },
          {
            id: fileIds[1],
            name: 'biscuit.dat',
            filetype: 'binary',
            mimetype: 'application/octet-stream',
            size: 4,
            url_private_download: address(fileIds[1]),
          },
        ],
      },
    });
    await platform.until(
      'the answer under it',
      () => platform.messages('C0WARDEAST').at(-1)?.thread_ts === message.ts,
    );
  });
});
