/** Any JSON object whose keys were checked elsewhere or do not matter here. */
export type Json = Record<string, unknown>;

/** A stored message as the platform hands it out; keys follow the chat platform. */
export interface StoredMessage {
  type: 'message';
  ts: string;
  user: string;
  text: string;
  team: string;
  bot_id?: string;
  app_id?: string;
  blocks?: Json[];
  thread_ts?: string;
  edited?: { user: string; ts: string };
  metadata?: { event_type: string; event_payload: Json };
  files?: Json[];
}

/** A message only one person sees; it lives as long as the process. */
export interface EphemeralMessage extends StoredMessage {
  channel: string;
  /** The only reader. */
  reader: string;
  /** True for a line the platform itself says, such as an unanswered command. */
  fromPlatform: boolean;
}

/** A message waiting for its minute. */
export interface ScheduledMessage {
  id: string;
  channel: string;
  /** Seconds since the epoch, ward time. */
  postAt: number;
  message: { text: string; blocks?: Json[]; thread_ts?: string };
  /** With metadata the real platform never posts it (note on chat.scheduleMessage); so neither do we. */
  hasMetadata: boolean;
}

/** An uploaded file; the bytes are kept as base64. */
export interface StoredFile {
  id: string;
  name: string;
  title: string;
  altText: string;
  mimetype: string;
  owner: string;
  /** Seconds since the epoch, ward time. */
  created: number;
  bytesBase64: string;
  channels: string[];
}

/** A conversation: a channel or the direct messages between one person and the bot. */
export interface Conversation {
  id: string;
  name: string;
  kind: 'channel' | 'im';
  memberIds: string[];
  /** Nobody can post in it any more, or change what stands there. */
  isArchived?: boolean;
  /** Those who are not in it cannot see that there is one. */
  isPrivate?: boolean;
  messages: StoredMessage[];
}
