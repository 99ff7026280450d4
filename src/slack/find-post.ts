import type { ConversationsHistoryResponse, ConversationsRepliesResponse, WebClient } from '@slack/web-api';
import { handoverFileOf } from '../app/handover-posts.ts';
import type { Messenger, Post, WardView } from '../app/ports.ts';
import { handoverFileName } from '../chat/messages/handover-files.ts';
import { channelOf } from '../chat/ward-id.ts';
import { directChannel } from './direct-channel.ts';
import { postEventType } from './post-metadata.ts';

type Found = Awaited<ReturnType<Messenger['find']>>;

/** Where a post stands that may have been sent since `oldestMs`, by the platform's clock; null where it doesn't. */
export async function findPost(
  client: WebClient,
  wardId: string,
  post: Post,
  oldestMs: number,
  view: WardView | undefined,
): Promise<Found> {
  const what = handoverFileOf(post);
  const fileName = what && view?.handedOver ? handoverFileName(what, view.handedOver) : null;
  const channel = post.to === 'ward' ? channelOf(wardId) : await directChannel(client, post.to.user);
  const standing: string[] = [];
  for await (const message of messagesSince(client, channel, post.about?.thread, oldestMs)) {
    // A file carries no metadata: it is known by its name, in the thread of its handover.
    if (fileName !== null && message.ts && message.files?.some(({ name }) => name === fileName))
      return { place: channel, id: message.ts };
    if (message.ts && isOf(message.metadata, wardId, post)) standing.push(message.ts);
  }
  // A channel's history comes newest first, a thread's oldest first.
  const [id, ...others] = standing.toSorted().toReversed();
  return id === undefined ? null : { place: channel, id, ...(others.length > 0 ? { others } : {}) };
}

/** Whether this is a post's message. Two wards may have written to one person at the same instant, so a key alone won't do. */
function isOf(
  metadata: { event_type?: string; event_payload?: object } | undefined,
  wardId: string,
  { key }: Post,
): boolean {
  const payload = metadata?.event_payload as { key?: unknown; ward?: unknown } | undefined;
  return metadata?.event_type === postEventType && payload?.key === key && payload.ward === wardId;
}

/** What was said in a channel, or in a thread of it: a channel's history has no replies. */
async function* messagesSince(
  client: WebClient,
  channel: string,
  thread: string | undefined,
  oldestMs: number,
) {
  let cursor: string | undefined;
  do {
    const asked = {
      channel,
      oldest: (oldestMs / 1000).toFixed(6),
      include_all_metadata: true,
      limit: 200,
      ...(cursor ? { cursor } : {}),
    };
    const page: ConversationsHistoryResponse | ConversationsRepliesResponse =
      thread === undefined
        ? await client.conversations.history(asked)
        : await client.conversations.replies({ ...asked, ts: thread });
    yield* page.messages ?? [];
    cursor = page.response_metadata?.next_cursor || undefined;
  } while (cursor);
}
