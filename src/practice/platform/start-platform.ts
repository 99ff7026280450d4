import { EventEmitter } from 'node:events';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { practicePage } from '../page-routes.ts';
import { chatMethods } from './chat-methods.ts';
import { conversationMethods } from './conversation-methods.ts';
import type { PlatformCore } from './core.ts';
import { deliveryDesk } from './delivery-desk.ts';
import { eventDriver } from './event-driver.ts';
import { faultBox } from './faults.ts';
import { fileMethods, type PendingUpload } from './file-methods.ts';
import { formDriver } from './form-driver.ts';
import { httpCarrier } from './http-carrier.ts';
import { messageDriver, person } from './message-driver.ts';
import type { Platform, PlatformOptions } from './platform.ts';
import { channelBuckets, type RateLimit } from './rate-limit.ts';
import { responseUrlBox } from './response-urls.ts';
import { keepScheduledPosts } from './scheduled-posts.ts';
import { serveRequests } from './serve-requests.ts';
import { socketHub } from './socket-hub.ts';
import { triggerBox } from './triggers.ts';
import { viewMethods } from './view-methods.ts';
import { viewBox } from './views.ts';
import type { ApiCall } from './web-api.ts';
import { workplaceDriver } from './workplace-driver.ts';
import { openWorkspace } from './workspace.ts';

const usualRate: RateLimit = { perChannelPerSecond: 1, burst: 5 };

/** Starts the stand-in on 127.0.0.1. @throws when the port is taken or the journal cannot be read. */
export async function startPlatform(options: PlatformOptions): Promise<Platform> {
  const { world, clock } = options;
  const realNow = options.realNow ?? (() => Date.now());
  const changes = new EventEmitter().setMaxListeners(0);
  const changed = () => changes.emit('change');
  let port = 0;
  let down = false;
  const origin = () => `http://127.0.0.1:${port}`;
  const takePost = channelBuckets(options.rateLimit === undefined ? usualRate : options.rateLimit, realNow);
  const core: PlatformCore = {
    world,
    clock,
    realNow,
    origin,
    changed,
    takePost,
    workspace: openWorkspace(world, options.statePath, changed),
    views: viewBox(world, changed),
    triggers: triggerBox(realNow),
    responseUrls: responseUrlBox(origin, realNow),
    ephemerals: [],
    notified: [],
    warnings: [],
    hurried: options.hurried !== undefined,
    token: { isRevoked: false },
  };
  const faults = faultBox();
  const calls: ApiCall[] = [];
  const pending = new Map<string, PendingUpload>();
  const hub = socketHub(world, () => `127.0.0.1:${port}`);
  const carrier = options.deliverTo === 'socket' ? hub : httpCarrier(options.deliverTo);
  const desk = deliveryDesk(core, carrier, () => down);

  const handle = serveRequests({
    core,
    faults,
    calls,
    pending,
    methods: { ...chatMethods, ...conversationMethods, ...viewMethods, ...fileMethods(pending) },
    isDown: () => down,
    socketUrl: () => hub.url(),
    extraRoutes: async (request, response) =>
      ((await options.extraRoutes?.(request, response)) ?? false) || (await page(request, response)),
  });
  const server = createServer(handle);
  server.on('upgrade', (request, socket, head) => {
    if (down) socket.destroy();
    else hub.upgrade(request, socket, head);
  });
  await new Promise<void>((resolve, reject) => {
    server.once('error', reject);
    server.listen(options.port, '127.0.0.1', () => resolve());
  });
  port = (server.address() as AddressInfo).port;
  const stopScheduled = keepScheduledPosts(core, options.hurried);

  const on: Platform['on'] = (what, listener) => {
    changes.on(what, listener);
    return () => changes.off(what, listener);
  };
  const platform: Platform = {
    ...messageDriver(core, desk),
    ...formDriver(core, desk),
    ...eventDriver(core, desk),
    ...workplaceDriver(core, desk),
    port,
    origin: origin(),
    apiUrl: `${origin()}/api/`,
    world,
    core,
    warnings: core.warnings,
    notified: core.notified,
    calls,
    deliveries: desk.deliveries,
    messages(channelOrUser) {
      const conversation = core.workspace.conversation(channelOrUser);
      if (conversation) return conversation.messages;
      // A channel that was removed.
      if (world.channels.some(({ id }) => id === channelOrUser)) return [];
      return core.workspace.conversation(`D${person(core, channelOrUser).id.slice(1)}`)?.messages ?? [];
    },
    ephemerals: (user) => core.ephemerals.filter((message) => message.reader === person(core, user).id),
    view: (user) => core.views.top(person(core, user).id),
    home: (user) => core.views.home(person(core, user).id),
    on,
    until(what, look, timeoutMs = 15_000) {
      return new Promise((resolve, reject) => {
        const settle = () => {
          clearTimeout(timer);
          clearInterval(beat);
          stopWatching();
        };
        const check = () => {
          const value = look();
          if (value === undefined || value === null || value === false) return;
          settle();
          resolve(value);
        };
        const stopWatching = on('change', check);
        // Some conditions, such as connections, change without a change of the workspace.
        const beat = setInterval(check, 50);
        const timer = setTimeout(() => {
          settle();
          reject(new Error(`Waited ${timeoutMs} ms in vain for ${what}.`));
        }, timeoutMs);
        check();
      });
    },
    fault: (fault) => faults.add(fault),
    clearFaults: () => faults.clear(),
    redeliver: (kind, reason) => desk.redeliver(kind, reason),
    connections: () => hub.connections(),
    disconnect: (reason) => hub.disconnect(reason),
    goDown() {
      down = true;
      hub.drop();
    },
    comeBack() {
      down = false;
    },
    async stop() {
      stopScheduled();
      hub.stop();
      await new Promise<void>((resolve) => {
        server.close(() => resolve());
        server.closeAllConnections();
      });
      core.workspace.close();
    },
  };
  const page = practicePage(platform, {
    clock,
    ...(options.hurried ? { hurried: options.hurried } : {}),
    ...(options.nextEventAt ? { nextEventAt: options.nextEventAt } : {}),
    ...(options.emptyRecord ? { emptyRecord: options.emptyRecord } : {}),
  });
  return platform;
}
