import { HTTPReceiver, type Receiver, SocketModeReceiver } from '@slack/bolt';
import type { BoltOptions } from '../bolt-app.ts';
import { installOptions } from '../install/bolt-install.ts';
import { webClientOptions } from '../web-client-options.ts';
import { frameGate } from './frame-gate.ts';
import { requestGate } from './request-gate.ts';

const path = '/slack/events';

/** What receives from the platform: a socket, or a port. Whatever comes is answered, also what cannot be read. */
export function makeReceiver({ reach, serves, slackApiUrl, logger, trouble }: BoltOptions): Receiver {
  const logged = logger ? { logger } : {};
  const failed = (cause: unknown) => trouble('the chat framework could not take a payload', {}, cause);
  if (reach.by === 'socket') {
    const receiver = new SocketModeReceiver({
      appToken: reach.appToken,
      // It is opened again by `socketLife`, which does not give up.
      autoReconnectEnabled: false,
      installerOptions: { clientOptions: webClientOptions(slackApiUrl) },
      // What failed once would fail again: it is acknowledged, and the operator told.
      processEventErrorHandler: async ({ error }) => {
        failed(error);
        return true;
      },
      ...logged,
    });
    frameGate(receiver.client, trouble);
    return receiver;
  }
  const receiver = new HTTPReceiver({
    signingSecret: reach.signingSecret,
    endpoints: path,
    ...('installs' in serves ? installOptions(serves.installs, slackApiUrl) : {}),
    processEventErrorHandler: async ({ error, response }) => {
      failed(error);
      if (!response.headersSent) {
        response.writeHead(500);
        response.end();
      }
      return false;
    },
    ...logged,
  });
  receiver.requestListener = requestGate(receiver.requestListener, {
    path,
    signingSecret: reach.signingSecret,
    trouble,
  });
  return receiver;
}
