import type { IncomingMessage, ServerResponse } from 'node:http';
import type { Clock, HurriedClock } from '../../app/clock.ts';
import type { PlatformCore } from './core.ts';
import type { DeliveryRecord } from './delivery.ts';
import type { DeliveryDesk } from './delivery-desk.ts';
import type { EventDriver } from './event-driver.ts';
import type { Fault } from './faults.ts';
import type { FileDriver } from './file-driver.ts';
import type { FormDriver } from './form-driver.ts';
import type { Notified } from './mentions.ts';
import type { EphemeralMessage, StoredMessage } from './message.ts';
import type { MessageDriver } from './message-driver.ts';
import type { RateLimit } from './rate-limit.ts';
import type { ShortcutDriver } from './shortcut-driver.ts';
import type { DisconnectReason } from './socket-hub.ts';
import type { OpenView } from './views.ts';
import type { ApiCall } from './web-api.ts';
import type { WorkplaceDriver } from './workplace-driver.ts';
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
  /** Tried before the platform's own routes, such as those of the page. */
  routes?: (platform: Platform) => Route;
  /** One post a second a channel, five at once, unless given; null for no limit. */
  rateLimit?: RateLimit | null;
  /** How payloads reach the app. */
  deliverTo: 'socket' | { url: string; signingSecret: string };
  /** Real time, for tests of ages; the machine's unless given. */
  realNow?: () => number;
}

/** A running stand-in for the chat platform, and the hands of the people in it. */
export interface Platform
  extends MessageDriver,
    FormDriver,
    FileDriver,
    ShortcutDriver,
    EventDriver,
    WorkplaceDriver {
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
   * @throws after `timeoutMs` (5000 unless given), naming `what` was waited for.
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
