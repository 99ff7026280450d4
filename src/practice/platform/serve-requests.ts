import type { IncomingMessage, ServerResponse } from 'node:http';
import { setTimeout as sleep } from 'node:timers/promises';
import type { PlatformCore } from './core.ts';
import type { FaultBox } from './faults.ts';
import type { Route } from './platform.ts';
import { parseFields, readBody, uploadedBytes } from './request-body.ts';
import { applyResponse } from './responses.ts';
import { bearer, sendJson, type WebApiParts, webApi } from './web-api.ts';

/** Everything the platform's HTTP side needs. */
export interface ServingParts extends WebApiParts {
  /** Tried before the platform's own routes. */
  extraRoutes: Route;
}

const loopbackNames = new Set(['localhost', '127.0.0.1', '[::1]']);

/** True when the request was addressed to this machine by name; anything else may be a rebound foreign name. */
export function isAddressedToLoopback(host: string | undefined): boolean {
  return loopbackNames.has((host ?? '').replace(/:\d+$/, '').toLowerCase());
}

/** What is done with an id of the address. */
type Serve = (
  parts: { core: PlatformCore; faults: FaultBox },
  id: string,
  request: IncomingMessage,
  response: ServerResponse,
) => Promise<void>;

const takeResponse: Serve = async ({ core }, id, request, response) => {
  const body = await readBody(request);
  const used = core.responseUrls.use(id);
  if (!used.ok) {
    sendJson(response, 404, { ok: false, error: used.error });
    return;
  }
  const result = applyResponse(core, used.target, await parseFields(request, body));
  sendJson(response, result.ok === true ? 200 : 400, result);
};

const takeUpload: Serve = async ({ core }, id, request, response) => {
  const upload = core.uploads.get(id);
  const bytes = await uploadedBytes(request, await readBody(request));
  if (!upload || bytes.length !== upload.lengthBytes) {
    sendJson(response, 400, { ok: false, error: 'file_upload_size_restricted' });
    return;
  }
  upload.bytes = bytes;
  response.writeHead(200, { 'content-type': 'text/plain' }).end(`OK - ${bytes.length}`);
};

const giveFile: Serve = async ({ core, faults }, id, request, response) => {
  const fault = faults.take('files.download');
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

const routes: Readonly<Record<string, Serve>> = {
  'POST response': takeResponse,
  'POST upload': takeUpload,
  'GET files': giveFile,
};

/** Serves the extra routes, `/api/METHOD`, `/response/ID`, `/upload/ID` and `/files/ID`. */
export function serveRequests(
  parts: ServingParts,
): (request: IncomingMessage, response: ServerResponse) => void {
  const { core } = parts;
  const api = webApi(parts);

  const route = async (request: IncomingMessage, response: ServerResponse): Promise<void> => {
    if (!isAddressedToLoopback(request.headers.host)) {
      sendJson(response, 421, { ok: false, error: 'not_addressed_to_this_machine' });
      return;
    }
    if (await parts.extraRoutes(request, response)) return;
    const { pathname } = new URL(request.url ?? '/', 'http://localhost');
    if (pathname.startsWith('/api/') && request.method === 'POST') return api(request, response);
    const [, what, id] = pathname.split('/');
    const serve = id === undefined ? undefined : routes[`${request.method} ${what}`];
    if (parts.isDown()) sendJson(response, 503, { ok: false, error: 'service_unavailable' });
    else if (serve) return serve(parts, id ?? '', request, response);
    else sendJson(response, 404, { ok: false, error: 'not_found' });
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
