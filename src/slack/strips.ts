import type { FilesGetUploadURLExternalArguments, WebClient } from '@slack/web-api';
import type { UploadedFile } from '../domain/strip/parse-strip-files.ts';
import type { PressureStrip } from '../domain/strip/pressure-strip.ts';
import type { ReadStrip } from '../domain/strip/strip-findings.ts';

/** A picture of a strip with its words. */
export interface StripDrawing {
  pngBytes: Uint8Array;
  altText: string;
}

/** Uploaded strips, as the listeners need them. */
export interface Strips {
  /** The bytes of uploaded files, or a sentence on why they cannot be had. */
  fetch(fileIds: readonly string[]): Promise<{ files: UploadedFile[] } | { problem: string }>;
  draw(strip: PressureStrip, read: ReadStrip): StripDrawing;
  /** Shares a picture in a channel or a thread of it; throws where the platform does not take it. */
  share(drawing: StripDrawing, place: { channel: string; threadId?: string; title: string }): Promise<void>;
}

/** Largest upload read here, bytes: a longer one would hold up everybody's answers. */
export const largestUploadBytes = 8_000_000;
const fetchPatienceMs = 20_000;
/** A year of a busy ward is tens of megabytes. */
const uploadPatienceMs = 120_000;
/** Characters of alternative text that the platform takes. */
const mostAltText = 1_000;

/** Shares a strip's picture. */
export function slackPictures(client: WebClient): Strips['share'] {
  return ({ pngBytes, altText }, place) =>
    shareFile(client, { name: 'strip.png', bytes: pngBytes, altText }, place);
}

/** A file as it is shared; `altText` only of a picture: with it, the platform does not share anything else. */
export interface SharedFile {
  name: string;
  bytes: Uint8Array;
  altText?: string;
}

/**
 * Shares a file in the platform's three steps, in a channel or a thread of it, with a comment where one is given. Its
 * SDK has one call for them, but hands the alternative text over under a name that the platform does not know.
 * Throws where the platform does not take it.
 */
export async function shareFile(
  client: WebClient,
  { name, bytes, altText }: SharedFile,
  place: { channel: string; threadId?: string; title: string; comment?: string },
): Promise<void> {
  const { channel, threadId, title, comment } = place;
  const announced = await client.files.getUploadURLExternal({
    filename: name,
    length: bytes.length,
    // The platform's own name for it; the SDK's type knows another.
    ...(altText === undefined ? {} : { alt_txt: altText.slice(0, mostAltText) }),
  } as unknown as FilesGetUploadURLExternalArguments);
  const { upload_url: url, file_id: id } = announced;
  if (!url || !id) throw new Error('the platform gave no place to upload to');
  const answer = await fetch(url, {
    method: 'POST',
    body: Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength),
    signal: AbortSignal.timeout(uploadPatienceMs),
  });
  if (!answer.ok) throw new Error(`the upload was answered ${answer.status}`);
  await client.files.completeUploadExternal({
    files: [{ id, title }],
    channel_id: channel,
    ...(threadId === undefined ? {} : { thread_ts: threadId }),
    ...(comment === undefined ? {} : { initial_comment: comment }),
  });
}

/**
 * Fetches uploads with the bot's token, which goes to the platform's own file host and nowhere else: no redirect is
 * followed, and an answer that is a page instead of a file is refused.
 */
export function slackUploads(client: WebClient, botToken: string, slackApiUrl: string): Strips['fetch'] {
  const isOurs = (url: URL) => {
    const api = new URL(slackApiUrl);
    const isLoopback = ['localhost', '127.0.0.1', '[::1]'].includes(api.hostname);
    return isLoopback ? url.host === api.host : url.protocol === 'https:' && url.host === 'files.slack.com';
  };
  const tooLarge = `The upload is larger than ${largestUploadBytes / 1_000_000} MB. Cut it to the minutes that matter; npm run strip reads longer files.`;
  return async (fileIds) => {
    const files: UploadedFile[] = [];
    let total = 0;
    for (const file of fileIds) {
      const { file: info } = await client.files.info({ file });
      const url = info?.url_private_download ?? info?.url_private;
      if (!info || !url || !isOurs(new URL(url)))
        return { problem: 'The uploaded file cannot be had from the chat platform. Upload it again.' };
      total += info.size ?? 0;
      if (total > largestUploadBytes) return { problem: tooLarge };
      const answer = await fetch(url, {
        headers: { authorization: `Bearer ${botToken}` },
        redirect: 'error',
        signal: AbortSignal.timeout(fetchPatienceMs),
      });
      const isPage = answer.headers.get('content-type')?.startsWith('text/html') === true;
      if (!answer.ok || (isPage && !/\.html?$/i.test(info.name ?? ''))) {
        return {
          problem:
            'The chat platform did not give the file. The app may lack the scope files:read: an administrator installs it anew.',
        };
      }
      const bytes = new Uint8Array(await answer.arrayBuffer());
      if (bytes.length > largestUploadBytes) return { problem: tooLarge };
      files.push({ name: info.name ?? 'strip.csv', bytes });
    }
    return { files };
  };
}
