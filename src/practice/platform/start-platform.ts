import { createServer } from 'node:http';
import { changeBox } from './changes.ts';
import { chatMethods } from './chat-methods.ts';
import { conversationMethods } from './conversation-methods.ts';
import type { PlatformCore } from './core.ts';
import { deliveryDesk } from './delivery-desk.ts';
import { eventDriver } from './event-driver.ts';
import { type FaultBox, faultBox } from './faults.ts';
import { fileDriver } from './file-driver.ts';
import { fileMethods } from './file-methods.ts';
import { formDriver } from './form-driver.ts';
import { httpCarrier } from './http-carrier.ts';
import { closeServer, listenOn } from './http-server.ts';
import { messageDriver } from './message-driver.ts';
import { person } from './people.ts';
import type { Platform, PlatformOptions } from './platform.ts';
import { channelBuckets, type RateLimit } from './rate-limit.ts';
import { responseUrlBox } from './response-urls.ts';
import { keepScheduledPosts } from './scheduled-posts.ts';
import { serveRequests } from './serve-requests.ts';
import { shortcutDriver } from './shortcut-driver.ts';
import { SocketHub } from './socket-hub.ts';
import { triggerBox } from './triggers.ts';
import { viewMethods } from './view-methods.ts';
import { ViewBox } from './views.ts';
import type { ApiCall } from './web-api.ts';
import { workplaceDriver } from './workplace-driver.ts';
import { Workspace } from './workspace.ts';

const usualRate: RateLimit = { perChannelPerSecond: 1, burst: 5 };
const methods = { ...chatMethods, ...conversationMethods, ...viewMethods, ...fileMethods };

function platformCore(options: PlatformOptions, changed: () => void, origin: () => string): PlatformCore {
  const { world, clock, rateLimit, realNow = () => Date.now() } = options;
  return {
    world,
    clock,
    realNow,
    origin,
    changed,
    takePost: channelBuckets(rateLimit === undefined ? usualRate : rateLimit, realNow),
    workspace: new Workspace(world, options.statePath, changed),
    views: new ViewBox(world, changed),
    triggers: triggerBox(realNow),
    responseUrls: responseUrlBox(origin, realNow),
    uploads: new Map(),
    ephemerals: [],
    notified: [],
    warnings: [],
    hurried: options.hurried !== undefined,
    token: { isRevoked: false },
  };
}

/** What people have before them. */
function screens(core: PlatformCore): Pick<Platform, 'messages' | 'ephemerals' | 'view' | 'home'> {
  return {
    messages(channelOrUser) {
      const conversation = core.workspace.conversation(channelOrUser);
      if (conversation) return conversation.messages;
      // A channel that was removed.
      if (core.world.channels.some(({ id }) => id === channelOrUser)) return [];
      return core.workspace.conversation(`D${person(core, channelOrUser).id.slice(1)}`)?.messages ?? [];
    },
    ephemerals: (user) => core.ephemerals.filter((message) => message.reader === person(core, user).id),
    view: (user) => core.views.top(person(core, user).id),
    home: (user) => core.views.home(person(core, user).id),
  };
}

/** What goes wrong with the platform when a test says so. */
function failures(
  faults: FaultBox,
  hub: SocketHub,
  outage: { isNow: boolean },
): Pick<Platform, 'fault' | 'clearFaults' | 'disconnect' | 'goDown' | 'comeBack'> {
  return {
    fault: (fault) => faults.add(fault),
    clearFaults: () => faults.clear(),
    disconnect: (reason) => hub.disconnect(reason),
    goDown() {
      outage.isNow = true;
      hub.drop();
    },
    comeBack() {
      outage.isNow = false;
    },
  };
}

/** Starts the stand-in on 127.0.0.1. @throws when the port is taken or the journal cannot be read. */
export async function startPlatform(options: PlatformOptions): Promise<Platform> {
  const { changed, on, until } = changeBox();
  let port = 0;
  const outage = { isNow: false };
  const host = () => `127.0.0.1:${port}`;
  const core = platformCore(options, changed, () => `http://${host()}`);
  const faults = faultBox();
  const calls: ApiCall[] = [];
  const hub = new SocketHub(options.world, host);
  const carrier = options.deliverTo === 'socket' ? hub : httpCarrier(options.deliverTo);
  const desk = deliveryDesk(core, carrier, () => outage.isNow);
  const server = createServer(
    serveRequests({
      core,
      faults,
      calls,
      methods,
      isDown: () => outage.isNow,
      socketUrl: () => hub.url(),
      extraRoutes: (request, response) => extraRoutes?.(request, response) ?? false,
    }),
  );
  server.on('upgrade', (request, socket, head) => {
    if (outage.isNow) socket.destroy();
    else hub.upgrade(request, socket, head);
  });
  port = await listenOn(server, options.port);
  const stopScheduled = keepScheduledPosts(core, options.hurried);
  const platform: Platform = {
    ...messageDriver(core, desk),
    ...formDriver(core, desk),
    ...fileDriver(core, desk),
    ...shortcutDriver(core, desk),
    ...eventDriver(core, desk),
    ...workplaceDriver(core, desk),
    ...screens(core),
    ...failures(faults, hub, outage),
    port,
    origin: core.origin(),
    apiUrl: `${core.origin()}/api/`,
    world: options.world,
    core,
    warnings: core.warnings,
    notified: core.notified,
    calls,
    deliveries: desk.deliveries,
    on,
    until,
    redeliver: (kind, reason) => desk.redeliver(kind, reason),
    connections: () => hub.connections(),
    async stop() {
      stopScheduled();
      hub.stop();
      await closeServer(server);
      core.workspace.close();
    },
  };
  const extraRoutes = options.routes?.(platform);
  return platform;
}
