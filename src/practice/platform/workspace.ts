import { openJournal } from './journal.ts';
import type { Conversation, ScheduledMessage, StoredFile, StoredMessage } from './message.ts';
import type { PracticeWorld, WorldUser } from './world.ts';

/** One change of the workspace, as written to the journal. */
export type WorkspaceEntry =
  | { kind: 'opened'; userId: string; channel: string }
  | { kind: 'joined'; userId: string; channel: string }
  | { kind: 'left'; userId: string; channel: string }
  | { kind: 'archived'; channel: string; isArchived: boolean }
  | { kind: 'renamed'; channel: string; name: string }
  /** The channel has another id, with all that stands in it. */
  | { kind: 'channel id'; channel: string; now: string }
  /** The channel and all that stood in it is gone. */
  | { kind: 'removed'; channel: string }
  | { kind: 'person'; userId: string; standing: PersonStanding }
  | { kind: 'posted'; channel: string; message: StoredMessage }
  | { kind: 'changed'; channel: string; message: StoredMessage }
  | { kind: 'deleted'; channel: string; ts: string }
  | { kind: 'scheduled'; scheduled: ScheduledMessage }
  | { kind: 'unscheduled'; id: string }
  | { kind: 'uploaded'; file: StoredFile }
  | { kind: 'shared'; fileId: string; channel: string }
  /** Every message and file is gone, as on the first day; people and what is scheduled stay. */
  | { kind: 'cleared' };

/** What an administrator may have done to a person's account. */
export interface PersonStanding {
  deleted?: boolean;
  isBot?: boolean;
  /** A guest sees the channels they are invited to and no others. */
  isGuest?: boolean;
  /** Another workspace's person, met in a shared channel. */
  teamId?: string;
}

/** The workspace's lasting state: conversations, scheduled messages and files; every change is journalled first. */
export interface Workspace {
  readonly world: PracticeWorld;
  readonly conversations: ReadonlyMap<string, Conversation>;
  readonly scheduled: ReadonlyMap<string, ScheduledMessage>;
  readonly files: ReadonlyMap<string, StoredFile>;
  record(entry: WorkspaceEntry): void;
  user(id: string): WorldUser | undefined;
  /** What became of a person's account; empty where nothing did. */
  standing(userId: string): PersonStanding;
  conversation(id: string): Conversation | undefined;
  /** The direct messages between the bot and this person, opened on first use. */
  directMessages(userId: string): Conversation;
  message(channel: string, ts: string): StoredMessage | undefined;
  /** A message timestamp never given before, at or after `nowMs`. */
  nextTs(nowMs: number): string;
  /** A fresh id such as `F0000007` that survives restarts without repeating. */
  nextId(prefix: string): string;
  close(): void;
}

/** Opens a workspace on its journal (or in memory without one) and replays what the journal holds. */
export function openWorkspace(
  world: PracticeWorld,
  statePath: string | undefined,
  changed: () => void,
): Workspace {
  const conversations = new Map<string, Conversation>();
  const scheduled = new Map<string, ScheduledMessage>();
  const files = new Map<string, StoredFile>();
  const standings = new Map<string, PersonStanding>();
  let lastTsMicros = 0;
  let ids = 0;
  for (const channel of world.channels)
    conversations.set(channel.id, {
      id: channel.id,
      name: channel.name,
      kind: 'channel',
      memberIds: [...channel.memberIds],
      messages: [],
    });

  const need = (channel: string): Conversation => {
    const found = conversations.get(channel);
    if (!found)
      throw new Error(
        `The practice workspace has no conversation ${channel}; its journal belongs to another world.`,
      );
    return found;
  };
  const noteId = (id: string) => {
    const counted = /^[A-Z]+(\d{7})$/.exec(id);
    if (counted) ids = Math.max(ids, Number(counted[1]));
  };
  const apply = (entry: WorkspaceEntry): void => {
    switch (entry.kind) {
      case 'opened':
        conversations.set(entry.channel, {
          id: entry.channel,
          name: 'directmessage',
          kind: 'im',
          memberIds: [entry.userId, world.app.botUserId],
          messages: [],
        });
        return;
      case 'joined':
        need(entry.channel).memberIds.push(entry.userId);
        return;
      case 'left': {
        const conversation = need(entry.channel);
        conversation.memberIds = conversation.memberIds.filter((id) => id !== entry.userId);
        return;
      }
      case 'archived':
        need(entry.channel).isArchived = entry.isArchived;
        return;
      case 'renamed':
        need(entry.channel).name = entry.name;
        return;
      case 'channel id': {
        const conversation = need(entry.channel);
        conversations.delete(entry.channel);
        conversations.set(entry.now, Object.assign(conversation, { id: entry.now }));
        for (const waiting of scheduled.values())
          if (waiting.channel === entry.channel) waiting.channel = entry.now;
        for (const file of files.values())
          file.channels = file.channels.map((one) => (one === entry.channel ? entry.now : one));
        return;
      }
      case 'removed':
        conversations.delete(entry.channel);
        return;
      case 'person':
        standings.set(entry.userId, { ...standings.get(entry.userId), ...entry.standing });
        return;
      case 'posted':
        need(entry.channel).messages.push(entry.message);
        lastTsMicros = Math.max(lastTsMicros, tsMicros(entry.message.ts));
        return;
      case 'changed': {
        const { messages } = need(entry.channel);
        const at = messages.findIndex((message) => message.ts === entry.message.ts);
        if (at >= 0) messages[at] = entry.message;
        return;
      }
      case 'deleted': {
        const conversation = need(entry.channel);
        conversation.messages = conversation.messages.filter((message) => message.ts !== entry.ts);
        return;
      }
      case 'scheduled':
        noteId(entry.scheduled.id);
        scheduled.set(entry.scheduled.id, entry.scheduled);
        return;
      case 'unscheduled':
        scheduled.delete(entry.id);
        return;
      case 'uploaded':
        noteId(entry.file.id);
        files.set(entry.file.id, entry.file);
        return;
      case 'cleared':
        for (const conversation of conversations.values()) conversation.messages = [];
        files.clear();
        return;
      case 'shared': {
        const file = files.get(entry.fileId);
        if (file && !file.channels.includes(entry.channel)) file.channels.push(entry.channel);
        return;
      }
    }
  };

  const journal = openJournal<WorkspaceEntry>(statePath);
  for (const entry of journal.past) apply(entry);

  const record = (entry: WorkspaceEntry) => {
    journal.append(entry);
    apply(entry);
    changed();
  };
  return {
    world,
    conversations,
    scheduled,
    files,
    record,
    user: (id) => world.users.find((user) => user.id === id),
    standing: (userId) => standings.get(userId) ?? {},
    conversation: (id) => conversations.get(id),
    directMessages(userId) {
      const channel = `D${userId.slice(1)}`;
      if (!conversations.has(channel)) record({ kind: 'opened', userId, channel });
      return need(channel);
    },
    message: (channel, ts) => conversations.get(channel)?.messages.find((message) => message.ts === ts),
    nextTs(nowMs) {
      lastTsMicros = Math.max(lastTsMicros + 1, nowMs * 1000);
      return `${Math.floor(lastTsMicros / 1e6)}.${String(lastTsMicros % 1e6).padStart(6, '0')}`;
    },
    nextId(prefix) {
      ids += 1;
      return `${prefix}${String(ids).padStart(7, '0')}`;
    },
    close: () => journal.close(),
  };
}

/** A message timestamp as whole microseconds since the epoch (exact below the year 2255). */
export function tsMicros(ts: string): number {
  const [seconds = '0', micros = '0'] = ts.split('.');
  return Number(seconds) * 1e6 + Number(micros.padEnd(6, '0').slice(0, 6));
}
