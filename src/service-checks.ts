import type { WebClient } from '@slack/web-api';
import type { Redis } from 'ioredis';
import type { Readiness, ReadinessCheck } from './observe/health-routes.ts';
import type { BoltEdge } from './slack/bolt-app.ts';

/** The platform's own reconnections take seconds; one that takes longer is an outage. */
const reconnectPatienceMs = 30_000;

/** What must hold for a process to do its part: Redis, the chat platform, and the connection it sends commands on. */
export function serviceChecks(
  redis: Redis,
  client: WebClient,
  edge: BoltEdge | null,
): Record<string, ReadinessCheck> {
  return {
    redis: () =>
      answers(
        () => redis.ping(),
        () => 'Redis does not answer',
      ),
    chat: () => answers(() => client.auth.test(), chatAway),
    ...(edge ? { socket: reachable(edge) } : {}),
  };
}

async function answers(ask: () => Promise<unknown>, why: (cause: unknown) => string): Promise<Readiness> {
  try {
    await ask();
    return { ok: true };
  } catch (cause) {
    return { ok: false, why: why(cause) };
  }
}

/** Why the chat platform does not serve us: a token it refuses says so. */
function chatAway(cause: unknown): string {
  const code = (cause as { data?: { error?: string } }).data?.error;
  return code === undefined || code === 'service_unavailable'
    ? 'the chat platform does not answer'
    : `the chat platform refuses the token (${code})`;
}

function reachable(edge: BoltEdge): ReadinessCheck {
  return async () => {
    const since = edge.unreachableSince();
    if (since === null || Date.now() - since < reconnectPatienceMs) return { ok: true };
    return { ok: false, why: 'the connection on which the chat platform sends commands is lost' };
  };
}
