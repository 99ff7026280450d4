import type { IncomingMessage, ServerResponse } from 'node:http';
import { setTimeout as sleep } from 'node:timers/promises';
import type { Method, PlatformCore } from './core.ts';
import type { FaultBox } from './faults.ts';
import type { PendingUpload } from './file-methods.ts';
import type { Json } from './message.ts';
import { parseFields, readBody, uploadedBytes } from './request-body.ts';
import { applyResponse } from './responses.ts';
import { type ApiCall, bearer, sendJson, webApi } from './web-api.ts';

/** Everything the platform's HTTP side needs. */
export interface ServingParts {
  core: PlatformCore;
  methods: Record<string, Method>;
  faults: FaultBox;
  calls: ApiCall[];
  pending: Map<string, PendingUpload>;
  isDown: () => boolean;
  socketUrl: () => string;
  extraRoutes:
    | ((request: IncomingMessage, response: ServerResponse) => boolean | Promise<boolean>)
    | undefined;
}

const loopbackNames = new Set(['localhost', '127.0.0.1', '[::1]']);

/** True when the request was addressed to this machine by name; anything else may be a rebound foreign name. */
export function isAddressedToLoopback(host: string | undefined): boolean {
  return loopbackNames.has((host ?? '').replace(/:\d+$/, '').toLowerCase());
}

/** Serves the extra routes, `/api/METHOD`, `/response/ID`, `/upload/ID` and `/files/ID`. */
export function serveRequests(
  parts: ServingParts,
): (request: IncomingMessage, response: ServerResponse) => void {
  const { core } = parts;
  const api = webApi(parts);

  const respond = async (request: IncomingMessage, response: ServerResponse, id: string) => {
    const body = await readBody(request);
    const used = core.responseUrls.use(id);
    if (!used.ok) {
      sendJson(response, 404, { ok: false, error: used.error });
      return;
    }
    const result = applyResponse(core, used.target, await parseFields(request, body));
    sendJson(response, result.ok === true ? 200 : 400, result);
  };

  const receive = async (request: IncomingMessage, response: ServerResponse, id: string) => {
    const upload = parts.pending.get(id);
    const bytes = await uploadedBytes(request, await readBody(request));
    if (!upload || bytes.length !== upload.lengthBytes) {
      sendJson(response, 400, { ok: false, error: 'file_upload_size_restricted' });
      return;
    }
    upload.bytes = bytes;
    response.writeHead(200, { 'content-type': 'text/plain' }).end(`OK - ${bytes.length}`);
  };

  const give = async (request: IncomingMessage, response: ServerResponse, id: string) => {
    const fault = parts.faults.take('files.download');
    if (fault?.kind === 'late') await sleep(fault.ms ?? 1_000);
    else if (fault?.kind === 'dropAfterStore') {
      request.socket.destroy();
      return;
    } else if (fault) {
      sendJson(response, fault.kind === 'ratelimited' ? 429 : 503, { ok: false });
      return;
    }
    const file = core.workspace.files.get(id);
    // The real platform answers an HTML page with status 200 when the token does not open the file.
    if (!file || bearer(request) !== core.world.app.botToken) {
      response.writeHead(200, { 'content-type': 'text/html' }).end('<!doctype html><title>Sign in</title>');
      return;
    }
    const bytes = Buffer.from(file.bytesBase64, 'base64');
    response.writeHead(200, { 'content-type': file.mimetype, 'content-length': bytes.length }).end(bytes);
  };

  const route = async (request: IncomingMessage, response: ServerResponse): Promise<void> => {
    if (!isAddressedToLoopback(request.headers.host)) {
      sendJson(response, 421, { ok: false, error: 'not_addressed_to_this_machine' });
      return;
    }
    if (parts.extraRoutes && (await parts.extraRoutes(request, response))) return;
    const { pathname } = new URL(request.url ?? '/', 'http://localhost');
    const id = pathname.split('/')[2] ?? '';
    if (pathname.startsWith('/api/') && request.method === 'POST') return api(request, response);
    if (parts.isDown()) sendJson(response, 503, { ok: false, error: 'service_unavailable' });
    else if (pathname.startsWith('/response/') && request.method === 'POST')
      return respond(request, response, id);
    else if (pathname.startsWith('/upload/') && request.method === 'POST')
      return receive(request, response, id);
    else if (pathname.startsWith('/files/') && request.method === 'GET') return give(request, response, id);
    else sendJson(response, 404, { ok: false, error: 'not_found' } satisfies Json);
  };

  return (request, response) => {
    route(request, response).catch((cause: unknown) => {
      const detail = cause instanceof Error ? cause.message : String(cause);
      core.warnings.push(`${request.method} ${request.url}: ${detail}`);
      if (response.headersSent) response.destroy();
      else sendJson(response, 500, { ok: false, error: 'internal_error', detail });
    });
  };
}
