import { WebAPIPlatformError, type WebClient } from '@slack/web-api';
import type { LastWord } from '../app/last-word.ts';
import { channelOf } from '../chat/ward-id.ts';
import { lastWordText } from '../wording/notices/last-word.ts';

/** The last word in Slack's own scheduler. It keeps no state: of the bot's scheduled messages in a channel one is left. */
export function slackLastWord(client: WebClient): LastWord {
  const clear = async (channel: string, except?: string) => {
    const { scheduled_messages: waiting = [] } = await client.chat.scheduledMessages.list({
      channel,
      limit: 100,
    });
    for (const { id } of waiting) {
      if (id === undefined || id === except) continue;
      try {
        await client.chat.deleteScheduledMessage({ channel, scheduled_message_id: id });
      } catch (error) {
        // Posted or taken back meanwhile.
        if (!(error instanceof WebAPIPlatformError)) throw error;
      }
    }
  };
  return {
    async leave(wardId, atMs, nowMs, zone) {
      const channel = channelOf(wardId);
      const left = await client.chat.scheduleMessage({
        channel,
        post_at: Math.ceil(atMs / 1000),
        text: lastWordText(nowMs, zone),
      });
      await clear(channel, left.scheduled_message_id);
    },
    takeBack: (wardId) => clear(channelOf(wardId)),
  };
}
