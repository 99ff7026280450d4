import { createHmac } from 'node:crypto';
import { ackLimitMs, type Carrier, type Delivery, type DeliveryKind } from './delivery.ts';
import type { Json } from './message.ts';

/** `v0=` and the HMAC-SHA256 of a request, as verifying-requests-from-slack describes it. */
export function requestSignature(signingSecret: string, timestamp: string, body: string): string {
  return `v0=${createHmac('sha256', signingSecret).update(`v0:${timestamp}:${body}`).digest('hex')}`;
}

function encoded(kind: DeliveryKind, payload: Json): { body: string; contentType: string } {
  if (kind === 'events_api') return { body: JSON.stringify(payload), contentType: 'application/json' };
  const fields =
    kind === 'slash_commands' ? (payload as Record<string, string>) : { payload: JSON.stringify(payload) };
  return {
    body: new URLSearchParams(fields).toString(),
    contentType: 'application/x-www-form-urlencoded',
  };
}

function ackBody(text: string, contentType: string): Json {
  if (text === '') return {};
  if (contentType.startsWith('application/json')) return JSON.parse(text) as Json;
  return { text };
}

/** Carries payloads to an app's request address, signed. The signature's time is the real one. */
export function httpCarrier(target: { url: string; signingSecret: string }): Carrier {
  return {
    async deliver(kind, payload, retry): Promise<Delivery> {
      const { body, contentType } = encoded(kind, payload);
      const timestamp = String(Math.floor(Date.now() / 1000));
      const startedAtMs = performance.now();
      const took = () => Math.round(performance.now() - startedAtMs);
      try {
        const response = await fetch(target.url, {
          method: 'POST',
          body,
          headers: {
            'content-type': contentType,
            'x-slack-request-timestamp': timestamp,
            'x-slack-signature': requestSignature(target.signingSecret, timestamp, body),
            ...(retry
              ? { 'x-slack-retry-num': String(retry.attempt), 'x-slack-retry-reason': retry.reason }
              : {}),
          },
          signal: AbortSignal.timeout(ackLimitMs),
        });
        const text = await response.text();
        const ackMs = took();
        if (!response.ok) return { acked: false, ackMs, body: {}, error: `http_${response.status}` };
        return { acked: true, ackMs, body: ackBody(text, response.headers.get('content-type') ?? '') };
      } catch (cause) {
        const slow = cause instanceof Error && cause.name === 'TimeoutError';
        return {
          acked: false,
          ackMs: took(),
          body: {},
          error: slow ? 'operation_timeout' : 'connection_failed',
        };
      }
    },
  };
}
