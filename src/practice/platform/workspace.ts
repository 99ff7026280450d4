import { type ByKind, byKind } from '../../domain/by-kind.ts';
import { type Journal, openJournal } from './journal.ts';
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
export class Workspace {
  readonly world: PracticeWorld;
  readonly #changed: () => void;
  readonly #journal: Journal<WorkspaceEntry>;
  readonly #conversations = new Map<string, Conversation>();
  readonly #scheduled = new Map<string, ScheduledMessage>();
  readonly #files = new Map<string, StoredFile>();
  readonly #standings = new Map<string, PersonStanding>();
  #lastTsMicros = 0;
  #ids = 0;

  /** What each change does, now or replayed. */
  readonly #apply: ByKind<WorkspaceEntry, [], void> = {
    opened: ({ channel, userId }) => {
      const memberIds = [userId, this.world.app.botUserId];
      const opened: Conversation = {
        id: channel,
        name: 'directmessage',
        kind: 'im',
        memberIds,
        messages: [],
      };
      this.#conversations.set(channel, opened);
    },
    joined: ({ channel, userId }) => void this.#need(channel).memberIds.push(userId),
    left: ({ channel, userId }) => {
      const conversation = this.#need(channel);
      conversation.memberIds = conversation.memberIds.filter((id) => id !== userId);
    },
    archived: ({ channel, isArchived }) => void Object.assign(this.#need(channel), { isArchived }),
    renamed: ({ channel, name }) => void Object.assign(this.#need(channel), { name }),
    'channel id': ({ channel, now }) => {
      const conversation = this.#need(channel);
      this.#conversations.delete(channel);
      this.#conversations.set(now, Object.assign(conversation, { id: now }));
      for (const waiting of this.#scheduled.values()) if (waiting.channel === channel) waiting.channel = now;
      for (const file of this.#files.values())
        file.channels = file.channels.map((one) => (one === channel ? now : one));
    },
    removed: ({ channel }) => void this.#conversations.delete(channel),
    person: ({ userId, standing }) =>
      void this.#standings.set(userId, { ...this.#standings.get(userId), ...standing }),
    posted: ({ channel, message }) => {
      this.#need(channel).messages.push(message);
      this.#lastTsMicros = Math.max(this.#lastTsMicros, tsMicros(message.ts));
    },
    changed: ({ channel, message }) => {
      const { messages } = this.#need(channel);
      const at = messages.findIndex(({ ts }) => ts === message.ts);
      if (at >= 0) messages[at] = message;
    },
    deleted: ({ channel, ts }) => {
      const conversation = this.#need(channel);
      conversation.messages = conversation.messages.filter((message) => message.ts !== ts);
    },
    scheduled: ({ scheduled }) => {
      this.#noteId(scheduled.id);
      this.#scheduled.set(scheduled.id, scheduled);
    },
    unscheduled: ({ id }) => void this.#scheduled.delete(id),
    uploaded: ({ file }) => {
      this.#noteId(file.id);
      this.#files.set(file.id, file);
    },
    shared: ({ fileId, channel }) => {
      const file = this.#files.get(fileId);
      if (file && !file.channels.includes(channel)) file.channels.push(channel);
    },
    cleared: () => {
      for (const conversation of this.#conversations.values()) conversation.messages = [];
      this.#files.clear();
    },
  };

  /** Opens a workspace on its journal (or in memory without one) and replays what the journal holds. */
  constructor(world: PracticeWorld, statePath: string | undefined, changed: () => void) {
    this.world = world;
    this.#changed = changed;
    for (const { id, name, memberIds } of world.channels)
      this.#conversations.set(id, { id, name, kind: 'channel', memberIds: [...memberIds], messages: [] });
    this.#journal = openJournal<WorkspaceEntry>(statePath);
    for (const entry of this.#journal.past) byKind(this.#apply, entry);
  }

  get conversations(): ReadonlyMap<string, Conversation> {
    return this.#conversations;
  }

  get scheduled(): ReadonlyMap<string, ScheduledMessage> {
    return this.#scheduled;
  }

  get files(): ReadonlyMap<string, StoredFile> {
    return this.#files;
  }

  record(entry: WorkspaceEntry): void {
    this.#journal.append(entry);
    byKind(this.#apply, entry);
    this.#changed();
  }

  user(id: string): WorldUser | undefined {
    return this.world.users.find((user) => user.id === id);
  }

  /** What became of a person's account; empty where nothing did. */
  standing(userId: string): PersonStanding {
    return this.#standings.get(userId) ?? {};
  }

  conversation(id: string): Conversation | undefined {
    return this.#conversations.get(id);
  }

  /** The direct messages between the bot and this person, opened on first use. */
  directMessages(userId: string): Conversation {
    const channel = `D${userId.slice(1)}`;
    if (!this.#conversations.has(channel)) this.record({ kind: 'opened', userId, channel });
    return this.#need(channel);
  }

  message(channel: string, ts: string): StoredMessage | undefined {
    return this.conversation(channel)?.messages.find((message) => message.ts === ts);
  }

  /** A message timestamp never given before, at or after `nowMs`. */
  nextTs(nowMs: number): string {
    this.#lastTsMicros = Math.max(this.#lastTsMicros + 1, nowMs * 1000);
    return `${Math.floor(this.#lastTsMicros / 1e6)}.${String(this.#lastTsMicros % 1e6).padStart(6, '0')}`;
  }

  /** A fresh id such as `F0000007` that survives restarts without repeating. */
  nextId(prefix: string): string {
    this.#ids += 1;
    return `${prefix}${String(this.#ids).padStart(7, '0')}`;
  }

  close(): void {
    this.#journal.close();
  }

  #need(channel: string): Conversation {
    const found = this.#conversations.get(channel);
    if (!found)
      throw new Error(
        `The practice workspace has no conversation ${channel}; its journal belongs to another world.`,
      );
    return found;
  }

  #noteId(id: string): void {
    const counted = /^[A-Z]+(\d{7})$/.exec(id);
    if (counted) this.#ids = Math.max(this.#ids, Number(counted[1]));
  }
}

/** A message timestamp as whole microseconds since the epoch (exact below the year 2255). */
export function tsMicros(ts: string): number {
  const [seconds = '0', micros = '0'] = ts.split('.');
  return Number(seconds) * 1e6 + Number(micros.padEnd(6, '0').slice(0, 6));
}
