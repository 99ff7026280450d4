import { WebAPIPlatformError, WebAPIRateLimitedError } from '@slack/web-api';
import type { Delivery, Post } from '../app/ports.ts';
import { shutBy } from './channel-standing.ts';

/** What the platform answers when trying again cannot help. */
const forGood = new Set([
  'msg_too_long',
  'msg_blocks_too_long',
  'invalid_blocks',
  'message_not_found',
  'cant_update_message',
  'channel_not_found',
  'restricted_action',
  'user_not_found',
  'cannot_dm_bot',
  'user_disabled',
]);
/** What is wrong with this message, not with whom it goes to. */
const ofTheMessage = new Set([
  'msg_too_long',
  'msg_blocks_too_long',
  'invalid_blocks',
  'invalid_blocks_format',
  'no_text',
  'invalid_metadata_format',
  'invalid_metadata_schema',
  'metadata_too_large',
  'thread_not_found',
]);
/** What passes, or concerns the bot as a whole and not whom it writes to: whoever is written to may hear of it later. */
const forNow = new Set([
  'rate_limited',
  'team_added_to_org',
  'org_login_required',
  'accesslimited',
  'access_denied',
  'not_authed',
  'invalid_auth',
  'token_expired',
  'token_revoked',
  'account_inactive',
  'missing_scope',
  'team_access_not_granted',
  'two_factor_setup_required',
]);
/** Answers that may hide a message that was posted all the same. */
const unclear = new Set(['internal_error', 'fatal_error', 'service_unavailable', 'request_timeout']);

/** A refusal of a message to the ward: what passes is tried again, a channel that is shut is waited for. */
export function refusedByWard(why: string): Delivery {
  const shut = shutBy[why];
  return shut ? { is: 'shut', why: shut } : { is: 'refused', why, forGood: forGood.has(why) };
}

/**
 * A refusal of a new message to one person. The ward must hear of somebody who cannot be reached, whatever the reason: only
 * what is known to pass is waited for.
 */
export function refusedByPerson(why: string): Delivery {
  if (forNow.has(why)) return { is: 'refused', why, forGood: false };
  return { is: 'refused', why, forGood: true, nobodyReads: !ofTheMessage.has(why) };
}

export function refusedUpdate(to: Post['to']): (why: string) => Delivery {
  return to === 'ward' ? refusedByWard : (why) => ({ is: 'refused', why, forGood: forGood.has(why) });
}

/** What became of a call, as the outbox sees it. */
export async function attempt(
  refused: (why: string) => Delivery,
  send: () => Promise<Delivery>,
): Promise<Delivery> {
  try {
    return await send();
  } catch (error) {
    if (error instanceof WebAPIRateLimitedError) return { is: 'wait', ms: error.retryAfter * 1000 };
    if (error instanceof WebAPIPlatformError) {
      const why = error.data.error ?? 'unknown';
      if (why === 'ratelimited') return { is: 'wait', ms: 1_000 };
      if (unclear.has(why)) return { is: 'unclear', why };
      return refused(why);
    }
    return { is: 'unclear', why: error instanceof Error ? error.name : 'unknown' };
  }
}
