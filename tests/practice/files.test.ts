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
