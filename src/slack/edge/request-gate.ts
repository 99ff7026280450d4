import type { IncomingMessage, RequestListener, ServerResponse } from 'node:http';
import { parse } from 'node:querystring';
import { verifySlackRequest } from '@slack/bolt';
import { kindOfPayload } from './readable.ts';
import type { Taken } from './taken.ts';

/** A request's time may differ from ours by so much either way, s (docs.slack.dev, verifying requests: five minutes). */
const mostSkewS = 5 * 60;
/** Largest body, bytes; the platform's own payloads are far smaller. */
const mostBytes = 4 * 1024 * 1024;
/** As long as a sender may take for it, ms. */
const bodyPatienceMs = 10_000;

const form = 'application/x-www-form-urlencoded';

/**
 * Stands before the framework's own handling of requests at `path`: refuses what is not signed, what is signed for a time
 * that is not now, earlier or later, and answers at once what cannot be read, which the framework would leave open for 3 s or
 * for good. `nowMs` is the machine's time.
 */
export function requestGate(
  next: RequestListener,
  {
    path,
    signingSecret,
    trouble,
    nowMs = Date.now,
  }: { path: string; signingSecret: string; trouble: Taken['trouble']; nowMs?: () => number },
): RequestListener {
  const judge = async (request: IncomingMessage, response: ServerResponse) => {
    // One that breaks off has nobody left to answer.
    const verdict: Verdict = await admitted(request, { signingSecret, nowMs }).catch(() => ({
      is: 'refused',
      status: 400,
    }));
    if (verdict.is === 'readable') return next(request, response);
    if (verdict.is === 'refused') return end(response, verdict.status);
    trouble(
      verdict.is === 'unreadable'
        ? 'a signed request could not be read'
        : 'the chat platform leaves events out: there were too many',
      { reason: verdict.is === 'unreadable' ? verdict.why : 'app_rate_limited' },
    );
    return end(response, verdict.is === 'unreadable' ? 400 : 200);
  };
  return (request, response) => {
    if (pathOf(request) !== path || request.method !== 'POST') return next(request, response);
    void judge(request, response);
  };
}

/** The path as the framework reads it, or what it answers would pass by here; null where it is none. */
function pathOf({ url = '' }: IncomingMessage): string | null {
  return URL.parse(url, 'http://localhost')?.pathname ?? null;
}

type Verdict =
  | { is: 'readable' | 'too many events' }
  | { is: 'unreadable'; why: string }
  | { is: 'refused'; status: 400 | 401 | 408 | 413 };

async function admitted(
  request: IncomingMessage,
  { signingSecret, nowMs }: { signingSecret: string; nowMs: () => number },
): Promise<Verdict> {
  const raw = await bodyOf(request);
  if (typeof raw === 'number') return { is: 'refused', status: raw };
  // The framework takes a body that was read already from here.
  Object.assign(request, { rawBody: raw });
  const type = (request.headers['content-type'] ?? '').split(';', 1)[0]?.trim().toLowerCase();
  // It knows the bare name only.
  if (type === form) request.headers['content-type'] = form;
  const body = raw.toString();
  const fields = type === form ? parse(body) : {};
  // Not signed, and answered without being looked at.
  if (fields.ssl_check === '1') return { is: 'readable' };
  if (!isSigned(request, body, { signingSecret, nowMs })) return { is: 'refused', status: 401 };
  const payload = payloadOf(type === form ? fields : null, body);
  if (payload === undefined) return { is: 'unreadable', why: 'no_json' };
  if ((payload as { type?: unknown } | null)?.type === 'url_verification') return { is: 'readable' };
  const is = kindOfPayload(payload);
  return is === 'unreadable' ? { is, why: 'unknown_shape' } : { is };
}

function isSigned(
  { headers }: IncomingMessage,
  body: string,
  { signingSecret, nowMs }: { signingSecret: string; nowMs: () => number },
): boolean {
  const timestamp = headers['x-slack-request-timestamp'];
  const signature = headers['x-slack-signature'];
  if (typeof timestamp !== 'string' || typeof signature !== 'string' || !/^\d+$/.test(timestamp))
    return false;
  const seconds = Number(timestamp);
  if (Math.abs(nowMs() / 1_000 - seconds) > mostSkewS) return false;
  try {
    verifySlackRequest({
      signingSecret,
      body,
      headers: { 'x-slack-signature': signature, 'x-slack-request-timestamp': seconds },
      nowMilliseconds: nowMs(),
    });
    return true;
  } catch {
    return false;
  }
}

/** What was sent, as the framework will read it; undefined where it is no JSON. */
function payloadOf(fields: NodeJS.Dict<string | string[]> | null, body: string): unknown {
  if (fields && typeof fields.payload !== 'string') return fields;
  try {
    return JSON.parse(fields ? String(fields.payload) : body) as unknown;
  } catch {
    return undefined;
  }
}

/** The whole body; 413 where it is too large, 408 where it does not come. */
async function bodyOf(request: IncomingMessage): Promise<Buffer | 413 | 408> {
  const parts: Buffer[] = [];
  let bytes = 0;
  let isLate = false;
  const timer = setTimeout(() => {
    isLate = true;
    request.destroy();
  }, bodyPatienceMs);
  try {
    for await (const part of request.iterator({ destroyOnReturn: false }) as AsyncIterable<Buffer>) {
      bytes += part.length;
      if (bytes > mostBytes) return 413;
      parts.push(part);
    }
    return Buffer.concat(parts);
  } catch (cause) {
    if (isLate) return 408;
    throw cause;
  } finally {
    clearTimeout(timer);
  }
}

function end(response: ServerResponse, status: number): void {
  if (response.headersSent || response.destroyed) return;
  response.writeHead(status, { connection: 'close' });
  response.end();
}
