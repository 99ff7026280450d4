import type { FilesGetUploadURLExternalArguments, WebClient } from '@slack/web-api';

/** A picture with its words. */
export interface Drawing {
  pngBytes: Uint8Array;
  altText: string;
}

/** Shares a picture in a channel or a thread of it; throws where the platform does not take it. */
export type SharePicture = (
  drawing: Drawing,
  place: { channel: string; threadId?: string; title: string; fileName: string },
) => Promise<void>;

const uploadPatienceMs = 20_000;
/** Characters of alternative text that the platform takes. */
const mostAltText = 1_000;

/**
 * Shares a picture in the platform's three steps. Its SDK has one call for them, but hands the alternative text over under
 * a name that the platform does not know.
 */
export function slackPictures(client: WebClient): SharePicture {
  return async ({ pngBytes, altText }, { channel, threadId, title, fileName }) => {
    const announced = await client.files.getUploadURLExternal({
      filename: fileName,
      length: pngBytes.length,
      // The platform's own name for it; the SDK's type knows another.
      alt_txt: altText.slice(0, mostAltText),
    } as unknown as FilesGetUploadURLExternalArguments);
    const { upload_url: url, file_id: id } = announced;
    if (!url || !id) throw new Error('the platform gave no place to upload to');
    const answer = await fetch(url, {
      method: 'POST',
      body: Buffer.from(pngBytes),
      signal: AbortSignal.timeout(uploadPatienceMs),
    });
    if (!answer.ok) throw new Error(`the upload was answered ${answer.status}`);
    await client.files.completeUploadExternal({
      files: [{ id, title }],
      channel_id: channel,
      ...(threadId === undefined ? {} : { thread_ts: threadId }),
    });
  };
}
