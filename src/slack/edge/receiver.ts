import { HTTPReceiver, type Receiver, SocketModeReceiver } from '@slack/bolt';
import type { BoltOptions } from '../bolt-app.ts';
import { webClientOptions } from '../web-client-options.ts';

/** What receives from the platform: a socket, or a port. */
export function makeReceiver({ reach, slackApiUrl, logger }: BoltOptions): Receiver {
  if (reach.by === 'socket') {
    return new SocketModeReceiver({
      appToken: reach.appToken,
      // It is opened again by `socketLife`, which does not give up.
      autoReconnectEnabled: false,
      installerOptions: { clientOptions: webClientOptions(slackApiUrl) },
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
