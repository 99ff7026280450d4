import { HTTPReceiver, type Receiver, SocketModeReceiver } from '@slack/bolt';
import type { BoltOptions } from '../bolt-app.ts';

/** What receives from the platform: a socket, or a port. */
export function makeReceiver({ reach, slackApiUrl, logger }: BoltOptions): Receiver {
  if (reach.by === 'socket') {
    return new SocketModeReceiver({
      appToken: reach.appToken,
      // An object of its own: the receiver changes the retry settings of the one it is given.
      installerOptions: { clientOptions: { slackApiUrl } },
      ...(logger ? { logger } : {}),
    });
  }
  return new HTTPReceiver({
    signingSecret: reach.signingSecret,
    endpoints: '/slack/events',
    customRoutes: reach.routes,
    ...(logger ? { logger } : {}),
  });
}
