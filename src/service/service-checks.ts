import type { WebClient } from '@slack/web-api';
import type { Readiness, ReadinessCheck } from '../observe/health-routes.ts';

/** What must hold for a process to do its part: the chat platform, and what is given besides. */
export function serviceChecks(
  client: WebClient,
  more: Record<string, ReadinessCheck>,
): Record<string, ReadinessCheck> {
  return { ...more, chat: () => chatServes(client) };
}

/** A token that the platform refuses is told apart from a platform that is away. */
async function chatServes(client: WebClient): Promise<Readiness> {
  try {
    await client.auth.test();
    return { ok: true };
  } catch (cause) {
    const code = (cause as { data?: { error?: string } }).data?.error;
    const isAway = code === undefined || code === 'service_unavailable';
    const why = isAway
      ? 'the chat platform does not answer'
      : `the chat platform refuses the token (${code})`;
    return { ok: false, why };
  }
}
