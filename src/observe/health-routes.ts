import type { IncomingMessage, ServerResponse } from 'node:http';
import type { Registry } from 'prom-client';

/** Whether one thing the bot needs works. `why` is a fixed sentence for the operator, without names or secrets. */
export type Readiness = { ok: true } | { ok: false; why: string };

/** Looks at one thing the bot needs: Redis, the chat platform, the last canary wake-up. */
export type ReadinessCheck = () => Readiness | Promise<Readiness>;

/** What the three routes show. */
export interface HealthOptions {
  /** By name, as shown in the answer of /readyz. */
  checks: Readonly<Record<string, ReadinessCheck>>;
  registry: Registry;
  /** Longest time a check may take before it counts as failed, in ms. */
  checkPatienceMs?: number;
}

/** Answers /healthz, /readyz and /metrics; says whether the request was one of them. */
export type HealthHandler = (request: IncomingMessage, response: ServerResponse) => boolean;

const defaultCheckPatienceMs = 2_000;

/** Paths the handler answers. */
const healthPaths = ['/healthz', '/readyz', '/metrics'] as const;

function pathOf(request: IncomingMessage): string {
  return (request.url ?? '').split('?', 1)[0] ?? '';
}

async function verdict(check: ReadinessCheck, patienceMs: number): Promise<Readiness> {
  let timer: NodeJS.Timeout | undefined;
  const tooSlow = new Promise<Readiness>((resolve) => {
    timer = setTimeout(() => resolve({ ok: false, why: `no answer within ${patienceMs} ms` }), patienceMs);
  });
  try {
    return await Promise.race([(async () => check())(), tooSlow]);
  } catch {
    return { ok: false, why: 'the check itself failed' };
  } finally {
    clearTimeout(timer);
  }
}

/** Every check at once, by name. */
export async function readiness(
  checks: Readonly<Record<string, ReadinessCheck>>,
  patienceMs: number,
): Promise<{ ready: boolean; checks: Record<string, string> }> {
  const names = Object.keys(checks);
  const verdicts = await Promise.all(Object.values(checks).map((check) => verdict(check, patienceMs)));
  return {
    ready: verdicts.every((each) => each.ok),
    checks: Object.fromEntries(
      verdicts.map((each, index) => [names[index] ?? '', each.ok ? 'ok' : each.why]),
    ),
  };
}

/** Which checks pass, by name. */
export async function passing(
  checks: Readonly<Record<string, ReadinessCheck>>,
  patienceMs = defaultCheckPatienceMs,
): Promise<Record<string, boolean>> {
  const { checks: verdicts } = await readiness(checks, patienceMs);
  return Object.fromEntries(Object.entries(verdicts).map(([name, verdict]) => [name, verdict === 'ok']));
}

function answer(
  request: IncomingMessage,
  response: ServerResponse,
  status: number,
  type: string,
  body: string,
) {
  response.writeHead(status, {
    'content-type': type,
    'content-length': Buffer.byteLength(body),
    'cache-control': 'no-store',
  });
  response.end(request.method === 'HEAD' ? undefined : body);
}

const json = 'application/json; charset=utf-8';

/**
 * The operator's routes, to be mounted in any server:
 * /healthz says that the process turns (always 200), /readyz whether it can do its work (200 or 503), /metrics is
 * Prometheus text.
 */
export function healthRoutes({
  checks,
  registry,
  checkPatienceMs = defaultCheckPatienceMs,
}: HealthOptions): HealthHandler {
  const respond = async (request: IncomingMessage, response: ServerResponse): Promise<void> => {
    switch (pathOf(request)) {
      case '/healthz':
        answer(request, response, 200, json, '{"status":"ok"}\n');
        return;
      case '/readyz': {
        const state = await readiness(checks, checkPatienceMs);
        answer(request, response, state.ready ? 200 : 503, json, `${JSON.stringify(state)}\n`);
        return;
      }
      default:
        answer(request, response, 200, registry.contentType, await registry.metrics());
    }
  };
  return (request, response) => {
    if (!healthPaths.some((known) => known === pathOf(request))) return false;
    if (request.method !== 'GET' && request.method !== 'HEAD') {
      response.setHeader('allow', 'GET, HEAD');
      answer(request, response, 405, json, '{"error":"only GET and HEAD are answered here"}\n');
      return true;
    }
    respond(request, response).catch(() => {
      if (response.headersSent) response.destroy();
      else answer(request, response, 500, json, '{"error":"this page could not be made; see the log"}\n');
    });
    return true;
  };
}
