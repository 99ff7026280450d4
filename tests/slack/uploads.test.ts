import { once } from 'node:events';
import { createServer, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { WebClient } from '@slack/web-api';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { largestUploadBytes, slackUploads } from '../../src/slack/strips.ts';

let server: Server;
let sentBytes: number;
let serve: (response: ServerResponse) => Promise<void>;
beforeEach(async () => {
  sentBytes = 0;
  server = createServer((_request, response) => void serve(response).catch(() => undefined)).listen(
    0,
    '127.0.0.1',
  );
  await once(server, 'listening');
});
afterEach(() => {
  server.closeAllConnections();
  server.close();
});

/** Files announced with `sizes`, all served by the server of the test. */
function uploads(sizes: readonly (number | undefined)[]) {
  const origin = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  const client = {
    files: {
      info: async ({ file }: { file: string }) => ({
        file: { name: 'strip.csv', size: sizes[Number(file)], url_private_download: `${origin}/${file}` },
      }),
    },
  } as unknown as WebClient;
  return slackUploads(
    client,
    async () => 'xoxb-test',
    `${origin}/api/`,
  )(sizes.map((_size, index) => String(index)));
}

const megabyte = Buffer.alloc(1_000_000, 'x');
/** Sends so many megabytes as fast as they are taken. */
const send = (megabytes: number) => async (response: ServerResponse) => {
  response.writeHead(200, { 'content-type': 'text/csv' });
  for (let sent = 0; sent < megabytes && !response.destroyed; sent++) {
    sentBytes += megabyte.length;
    if (!response.write(megabyte)) await Promise.race([once(response, 'drain'), once(response, 'close')]);
  }
  response.end();
};
const tooLarge = { problem: expect.stringMatching(/^The upload is larger than 8 MB\./) };

describe('an upload', () => {
  it('is fetched whole, up to what may be read', async () => {
    serve = send(8);
    const { files } = (await uploads([8_000_000])) as { files: { bytes: Uint8Array }[] };
    expect(files.map(({ bytes }) => bytes.length)).toEqual([largestUploadBytes]);
  });

  it('that is announced too large is not fetched at all', async () => {
    serve = send(9);
    expect(await uploads([9_000_000])).toEqual(tooLarge);
    expect(sentBytes).toBe(0);
  });

  it.each([
    ['smaller than it is', 1_000],
    ['without a size', undefined],
  ])('that is announced %s is let go at the limit, not taken into memory first', async (_what, size) => {
    serve = send(200);
    expect(await uploads([size])).toEqual(tooLarge);
    // What lies in the buffers of both ends comes on top.
    expect(sentBytes).toBeLessThan(40_000_000);
  });

  it('of several files is measured together', async () => {
    serve = send(5);
    expect(await uploads([undefined, undefined])).toEqual(tooLarge);
  });
});
