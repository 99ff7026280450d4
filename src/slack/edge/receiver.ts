import { HTTPReceiver, type Receiver, SocketModeReceiver } from '@slack/bolt';
import { RecordUnavailable } from '../../app/record-unavailable.ts';
import { installOptions } from '../install/bolt-install.ts';
import { webClientOptions } from '../web-client-options.ts';
import type { BoltOptions } from './bolt-app.ts';
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
      ...(reach.pongWithinMs === undefined ? {} : { clientPingTimeout: reach.pongWithinMs }),
      installerOptions: { clientOptions: webClientOptions(slackApiUrl) },
      // What failed once would fail again: it is acknowledged, and the operator told. Not where it could not be kept: then the
      // platform tells it again.
      processEventErrorHandler: async ({ error }) => {
        failed(error);
        return !((error as unknown) instanceof RecordUnavailable);
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
