import type { IncomingMessage, ServerResponse } from 'node:http';
import { setTimeout as sleep } from 'node:timers/promises';
import { type Method, type PlatformCore, refuse } from './core.ts';
import type { Fault, FaultBox } from './faults.ts';
import type { Json } from './message.ts';
import { parseFields, readBody } from './request-body.ts';

/** One call the app made, for tests that ask what was sent. */
export interface ApiCall {
  method: string;
  args: Json;
  ok: boolean;
  error?: string;
}

const mostCallsKept = 5_000;

/** Answers with a JSON body. */
export function sendJson(response: ServerResponse, status: number, body: unknown, headers: Json = {}): void {
  response.writeHead(status, {
    'content-type': 'application/json; charset=utf-8',
    ...(headers as Record<string, string>),
  });
  response.end(JSON.stringify(body));
}

/** The bearer token of a request, or undefined. */
export function bearer(request: IncomingMessage): string | undefined {
  return /^Bearer (.+)$/.exec(request.headers.authorization ?? '')?.[1];
}

/** What serving the Web API needs. */
export interface WebApiParts {
  core: PlatformCore;
  methods: Record<string, Method>;
  faults: FaultBox;
  calls: ApiCall[];
  /** True while the whole platform plays dead. */
  isDown: () => boolean;
  /** Says where to connect for Socket Mode. */
  socketUrl: () => string;
}

/** Serves `/api/METHOD`: token, faults, the method, the record of the call. */
export function webApi(
  parts: WebApiParts,
): (request: IncomingMessage, response: ServerResponse) => Promise<void> {
  const { core, methods, faults, calls } = parts;

  const answer = async (method: string, token: string | undefined, args: Json): Promise<Json> => {
    const { botToken, appToken } = core.world.app;
    if (method !== 'api.test' && token === undefined) return refuse('not_authed');
    if (method === 'apps.connections.open') {
      if (token === botToken) return refuse('not_allowed_token_type');
      return token === appToken ? { ok: true, url: parts.socketUrl() } : refuse('invalid_auth');
    }
    if (token === appToken) return refuse('not_allowed_token_type');
    if (token !== botToken) return refuse('invalid_auth');
    if (core.token.isRevoked) return refuse('token_revoked');
    const run = methods[method];
    if (!run) return refuse('unknown_method', { req_method: method });
    return run(core, args);
  };

  return async (request, response) => {
    const method = new URL(request.url ?? '/', 'http://localhost').pathname.slice('/api/'.length);
    const body = await readBody(request);
    if (parts.isDown()) {
      sendJson(response, 503, refuse('service_unavailable'));
      return;
    }
    let args: Json;
    try {
      args = await parseFields(request, body);
    } catch {
      sendJson(response, 200, refuse('invalid_json'));
      return;
    }
    const fault = faults.take(method);
    if (fault && struckFirst(fault, response)) {
      calls.push({ method, args, ok: false, error: fault.error ?? fault.kind });
      return;
    }
    const result = await answer(method, bearer(request), args);
    calls.push({
      method,
      args,
      ok: result.ok === true,
      ...(typeof result.error === 'string' ? { error: result.error } : {}),
    });
    if (calls.length > mostCallsKept) calls.splice(0, calls.length - mostCallsKept);
    if (fault?.kind === 'dropAfterStore') {
      request.socket.destroy();
      return;
    }
    if (fault?.kind === 'late') await sleep(fault.ms ?? 1_000);
    const { retryAfterMs, ...rest } = result;
    if (result.error === 'ratelimited') sendRateLimited(response, Number(retryAfterMs ?? 1_000));
    else sendJson(response, 200, rest);
  };
}

function struckFirst(fault: Fault, response: ServerResponse): boolean {
  if (fault.kind === 'http503') sendJson(response, 503, refuse('service_unavailable'));
  else if (fault.kind === 'ratelimited') sendRateLimited(response, fault.ms ?? 1_000);
  else if (fault.kind === 'platformError') sendJson(response, 200, refuse(fault.error ?? 'internal_error'));
  else return false;
  return true;
}

function sendRateLimited(response: ServerResponse, waitMs: number): void {
  sendJson(response, 429, refuse('ratelimited'), { 'retry-after': String(Math.ceil(waitMs / 1000)) });
}
