import type { Clock } from '../../app/clock.ts';
import type { Notified } from './mentions.ts';
import type { EphemeralMessage, Json } from './message.ts';
import type { ResponseUrlBox } from './response-urls.ts';
import type { TriggerBox } from './triggers.ts';
import type { ViewBox } from './views.ts';
import type { Workspace } from './workspace.ts';
import type { PracticeWorld } from './world.ts';

/** An upload announced and not yet completed. */
export interface PendingUpload {
  filename: string;
  altText: string;
  lengthBytes: number;
  bytes?: Buffer;
}

/** What every part of the platform works on. */
export interface PlatformCore {
  readonly world: PracticeWorld;
  readonly workspace: Workspace;
  /** Ward time: message timestamps and scheduled posts. */
  readonly clock: Clock;
  /** Real time: trigger ages, acknowledgements, response addresses, rate limits. */
  realNow(): number;
  readonly views: ViewBox;
  readonly triggers: TriggerBox;
  readonly responseUrls: ResponseUrlBox;
  /** Uploads on the way, by file id. */
  readonly uploads: Map<string, PendingUpload>;
  readonly ephemerals: EphemeralMessage[];
  readonly notified: Notified[];
  /** Things the real platform accepts and a careful app does not do. */
  readonly warnings: string[];
  /** `http://127.0.0.1:PORT`. */
  origin(): string;
  /** Wakes those who watch; called after every visible change. */
  changed(): void;
  /** False when the channel has had its share of posts; the milliseconds to wait otherwise 0. */
  takePost(channel: string): number;
  /** True when the ward clock may be hurried; rules in whole ward minutes then make no sense. */
  readonly hurried: boolean;
  /** Whether the app's token is worth anything still. */
  readonly token: { isRevoked: boolean };
}

/** A refusal as the Web API words it. */
export function refuse(error: string, more: Json = {}): Json {
  return { ok: false, error, ...more };
}

/** One Web API method: arguments in, answer out. */
export type Method = (core: PlatformCore, args: Json) => Json | Promise<Json>;

/** An argument that may arrive as JSON text (a form) or as a value (a JSON body). */
export function structured(value: unknown): { ok: true; value: unknown } | { ok: false } {
  if (typeof value !== 'string') return { ok: true, value };
  try {
    return { ok: true, value: JSON.parse(value) as unknown };
  } catch {
    return { ok: false };
  }
}

/** True for the ways a form or JSON body says yes. */
export function isYes(value: unknown): boolean {
  return value === true || value === 'true' || value === '1' || value === 1;
}

/** A scalar argument as text; empty when it is missing or not a scalar. */
export function asText(value: unknown): string {
  return typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean'
    ? `${value}`
    : '';
}
