import type { WebClient } from '@slack/web-api';
import type { Readiness, ReadinessCheck } from '../observe/health-routes.ts';

/** What must hold for a process to do its part: the chat platform, and what is given besides. */
export function serviceChecks(
  client: WebClient,
  serves: 'one workspace' | 'many workspaces',
  more: Record<string, ReadinessCheck>,
): Record<string, ReadinessCheck> {
  // One hospital's revoked token must not take the bot away from the others.
  const ask = () => (serves === 'one workspace' ? client.auth.test() : client.api.test());
  return { ...more, chat: () => chatServes(ask) };
}

/** A token that the platform refuses is told apart from a platform that is away. */
async function chatServes(ask: () => Promise<unknown>): Promise<Readiness> {
  try {
    await ask();
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
