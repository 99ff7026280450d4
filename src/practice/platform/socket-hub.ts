import { randomUUID } from 'node:crypto';
import type { IncomingMessage } from 'node:http';
import type { Duplex } from 'node:stream';
import { type WebSocket, WebSocketServer } from 'ws';
import { ackLimitMs, type Carrier, type Delivery, type DeliveryKind, type Retry } from './delivery.ts';
import type { Json } from './message.ts';
import type { PracticeWorld } from './world.ts';

/** Connections one app may hold (Socket Mode). */
const mostConnections = 10;
/** A socket address works once, for this long after apps.connections.open. */
const ticketLifeMs = 60_000;

/** Why the platform asks the app to reconnect. */
export type DisconnectReason = 'warning' | 'refresh_requested' | 'link_disabled';

/** The Socket Mode side of the platform: connections under `/link/`; payloads go to them in turn. */
export class SocketHub implements Carrier {
  readonly #world: PracticeWorld;
  readonly #host: () => string;
  readonly #server = new WebSocketServer({ noServer: true });
  readonly #tickets = new Map<string, number>();
  readonly #waiting = new Map<string, (body: Json) => void>();
  readonly #links: WebSocket[] = [];
  #turn = 0;

  constructor(world: PracticeWorld, host: () => string) {
    this.#world = world;
    this.#host = host;
  }

  /** A fresh `ws://` address for one connection. */
  url(): string {
    const ticket = randomUUID();
    this.#tickets.set(ticket, Date.now());
    return `ws://${this.#host()}/link/?ticket=${ticket}&app_id=${this.#world.app.id}`;
  }

  connections(): number {
    return this.#links.length;
  }

  upgrade(request: IncomingMessage, socket: Duplex, head: Buffer): void {
    const ticket = new URL(request.url ?? '/', 'http://localhost').searchParams.get('ticket') ?? '';
    const issuedAtMs = this.#tickets.get(ticket);
    this.#tickets.delete(ticket);
    if (issuedAtMs === undefined || Date.now() - issuedAtMs > ticketLifeMs) {
      socket.end('HTTP/1.1 401 Unauthorized\r\n\r\n');
      return;
    }
    this.#server.handleUpgrade(request, socket, head, (link) => {
      if (this.#links.length < mostConnections) this.#greet(link);
      else {
        send(link, { type: 'disconnect', reason: 'too_many_websockets' });
        link.close();
      }
    });
  }

  deliver(kind: DeliveryKind, payload: Json, retry?: Retry): Promise<Delivery> {
    const startedAtMs = performance.now();
    const took = () => Math.round(performance.now() - startedAtMs);
    const link = this.#links[this.#turn++ % Math.max(1, this.#links.length)];
    if (!link) return Promise.resolve({ acked: false, ackMs: 0, body: {}, error: 'no_connection' });
    const envelopeId = randomUUID();
    return new Promise<Delivery>((resolve) => {
      const settle = (delivery: Delivery) => {
        clearTimeout(timer);
        this.#waiting.delete(envelopeId);
        resolve(delivery);
      };
      const timer = setTimeout(
        () => settle({ acked: false, ackMs: took(), body: {}, error: 'operation_timeout' }),
        ackLimitMs,
      );
      this.#waiting.set(envelopeId, (body) => settle({ acked: true, ackMs: took(), body }));
      send(link, {
        envelope_id: envelopeId,
        payload,
        type: kind,
        accepts_response_payload: kind !== 'events_api',
        ...(kind === 'events_api'
          ? { retry_attempt: retry?.attempt ?? 0, retry_reason: retry?.reason ?? '' }
          : {}),
      });
    });
  }

  /** Sends `disconnect` on every connection; `refresh_requested` and `link_disabled` also close them. */
  disconnect(reason: DisconnectReason): void {
    for (const link of this.#links) {
      send(link, { type: 'disconnect', reason, debug_info: { host: 'practice' } });
      if (reason !== 'warning') link.close();
    }
  }

  /** Cuts every connection without a word. */
  drop(): void {
    for (const link of this.#links) link.terminate();
  }

  stop(): void {
    this.drop();
    this.#server.close();
  }

  #greet(link: WebSocket): void {
    this.#links.push(link);
    link.on('message', (data: Buffer) => {
      const frame = parseFrame(data.toString('utf8'));
      if (typeof frame?.envelope_id !== 'string') return;
      this.#waiting.get(frame.envelope_id)?.((frame.payload as Json | undefined) ?? {});
    });
    link.on('close', () => this.#links.splice(this.#links.indexOf(link), 1));
    link.on('error', () => link.terminate());
    send(link, {
      type: 'hello',
      num_connections: this.#links.length,
      debug_info: { host: 'practice', build_number: 1, approximate_connection_time: 18_060 },
      connection_info: { app_id: this.#world.app.id },
    });
  }
}

const send = (link: WebSocket, frame: Json) => link.send(JSON.stringify(frame));

function parseFrame(text: string): Json | null {
  try {
    return JSON.parse(text) as Json;
  } catch {
    return null;
  }
}
