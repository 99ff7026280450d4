import { WebAPIPlatformError, type WebClient } from '@slack/web-api';
import type { ShutReason } from '../domain/ward/channel.ts';
import { onlyTried } from '../wording/edge/refused.ts';

/** Why nothing can be posted in a channel, by what the platform answers (chat.postMessage, chat.update, conversations.info). */
export const shutBy: Readonly<Record<string, ShutReason>> = {
  is_archived: 'archived',
  // An update in a frozen, archived or deleted channel.
  is_inactive: 'archived',
  not_in_channel: 'removed',
  channel_not_found: 'not found',
  restricted_action: 'not allowed',
  restricted_action_read_only_channel: 'not allowed',
};

/** How far ahead the message is that proves a channel can be posted in, s; it is taken back at once. */
const proofAheadS = 24 * 3_600;

/** Whether the ward's channel can be posted in. `known`: why it could not be, as far as that is known. */
export async function channelStanding(
  client: WebClient,
  channel: string,
  known: ShutReason | null,
  nowMs: number,
): Promise<'open' | 'unknown' | ShutReason> {
  try {
    const { channel: found } = await client.conversations.info({ channel });
    if (found?.is_archived) return 'archived';
    if (found?.is_member === false) return 'removed';
    if (known !== 'not allowed') return found ? 'open' : 'unknown';
    // What the workspace allows it does not tell: it is tried, with a message that nobody sees.
    const post_at = Math.ceil(nowMs / 1000) + proofAheadS;
    const tried = await client.chat.scheduleMessage({
      channel,
      post_at,
      text: onlyTried,
    });
    await client.chat.deleteScheduledMessage({
      channel,
      scheduled_message_id: tried.scheduled_message_id ?? '',
    });
    return 'open';
  } catch (error) {
    return error instanceof WebAPIPlatformError ? (shutBy[error.data.error ?? ''] ?? 'unknown') : 'unknown';
  }
}
