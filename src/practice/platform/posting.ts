import type { Composed } from './composing.ts';
import { botMessage } from './composing.ts';
import { type PlatformCore, refuse } from './core.ts';
import { notifiedBy } from './mentions.ts';
import type { Conversation, EphemeralMessage, Json, StoredMessage } from './message.ts';

/** Ephemeral messages kept for each reader. */
const mostEphemerals = 40;

/** Stores a message and notes whom it notifies. */
export function post(core: PlatformCore, conversation: Conversation, message: StoredMessage): void {
  core.notified.push(...notifiedBy(core.world, conversation, message));
  core.workspace.record({ kind: 'posted', channel: conversation.id, message });
}

/** Shows a message to one person only. Mentions in it notify nobody. */
export function showPrivately(
  core: PlatformCore,
  channel: string,
  reader: string,
  composed: Composed,
  more: { threadTs?: string; fromPlatform?: boolean } = {},
): EphemeralMessage {
  const message: EphemeralMessage = {
    ...botMessage(core, composed, more.threadTs === undefined ? {} : { thread_ts: more.threadTs }),
    channel,
    reader,
    fromPlatform: more.fromPlatform ?? false,
  };
  core.ephemerals.push(message);
  const mine = core.ephemerals.filter((candidate) => candidate.reader === reader);
  const oldest = mine.length > mostEphemerals ? mine[0] : undefined;
  if (oldest) core.ephemerals.splice(core.ephemerals.indexOf(oldest), 1);
  core.changed();
  return message;
}

/** The conversation a posting call names, by channel id or by user id; or the platform's refusal. */
export function postingPlace(core: PlatformCore, channel: unknown): Conversation | { refusal: Json } {
  if (typeof channel !== 'string') return { refusal: refuse('channel_not_found') };
  if (core.workspace.user(channel)) return core.workspace.directMessages(channel);
  const conversation = core.workspace.conversation(channel);
  if (!conversation) return { refusal: refuse('channel_not_found') };
  if (!conversation.memberIds.includes(core.world.app.botUserId))
    return { refusal: refuse(conversation.isPrivate ? 'channel_not_found' : 'not_in_channel') };
  if (conversation.isArchived) return { refusal: refuse('is_archived') };
  return conversation;
}

/** The changed form of a message after an update: new text without blocks removes the old blocks (chat.update). */
export function changedMessage(
  core: PlatformCore,
  message: StoredMessage,
  composed: Composed,
): StoredMessage {
  const { blocks: oldBlocks, ...rest } = message;
  const blocks = composed.blocks ?? (composed.text === undefined ? oldBlocks : undefined);
  return {
    ...rest,
    text: composed.text ?? message.text,
    ...(blocks && blocks.length > 0 ? { blocks } : {}),
    ...(composed.metadata ? { metadata: composed.metadata } : {}),
    edited: { user: core.world.app.botUserId, ts: `${Math.floor(core.clock.now() / 1000)}.000000` },
  };
}
