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

  /** Opens a workspace on its journal (or in memory without one) and replays what the journal holds. */
  constructor(world: PracticeWorld, statePath: string | undefined, changed: () => void) {
    this.world = world;
    this.#changed = changed;
    for (const { id, name, memberIds } of world.channels)
      this.#conversations.set(id, { id, name, kind: 'channel', memberIds: [...memberIds], messages: [] });
    this.#journal = openJournal<WorkspaceEntry>(statePath);
    for (const entry of this.#journal.past) this.#apply(entry);
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
    this.#apply(entry);
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

  #apply(entry: WorkspaceEntry): void {
    switch (entry.kind) {
      case 'opened':
        this.#conversations.set(entry.channel, {
          id: entry.channel,
          name: 'directmessage',
          kind: 'im',
          memberIds: [entry.userId, this.world.app.botUserId],
          messages: [],
        });
        return;
      case 'joined':
        this.#need(entry.channel).memberIds.push(entry.userId);
        return;
      case 'left': {
        const conversation = this.#need(entry.channel);
        conversation.memberIds = conversation.memberIds.filter((id) => id !== entry.userId);
        return;
      }
      case 'archived':
        this.#need(entry.channel).isArchived = entry.isArchived;
        return;
      case 'renamed':
        this.#need(entry.channel).name = entry.name;
        return;
      case 'channel id': {
        const conversation = this.#need(entry.channel);
        this.#conversations.delete(entry.channel);
        this.#conversations.set(entry.now, Object.assign(conversation, { id: entry.now }));
        for (const waiting of this.#scheduled.values())
          if (waiting.channel === entry.channel) waiting.channel = entry.now;
        for (const file of this.#files.values())
          file.channels = file.channels.map((one) => (one === entry.channel ? entry.now : one));
        return;
      }
      case 'removed':
        this.#conversations.delete(entry.channel);
        return;
      case 'person':
        this.#standings.set(entry.userId, { ...this.#standings.get(entry.userId), ...entry.standing });
        return;
      case 'posted':
        this.#need(entry.channel).messages.push(entry.message);
        this.#lastTsMicros = Math.max(this.#lastTsMicros, tsMicros(entry.message.ts));
        return;
      case 'changed': {
        const { messages } = this.#need(entry.channel);
        const at = messages.findIndex((message) => message.ts === entry.message.ts);
        if (at >= 0) messages[at] = entry.message;
        return;
      }
      case 'deleted': {
        const conversation = this.#need(entry.channel);
        conversation.messages = conversation.messages.filter((message) => message.ts !== entry.ts);
        return;
      }
      case 'scheduled':
        this.#noteId(entry.scheduled.id);
        this.#scheduled.set(entry.scheduled.id, entry.scheduled);
        return;
      case 'unscheduled':
        this.#scheduled.delete(entry.id);
        return;
      case 'uploaded':
        this.#noteId(entry.file.id);
        this.#files.set(entry.file.id, entry.file);
        return;
      case 'cleared':
        for (const conversation of this.#conversations.values()) conversation.messages = [];
        this.#files.clear();
        return;
      case 'shared': {
        const file = this.#files.get(entry.fileId);
        if (file && !file.channels.includes(entry.channel)) file.channels.push(entry.channel);
        return;
      }
    }
  }
}

/** A message timestamp as whole microseconds since the epoch (exact below the year 2255). */
export function tsMicros(ts: string): number {
  const [seconds = '0', micros = '0'] = ts.split('.');
  return Number(seconds) * 1e6 + Number(micros.padEnd(6, '0').slice(0, 6));
}
