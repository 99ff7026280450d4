import type { WebClient } from '@slack/web-api';
import type { Redis } from 'ioredis';
import type { Readiness, ReadinessCheck } from './observe/health-routes.ts';

/** What must hold for a process to do its part: Redis, the chat platform, and what is given besides. */
export function serviceChecks(
  redis: Redis,
  client: WebClient,
  more: Record<string, ReadinessCheck>,
): Record<string, ReadinessCheck> {
  return {
    redis: () =>
      answers(
        () => redis.ping(),
        () => 'Redis does not answer',
      ),
    chat: () => answers(() => client.auth.test(), chatAway),
    ...more,
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
