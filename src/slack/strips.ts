import type { WebClient } from '@slack/web-api';
import type { Strips } from '../chat/strips.ts';
import type { UploadedFile } from '../domain/strip/parse-strip-files.ts';
import { uploadKeptBack, uploadTooLarge, uploadUnknown } from '../wording/edge/uploads.ts';
import { withoutMarks } from '../wording/rich-text.ts';

/** Largest upload read here, bytes: a longer one would hold up everybody's answers. */
export const largestUploadBytes = 8_000_000;
const fetchPatienceMs = 20_000;

/**
 * Fetches uploads with the bot's token, which goes to the platform's own file host and nowhere else: no redirect is
 * followed, and an answer that is a page instead of a file is refused.
 */
export function slackUploads(
  client: WebClient,
  token: () => Promise<string>,
  slackApiUrl: string,
): Strips['fetch'] {
  const isOurs = (url: URL) => {
    const api = new URL(slackApiUrl);
    const isLoopback = ['localhost', '127.0.0.1', '[::1]'].includes(api.hostname);
    return isLoopback ? url.host === api.host : url.protocol === 'https:' && url.host === 'files.slack.com';
  };
  const tooLarge = uploadTooLarge(largestUploadBytes);
  return async (fileIds) => {
    const files: UploadedFile[] = [];
    let announced = 0;
    let read = 0;
    for (const file of fileIds) {
      const { file: info } = await client.files.info({ file });
      const url = info?.url_private_download ?? info?.url_private;
      if (!info || !url || !isOurs(new URL(url))) return { problem: uploadUnknown };
      announced += info.size ?? 0;
      if (announced > largestUploadBytes) return { problem: tooLarge };
      const answer = await fetch(url, {
        headers: { authorization: `Bearer ${await token()}` },
        redirect: 'error',
        signal: AbortSignal.timeout(fetchPatienceMs),
      });
      const isPage = answer.headers.get('content-type')?.startsWith('text/html') === true;
      if (!answer.ok || (isPage && !/\.html?$/i.test(info.name ?? ''))) return { problem: uploadKeptBack };
      // What was announced may not be so: no more is taken than may be.
      const bytes = await bytesUpTo(answer, largestUploadBytes - read);
      if (bytes === null) return { problem: tooLarge };
      read += bytes.length;
      files.push({ name: withoutMarks(info.name ?? 'strip.csv'), bytes });
    }
    return { files };
  };
}

/** The answer's bytes; null where there are more than `mostBytes`, and then the rest is not fetched. */
async function bytesUpTo(answer: Response, mostBytes: number): Promise<Uint8Array | null> {
  const parts: Uint8Array[] = [];
  let bytes = 0;
  const reader = (answer.body as ReadableStream<Uint8Array> | null)?.getReader();
  for (;;) {
    const { done = true, value } = (await reader?.read()) ?? {};
    if (done || !value) return new Uint8Array(Buffer.concat(parts));
    bytes += value.length;
    if (bytes > mostBytes) {
      await reader?.cancel();
      return null;
    }
    parts.push(value);
  }
}
