import type { FilesGetUploadURLExternalArguments, WebClient } from '@slack/web-api';
import type { SharedFile, SharePicture } from '../chat/files.ts';

/** A year of a busy ward is tens of megabytes. */
const uploadPatienceMs = 120_000;
/** Characters of alternative text that the platform takes. */
const mostAltText = 1_000;

/** Shares pictures by this client. */
export function slackPictures(client: WebClient): SharePicture {
  return ({ pngBytes, altText }, { fileName, ...place }) =>
    shareFile(client, { name: fileName, bytes: pngBytes, altText }, place);
}

/**
 * Shares a file in the platform's three steps, in a channel or a thread of it, with a comment where one is given. Its
 * SDK has one call for them, but hands the alternative text over under a name that the platform does not know.
 * Throws where the platform does not take it.
 */
export async function shareFile(
  client: WebClient,
  { name, bytes, altText }: SharedFile,
  place: { channel: string; threadId?: string; title: string; comment?: string; patienceMs?: number },
): Promise<void> {
  const { channel, threadId, title, comment, patienceMs = uploadPatienceMs } = place;
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
    signal: AbortSignal.timeout(patienceMs),
  });
  if (!answer.ok) throw new Error(`the upload was answered ${answer.status}`);
  await client.files.completeUploadExternal({
    files: [{ id, title }],
    channel_id: channel,
    ...(threadId === undefined ? {} : { thread_ts: threadId }),
    ...(comment === undefined ? {} : { initial_comment: comment }),
  });
}
