import { EventEmitter } from 'node:events';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Clock, HurriedClock } from '../../app/clock.ts';
import { chatMethods } from './chat-methods.ts';
import { conversationMethods } from './conversation-methods.ts';
import type { PlatformCore } from './core.ts';
import type { DeliveryRecord } from './delivery.ts';
import { type DeliveryDesk, deliveryDesk } from './delivery-desk.ts';
import { type EventDriver, eventDriver } from './event-driver.ts';
import { type Fault, faultBox } from './faults.ts';
import { fileMethods, type PendingUpload } from './file-methods.ts';
import { type FormDriver, formDriver } from './form-driver.ts';
import { httpCarrier } from './http-carrier.ts';
import { type Notified } from './mentions.ts';
import type { EphemeralMessage, StoredMessage } from './message.ts';
import { type MessageDriver, messageDriver, person } from './message-driver.ts';
import { channelBuckets, type RateLimit } from './rate-limit.ts';
import { responseUrlBox } from './response-urls.ts';
import { keepScheduledPosts } from './scheduled-posts.ts';
import { serveRequests } from './serve-requests.ts';
import { type DisconnectReason, socketHub } from './socket-hub.ts';
import { triggerBox } from './triggers.ts';
import { viewMethods } from './view-methods.ts';
import { type OpenView, viewBox } from './views.ts';
import type { ApiCall } from './web-api.ts';
import { openWorkspace } from './workspace.ts';
import type { PracticeWorld } from './world.ts';

/** Serves a request and says true, or leaves it alone and says false. */
export type Route = (request: IncomingMessage, response: ServerResponse) => boolean | Promise<boolean>;

/** How a platform is started. */
export interface PlatformOptions {
  /** Loopback port; 0 takes a free one. */
  port: number;
  /** Ward time: message timestamps and scheduled posts come from it. */
  clock: Clock;
  world: PracticeWorld;
  /** Journal file; without it nothing outlives the process. */
  statePath?: string;
  /** Given when the ward clock may be hurried. */
  hurried?: HurriedClock;
  /** Tried before the platform's own routes. */
  extraRoutes?: Route;
  /** One post a second a channel, five at once, unless told; null for no limit. */
  rateLimit?: RateLimit | null;
  /** How payloads reach the app. */
  deliverTo: 'socket' | { url: string; signingSecret: string };
  /** Real time, for tests of ages; the machine's unless told. */
  realNow?: () => number;
}

/** A running stand-in for the chat platform, and the hands of the people in it. */
export interface Platform extends MessageDriver, FormDriver, EventDriver {
  readonly port: number;
  /** `http://127.0.0.1:PORT`. */
  readonly origin: string;
  /** For `clientOptions.slackApiUrl`, with its last slash. */
  readonly apiUrl: string;
  readonly world: PracticeWorld;
  readonly core: PlatformCore;
  /** Things the real platform accepts and a careful app does not do. */
  readonly warnings: readonly string[];
  /** Whom each posted message notified. */
  readonly notified: readonly Notified[];
  /** Web API calls, newest last. */
  readonly calls: readonly ApiCall[];
  /** Payloads sent to the app and what became of them, newest last. */
  readonly deliveries: readonly DeliveryRecord[];
  /** Stored messages of a channel id, or of the direct messages with a user id or handle. */
  messages(channelOrUser: string): readonly StoredMessage[];
  /** Messages only this person sees. */
  ephemerals(user: string): readonly EphemeralMessage[];
  /** The form on top of this person's stack. */
  view(user: string): OpenView | undefined;
  home(user: string): OpenView | undefined;
  on(what: 'change', listener: () => void): () => void;
  /**
   * The first value `look` gives that is neither undefined, null nor false, asked now and after each change.
   * @throws after `timeoutMs` (5000 unless told), naming `what` was waited for.
   */
  until<Value>(
    what: string,
    look: () => Value | undefined | null | false,
    timeoutMs?: number,
  ): Promise<Value>;
  fault(fault: Fault): void;
  clearFaults(): void;
  redeliver: DeliveryDesk['redeliver'];
  /** Socket Mode: how many connections the app holds. */
  connections(): number;
  disconnect(reason: DisconnectReason): void;
  /** The whole platform answers 503 and drops its sockets until `comeBack`. */
  goDown(): void;
  comeBack(): void;
  stop(): Promise<void>;
}

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
    extraRoutes: options.extraRoutes,
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
  return {
    ...messageDriver(core, desk),
    ...formDriver(core, desk),
    ...eventDriver(core, desk),
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
      return core.workspace.conversation(`D${person(core, channelOrUser).id.slice(1)}`)?.messages ?? [];
    },
    ephemerals: (user) => core.ephemerals.filter((message) => message.reader === person(core, user).id),
    view: (user) => core.views.top(person(core, user).id),
    home: (user) => core.views.home(person(core, user).id),
    on,
    until(what, look, timeoutMs = 5_000) {
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
}
