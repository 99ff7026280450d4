import type { WebClient } from '@slack/web-api';
import { asTyped } from '../chat/as-typed.ts';
import type { PostAbout, Posts } from '../chat/bot.ts';
import type { Message } from '../chat/parts.ts';
import { directChannel } from './direct-channel.ts';
import { postMetadata } from './post-metadata.ts';
import { drawnMessage } from './render/message.ts';
import { mrkdwn } from './render/mrkdwn.ts';
import { shareFile } from './share-file.ts';

/** What listeners send themselves, in this workspace. */
export function slackPosts(client: WebClient, command: string): Posts {
  const drawn = (message: Pick<Message, 'lead' | 'parts'>) => asTyped(drawnMessage(message), command);
  const metadata = ({ wardId, key, lines }: PostAbout) =>
    postMetadata(wardId, { key, kind: 'report', lines: [...lines] });
  return {
    async send(to, message, about) {
      const sent = await client.chat.postMessage({
        channel: 'user' in to ? to.user : to.channel,
        ...('thread' in to && to.thread !== undefined ? { thread_ts: to.thread } : {}),
        ...drawn(message),
        metadata: metadata(about),
        unfurl_links: false,
        unfurl_media: false,
      });
      return sent.channel && sent.ts ? { channel: sent.channel, id: sent.ts } : null;
    },
    async edit({ channel, id }, message, about) {
      await client.chat.update({ channel, ts: id, ...drawn(message), metadata: metadata(about) });
    },
    async linkTo({ channel, id }) {
      const { permalink } = await client.chat
        .getPermalink({ channel, message_ts: id })
        .catch(() => ({ permalink: undefined }));
      return permalink ?? null;
    },
    async sendFile(user, file, { title, comment }) {
      const channel = await directChannel(client, user);
      await shareFile(client, file, { channel, title, comment: mrkdwn(comment) });
    },
  };
}
