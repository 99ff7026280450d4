import { randomUUID } from 'node:crypto';
import type { IncomingMessage } from 'node:http';
import type { Duplex } from 'node:stream';
import { type WebSocket, WebSocketServer } from 'ws';
import { ackLimitMs, type Carrier, type Delivery } from './delivery.ts';
import type { Json } from './message.ts';
import type { PracticeWorld } from './world.ts';

/** Connections one app may hold (Socket Mode). */
const mostConnections = 10;
/** A socket address works once, for this long after apps.connections.open. */
const ticketLifeMs = 60_000;

/** Why the platform asks the app to reconnect. */
export type DisconnectReason = 'warning' | 'refresh_requested' | 'link_disabled';

/** The Socket Mode side of the platform. */
export interface SocketHub extends Carrier {
  /** A fresh `ws://` address for one connection. */
  url(): string;
  connections(): number;
  upgrade(request: IncomingMessage, socket: Duplex, head: Buffer): void;
  /** Sends `disconnect` on every connection; `refresh_requested` and `link_disabled` also close them. */
  disconnect(reason: DisconnectReason): void;
  /** Cuts every connection without a word. */
  drop(): void;
  stop(): void;
}

/** Serves Socket Mode connections under `/link/`; payloads go to the connections in turn. */
export function socketHub(world: PracticeWorld, host: () => string): SocketHub {
  const server = new WebSocketServer({ noServer: true });
  const tickets = new Map<string, number>();
  const waiting = new Map<string, (body: Json) => void>();
  const links: WebSocket[] = [];
  let turn = 0;

  const greet = (link: WebSocket) => {
    links.push(link);
    link.on('message', (data: Buffer) => {
      const frame = parseFrame(data.toString('utf8'));
      if (typeof frame?.envelope_id !== 'string') return;
      waiting.get(frame.envelope_id)?.((frame.payload as Json | undefined) ?? {});
    });
    link.on('close', () => links.splice(links.indexOf(link), 1));
    link.on('error', () => link.terminate());
    link.send(
      JSON.stringify({
        type: 'hello',
        num_connections: links.length,
        debug_info: { host: 'practice', build_number: 1, approximate_connection_time: 18_060 },
        connection_info: { app_id: world.app.id },
      }),
    );
  };

  return {
    url() {
      const ticket = randomUUID();
      tickets.set(ticket, Date.now());
      return `ws://${host()}/link/?ticket=${ticket}&app_id=${world.app.id}`;
    },
    connections: () => links.length,
    upgrade(request, socket, head) {
      const ticket = new URL(request.url ?? '/', 'http://localhost').searchParams.get('ticket') ?? '';
      const issuedAtMs = tickets.get(ticket);
      tickets.delete(ticket);
      if (issuedAtMs === undefined || Date.now() - issuedAtMs > ticketLifeMs) {
        socket.end('HTTP/1.1 401 Unauthorized\r\n\r\n');
        return;
      }
      server.handleUpgrade(request, socket, head, (link) => {
        if (links.length < mostConnections) greet(link);
        else {
          link.send(JSON.stringify({ type: 'disconnect', reason: 'too_many_websockets' }));
          link.close();
        }
      });
    },
    deliver(kind, payload, retry) {
      const startedAtMs = performance.now();
      const took = () => Math.round(performance.now() - startedAtMs);
      const link = links[turn++ % Math.max(1, links.length)];
      if (!link) return Promise.resolve({ acked: false, ackMs: 0, body: {}, error: 'no_connection' });
      const envelopeId = randomUUID();
      return new Promise<Delivery>((resolve) => {
        const settle = (delivery: Delivery) => {
          clearTimeout(timer);
          waiting.delete(envelopeId);
          resolve(delivery);
        };
        const timer = setTimeout(
          () => settle({ acked: false, ackMs: took(), body: {}, error: 'operation_timeout' }),
          ackLimitMs,
        );
        waiting.set(envelopeId, (body) => settle({ acked: true, ackMs: took(), body }));
        link.send(
          JSON.stringify({
            envelope_id: envelopeId,
            payload,
            type: kind,
            accepts_response_payload: kind !== 'events_api',
            ...(kind === 'events_api'
              ? { retry_attempt: retry?.attempt ?? 0, retry_reason: retry?.reason ?? '' }
              : {}),
          }),
        );
      });
    },
    disconnect(reason) {
      for (const link of links) {
        link.send(JSON.stringify({ type: 'disconnect', reason, debug_info: { host: 'practice' } }));
        if (reason !== 'warning') link.close();
      }
    },
    drop() {
      for (const link of links) link.terminate();
    },
    stop() {
      for (const link of links) link.terminate();
      server.close();
    },
  };
}

function parseFrame(text: string): Json | null {
  try {
    return JSON.parse(text) as Json;
  } catch {
    return null;
  }
}
