import type { Json } from './message.ts';

/** The three kinds of frame an app receives. */
export type DeliveryKind = 'slash_commands' | 'interactive' | 'events_api';

/** What became of one payload. */
export interface Delivery {
  acked: boolean;
  /** Real milliseconds until the acknowledgement, or until it was given up. */
  ackMs: number;
  /** The body of the acknowledgement; an empty object when it had none. */
  body: Json;
  error?: 'no_connection' | 'operation_timeout' | `http_${number}` | 'connection_failed';
}

/** One delivered payload and its acknowledgement, kept for tests. */
export interface DeliveryRecord extends Delivery {
  kind: DeliveryKind;
  payload: Json;
}

/** How often an event was sent before, and why again. */
export interface Retry {
  attempt: number;
  reason: string;
}

/** Carries payloads to the app, by socket or by HTTP. */
export interface Carrier {
  deliver(kind: DeliveryKind, payload: Json, retry?: Retry): Promise<Delivery>;
}

/** An app must acknowledge within this time (handling user interaction, Events API). */
export const ackLimitMs = 3_000;
