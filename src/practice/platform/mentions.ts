import type { Conversation, Json, StoredMessage } from './message.ts';
import type { PracticeWorld } from './world.ts';

/** Who a message rang for, and why. */
export interface Notified {
  channel: string;
  ts: string;
  /** Ids of the people notified, without the bot. */
  userIds: string[];
  why: 'direct message' | 'mention' | 'broadcast';
  /** The line a locked phone shows: the top-level text, or what files without one are called, cut at 140 characters. */
  line: string;
}

/** The most characters of the top-level text a locked phone shows. From memory; phones differ. */
export const lockScreenCharacters = 140;

function mrkdwnTexts(node: unknown): string[] {
  if (Array.isArray(node)) return node.flatMap(mrkdwnTexts);
  if (node === null || typeof node !== 'object') return [];
  const object = node as Json;
  if (object.type === 'mrkdwn' && typeof object.text === 'string') return [object.text];
  if (object.type === 'markdown' && typeof object.text === 'string') return [object.text];
  if (object.type === 'user') return [`<@${String(object.user_id)}>`];
  if (object.type === 'broadcast') return [`<!${String(object.range)}>`];
  return Object.values(object).flatMap(mrkdwnTexts);
}

/** What the files of a message without words say of themselves. */
function filesLine({ files = [] }: StoredMessage): string {
  return files.map(({ alt_txt: words, title, name }) => String(words || title || name)).join(', ');
}

/** Whom posting this message notifies: the reader of a direct message, people mentioned, or all after a broadcast. */
export function notifiedBy(
  world: PracticeWorld,
  conversation: Conversation,
  message: StoredMessage,
): Notified[] {
  const people = conversation.memberIds.filter((id) => id !== world.app.botUserId && id !== message.user);
  const base = {
    channel: conversation.id,
    ts: message.ts,
    line: (message.text || filesLine(message)).slice(0, lockScreenCharacters),
  };
  if (conversation.kind === 'im') return [{ ...base, userIds: people, why: 'direct message' }];
  const texts = [message.text, ...mrkdwnTexts(message.blocks ?? [])].join('\n');
  const mentioned = [...texts.matchAll(/<@([UW][A-Z0-9]+)(?:\|[^>]*)?>/g)].map((match) => match[1] ?? '');
  const told = [...new Set(mentioned)].filter((id) => id !== world.app.botUserId && id !== message.user);
  const broadcast = /<!(channel|here|everyone|subteam\^)[^>]*>/.test(texts);
  return [
    ...(told.length > 0 ? [{ ...base, userIds: told, why: 'mention' as const }] : []),
    ...(broadcast ? [{ ...base, userIds: people, why: 'broadcast' as const }] : []),
  ];
}
