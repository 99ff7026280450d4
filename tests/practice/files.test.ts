import { afterAll, beforeAll, expect, it } from 'vitest';
import { startTinyHttpWard, type TinyWard } from './tiny-app.ts';

// Source: working-with-files (upload in three steps), events-api (signed JSON).

let ward: TinyWard;
beforeAll(async () => {
  ward = await startTinyHttpWard();
});
afterAll(() => ward.stop());

const strip = Buffer.from('t,p\n0,90\n0.01,92\n');

/** The three steps of an upload; the library's types do not know `alt_txt`, so the first goes by method name. */
async function upload(filename: string, altText: string): Promise<void> {
  const { app } = ward;
  const begun = await app.client.apiCall('files.getUploadURLExternal', {
    filename,
    length: strip.length,
    alt_txt: altText,
  });
  const { upload_url: url, file_id: id } = begun as unknown as { upload_url: string; file_id: string };
  expect((await fetch(url, { method: 'POST', body: strip })).status).toBe(200);
  await app.client.files.completeUploadExternal({
    files: [{ id, title: 'Strip of Biscuit' }],
    channel_id: 'C0WARDEAST',
    initial_comment: 'Fast-flush test',
  });
}

it('takes an upload in three steps and shows it in the channel with its alternative text', async () => {
  const { platform } = ward;
  await upload('strip.png', 'Ten seconds of pressure');
  expect(platform.messages('C0WARDEAST').at(-1)).toMatchObject({
    text: 'Fast-flush test',
    files: [
      {
        title: 'Strip of Biscuit',
        alt_txt: 'Ten seconds of pressure',
        mimetype: 'image/png',
        size: strip.length,
      },
    ],
  });
  expect(platform.warnings).toEqual([]);
});

// github slackapi/python-slack-sdk 1818
it('does not share a file that is no picture and has alternative text, and warns of it', async () => {
  const { platform } = ward;
  const before = platform.messages('C0WARDEAST').length;
  await upload('strip.csv', 'Ten seconds of pressure');
  expect(platform.messages('C0WARDEAST')).toHaveLength(before);
  expect(platform.warnings.at(-1)).toBe(
    'files.completeUploadExternal: strip.csv has alt_txt and is no picture; not shared',
  );
});

// The client library names the argument alt_text; the method page documents alt_txt.
it('keeps no alternative text from the library’s one-step upload, and warns of it', async () => {
  const { app, platform } = ward;
  await app.client.filesUploadV2({
    channel_id: 'C0WARDEAST',
    filename: 'strip.csv',
    alt_text: 'Ten seconds of pressure',
    file: strip,
  });
  expect(platform.messages('C0WARDEAST').at(-1)).toMatchObject({ files: [{ alt_txt: '' }] });
  expect(platform.warnings.at(-1)).toBe(
    'files.getUploadURLExternal: alt_text is not an argument, alt_txt is; no text was kept',
  );
});

it('gives a file to the bot’s token and a sign-in page with status 200 to anybody else', async () => {
  const { app, platform } = ward;
  const { fileId } = await platform.shareFile({ user: 'ina', name: 'strip.csv', bytes: strip });
  expect(platform.deliveries.at(-1)).toMatchObject({ kind: 'events_api', acked: true });
  const { file } = await app.client.files.info({ file: fileId });
  const address = file?.url_private_download ?? '';
  const token = platform.world.app.botToken;
  const given = await fetch(address, { headers: { authorization: `Bearer ${token}` } });
  expect(Buffer.from(await given.arrayBuffer())).toEqual(strip);
  const refused = await fetch(address);
  expect(refused.status).toBe(200);
  expect(refused.headers.get('content-type')).toBe('text/html');
});

it('takes several files of one message, and tells the app of each', async () => {
  const { platform } = ward;
  const before = platform.deliveries.length;
  const { message, fileIds } = await platform.shareFiles({
    user: 'ina',
    files: [
      { name: 'biscuit.hea', bytes: Buffer.from('biscuit 1 250 1\n') },
      { name: 'biscuit.csv', bytes: strip },
    ],
  });
  expect(platform.messages('C0WARDEAST').at(-1)).toEqual(message);
  expect(message.files?.map(({ name }) => name)).toEqual(['biscuit.hea', 'biscuit.csv']);
  expect(platform.deliveries.slice(before).map(({ payload }) => payload.event)).toMatchObject(
    fileIds.map((id) => ({ type: 'file_shared', file_id: id })),
  );
});

it('refuses an empty file, no file, more than ten, and a reply to nothing', async () => {
  const { platform } = ward;
  const share = (files: { name: string; bytes: Buffer }[], threadTs?: string) =>
    platform.shareFiles({ user: 'ina', files, ...(threadTs === undefined ? {} : { threadTs }) });
  const one = { name: 'biscuit.csv', bytes: strip };
  const before = platform.messages('C0WARDEAST').length;
  await expect(share([one, { name: 'none.csv', bytes: Buffer.alloc(0) }])).rejects.toThrow(
    '“none.csv” is empty. Choose a file with something in it.',
  );
  await expect(share([])).rejects.toThrow('0 files: a message carries 1 to 10.');
  await expect(share(Array.from({ length: 11 }, () => one))).rejects.toThrow('11 files');
  await expect(share([one], '1.000001')).rejects.toThrow('no message 1.000001 to reply to');
  expect(platform.messages('C0WARDEAST')).toHaveLength(before);
});

it('puts a picture of the bot under the message it answers, with its words', async () => {
  const { app, platform } = ward;
  const { message } = await platform.shareFiles({ user: 'ina', files: [{ name: 'a.csv', bytes: strip }] });
  const share = async (more: Record<string, unknown>) => {
    const { upload_url: url = '', file_id: id = '' } = await app.client.files.getUploadURLExternal({
      filename: 'a.png',
      length: strip.length,
    });
    await fetch(url, { method: 'POST', body: strip });
    await app.client.apiCall('files.completeUploadExternal', {
      files: [{ id, title: 'a' }],
      channel_id: 'C0WARDEAST',
      thread_ts: message.ts,
      ...more,
    });
  };
  const blocks = [{ type: 'section', text: { type: 'plain_text', text: 'In blocks' } }];
  await share({ initial_comment: 'In words', blocks });
  expect(platform.messages('C0WARDEAST').at(-1)).toMatchObject({
    thread_ts: message.ts,
    text: 'In words',
    files: [{ name: 'a.png' }],
  });
  // "If the initial_comment field is provided, the blocks field is ignored" (files.completeUploadExternal).
  expect(platform.messages('C0WARDEAST').at(-1)?.blocks).toBeUndefined();
  await share({ blocks });
  expect(platform.messages('C0WARDEAST').at(-1)).toMatchObject({ thread_ts: message.ts, blocks });
  await expect(share({ thread_ts: '1.000001' })).rejects.toThrow('thread_not_found');
});

it('rings with a picture’s words where the message has none of its own', async () => {
  const { app, platform } = ward;
  const { channel } = await app.client.conversations.open({ users: 'U0NURSEINA' });
  const begun = await app.client.apiCall('files.getUploadURLExternal', {
    filename: 'b.png',
    length: strip.length,
    alt_txt: 'Dwell of 12 lines',
  });
  const { upload_url: url, file_id: id } = begun as unknown as { upload_url: string; file_id: string };
  await fetch(url, { method: 'POST', body: strip });
  await app.client.files.completeUploadExternal({
    files: [{ id, title: 'b' }],
    channel_id: channel?.id ?? '',
  });
  expect(platform.notified.at(-1)).toMatchObject({ userIds: ['U0NURSEINA'], line: 'Dwell of 12 lines' });
});

it('fails the bytes of a file in the ways a network does', async () => {
  const { platform } = ward;
  const { fileIds } = await platform.shareFiles({ user: 'ina', files: [{ name: 'a.csv', bytes: strip }] });
  const get = () =>
    fetch(`${platform.origin}/files/${fileIds[0]}`, {
      headers: { authorization: `Bearer ${platform.world.app.botToken}` },
    });
  platform.fault({ method: 'files.download', kind: 'http503' });
  expect((await get()).status).toBe(503);
  platform.fault({ method: 'files.download', kind: 'dropAfterStore' });
  await expect(get()).rejects.toThrow('fetch failed');
  const given = await get();
  expect(given.headers.get('content-length')).toBe(String(strip.length));
  expect(Buffer.from(await given.arrayBuffer())).toEqual(strip);
});

it('refuses to complete an upload whose bytes never came, and bytes of another length', async () => {
  const { app } = ward;
  const { upload_url: url = '', file_id: id = '' } = await app.client.files.getUploadURLExternal({
    filename: 'a.csv',
    length: 10,
  });
  expect((await fetch(url, { method: 'POST', body: 'short' })).status).toBe(400);
  await expect(
    app.client.files.completeUploadExternal({ files: [{ id, title: 'a' }], channel_id: 'C0WARDEAST' }),
  ).rejects.toThrow('file_not_found');
});

it('refuses blocks with a picture that was never uploaded', async () => {
  const { app } = ward;
  await expect(
    app.client.chat.postMessage({
      channel: 'C0WARDEAST',
      text: 'a',
      blocks: [{ type: 'image', slack_file: { id: 'F9999999' }, alt_text: 'a' }],
    }),
  ).rejects.toThrow('invalid_blocks');
});
