import type { Placing } from '../domain/animal/animal.ts';
import type { Asked } from '../domain/duties/duty-status.ts';
import type { ShiftHandover } from '../domain/handover/shift-handover.ts';
import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import type { Entry } from '../domain/record/entry.ts';
import type { LineState } from '../domain/record/line-state.ts';
import type { ShutReason } from '../domain/ward/channel.ts';
import type { WardEntry } from '../domain/ward/ward-entry.ts';
import type { WardState } from '../domain/ward/ward-state.ts';
import type { HandoverPages } from './handover-posts.ts';
import type { WardCopy } from './ward-copy.ts';

/** A ward as a whole: its own state and every line on its list (in, or out with follow-up owed). */
export interface WardView {
  ward: WardState;
  lines: LineState[];
  /** Of a handover's post: the handover as it was at the instant it was made. */
  handedOver?: ShiftHandover;
}

/** Kinds of message, as `event_payload.kind` names them outside. */
export type PostKind = 'card' | 'nudge' | 'escalation' | 'handover' | 'report' | 'notice';

/**
 * A message that stands or will stand somewhere. It says what the message is about, never its words: those are derived
 * from the record whenever it is sent or brought up to date.
 */
export interface Post {
  /** Unique in the ward; its first character ranks it in the queue, 0 first. */
  key: string;
  kind: PostKind;
  /** The ward's channel, or one person. */
  to: 'ward' | { user: string };
  lines: string[];
  /** Duties it asks for. */
  asked: Asked[];
  /** Ward time it was made, ms. */
  at: number;
  /** What kinds of notice and handover need besides. */
  about?: {
    what: string;
    for?: number;
    page?: number;
    pages?: number;
    /** The time it speaks of, ms: from, up to but not including to. */
    from?: number;
    to?: number;
    user?: string;
    text?: string;
    /** Who stands in for `user`, and who said so. */
    by?: string;
    setBy?: string;
    /** Which cover it is of: the number of its entry in the ward's log. */
    cover?: number;
    /** Entries that the ward's log and each line's had when it was made. */
    versions?: { ward: number; lines: Record<string, number> };
    /** The message in whose thread it stands. */
    thread?: string;
  };
}

/** What of an outbox is sent apart from the rest: what takes long to make must not stand before a reminder. */
export const outboxParts = ['reminders', 'handovers', 'files'] as const;
/** `reminders`: all that is neither a message nor a file of a handover. */
export type OutboxPart = (typeof outboxParts)[number];

/** Which part of the outbox a post is in, by its key. */
export function outboxPartOf(key: string): OutboxPart {
  if (!key.startsWith('.handover.', 1)) return 'reminders';
  return key.startsWith('7') ? 'files' : 'handovers';
}

/** A post with what is known of its delivery. */
export interface PostRow {
  post: Post;
  /** Where it stands on the chat platform; absent until it was sent. */
  sent?: { place: string; id: string; hash: string };
  /** Sends that may have happened: when the first was begun (real ms), until its outcome is known. */
  tryingSince?: number;
  tries: number;
}

/** One atomic change of a ward's record. Either all of it is written or nothing. */
export interface Change {
  /** The intent's own key: a second change with the same key is answered `already` and writes nothing. */
  once?: string;
  lines: LineChange[];
  ward?: { expected: number; entries: WardEntry[]; after: WardState };
  /** Next wake-up by line id, or `ward` for the ward's own calendar; null takes it off the index. Ward time, ms. */
  wakes: Record<string, number | null>;
  posts: Post[];
  /** Bring every standing message of the ward up to date, not only those of the lines changed. */
  touchAll?: boolean;
  /** Lines off the ward's list whose animal's stay is over: `readPlacings` names them no more. */
  forget?: string[];
}

/** What is written of one line in a change. */
export interface LineChange {
  id: string;
  /** Entries its log must have for the change to be written; 0 makes a new line. */
  expected: number;
  entries: Entry[];
  after: LineState;
  /** Whether it stays on the ward's list. */
  listed: boolean;
  /** Bring its messages up to date though no entry came: time alone changed how it stands. */
  touch?: boolean;
}

/** What became of a change: all of it was written, or none. */
export type Committed =
  /** `armed`: the earliest wake-up of the ward when the change brought it forward, else null. */
  { is: 'written'; armed: number | null } | { is: 'conflict' } | { is: 'already' };

/** The ward's record: append-only logs, with what is derived from them kept beside as a cache. */
export interface WardRecord {
  /** The policy of a ward that never set one. */
  policyIfNone: WardPolicy;
  /** A ward nothing was recorded of reads as a new one with the default policy. */
  readWard(wardId: string): Promise<WardView>;
  /** The ward's own state only. */
  readWardState(wardId: string): Promise<WardState>;
  /** Any line ever placed on the ward, closed ones too. */
  readLine(wardId: string, lineId: string): Promise<LineState | null>;
  readLines(wardId: string, lineIds: readonly string[]): Promise<LineState[]>;
  /** Whose the lines on the ward's list are, and those off it that were not forgotten; in no order. */
  readPlacings(wardId: string): Promise<Placing[]>;
  readLog(wardId: string, lineId: string): Promise<Entry[]>;
  readWardLog(wardId: string): Promise<WardEntry[]>;
  /**
   * Every log of the ward as it stood at one instant, closed lines too; null when nothing was ever recorded of it. Thousands of
   * lines take seconds.
   */
  readCopy(wardId: string): Promise<WardCopy | null>;
  commit(wardId: string, change: Change): Promise<Committed>;

  wardIds(): Promise<string[]>;
  /** The earliest instant on the ward's wake index; null when it is empty. */
  nextWake(wardId: string): Promise<number | null>;
  /** What of the ward's wake index is due at `now` (ward ms): line ids, and `ward` for its own calendar; in no order. */
  dueNow(wardId: string, now: number): Promise<string[]>;
  /**
   * Sets the ward's whole wake index from the record; says how many instants were missing, too late, or of nothing that
   * is owed. One that stands earlier is left: the wake-up it brings finds nothing and sets the right one.
   */
  repairWakes(wardId: string, wakes: Record<string, number>): Promise<number>;

  /**
   * Takes the first-ranked post that is ready, whose lane is free at `realNow` (real ms), and holds it for 30 s; else says when
   * to ask again (real ms), or null when nothing waits. A lane is a channel or a person: one message a second each; updates
   * have lanes of their own. `part`: only of that part of the outbox; `ready`: the other parts that have something ready. `peopleOnly`: those to
   * the ward's channel are left where they are.
   */
  takePost(
    wardId: string,
    realNow: number,
    part?: OutboxPart,
    how?: { peopleOnly?: boolean },
  ): Promise<{ row: PostRow } | { againAt: number | null; ready?: OutboxPart[] }>;
  /** Says that a send is being tried, before it is. */
  postTrying(wardId: string, key: string, realNow: number): Promise<void>;
  /**
   * Written down after sending or updating; `settled` posts that will not change any more are dropped from the outbox. One that
   * stands is taken again at `againAt` (real ms), if that is given.
   */
  postDone(
    wardId: string,
    key: string,
    sent: { place: string; id: string; hash: string } | null,
    settled: boolean,
    againAt?: number,
  ): Promise<void>;
  /** Not sent: to be tried again at `againAt` (real ms). */
  postAgain(wardId: string, key: string, againAt: number): Promise<void>;
  /** Taken, and nothing was asked of the platform: it stays ready, that was no try, and its lane is as free as it was. */
  postLeft(wardId: string, key: string): Promise<void>;
  readPost(wardId: string, key: string): Promise<PostRow | null>;
}

/** Alarm clock and errand boy: best effort, never the memory. Whatever it forgets, the sweep finds. */
export interface Alarm {
  /** Wake the ward at this ward time (ms). */
  wakeAt(wardId: string, atMs: number): Promise<void>;
  /**
   * Messages are waiting; look again at `realAtMs` (real ms), or at once. `part`: those of that part alone, which may be called for
   * behind the rest.
   */
  postsWaiting(wardId: string, realAtMs?: number, part?: OutboxPart): Promise<void>;
}

/** Words and buttons for one post, made from the record as it is now. */
export interface Composed {
  /** The platform's own message; only the messenger looks inside. */
  message: unknown;
  /** Tells whether a standing message is still the same. */
  hash: string;
  /** Nothing that can happen will change this message any more. */
  settled: boolean;
  /** A newer message says all that this one would: where it was not sent yet, it need not be. */
  superseded?: boolean;
  /** How many messages follow it: of the first of a handover. */
  pages?: HandoverPages;
  /** Whoever it goes to was not reached lately: unless the platform says that they are well now, they're taken for not reached. */
  wasUnreached?: boolean;
  /** What it says is still being counted: to be composed again in a while, and nothing that comes after it waits. */
  notYet?: boolean;
}

/** What became of a message that was sent or updated. */
export type Delivery =
  | { is: 'sent'; place: string; id: string }
  /** The platform took it for sure not; `forGood`: trying again will not help; `nobodyReads`: nor with any other to this person. */
  | { is: 'refused'; why: string; forGood: boolean; nobodyReads?: boolean }
  | { is: 'wait'; ms: number }
  /** Nothing can be posted in the ward's channel; the post waits until it can. */
  | { is: 'shut'; why: ShutReason }
  /** It may or may not stand: look before repeating. */
  | { is: 'unclear'; why: string };

/** The chat platform as the jobs see it. */
export interface Messenger {
  compose(post: Post, view: WardView, now: number): Promise<Composed>;
  send(wardId: string, post: Post, composed: Composed): Promise<Delivery>;
  update(
    wardId: string,
    post: Post,
    sent: { place: string; id: string },
    composed: Composed,
  ): Promise<Delivery>;
  /** How long the platform wants to hear of no such call, ms; 0 where it may be called. `stands`: the post is to be updated. */
  heldMs?(wardId: string, post: Post, stands: boolean): number;
  /** Whether the bot is installed in the ward's workspace; absent where it serves one workspace, which it always is in. */
  serves?(wardId: string): Promise<boolean>;
  /** Whether a person reads what's sent to them; `unknown` where the platform doesn't tell. Absent where everybody does. */
  lookAtReader?(wardId: string, user: string): Promise<'reads' | 'reads nothing' | 'unknown'>;
  /** Whether the ward's channel can be posted in; `unknown` where the platform does not tell. `known`: why it could not be. */
  lookAtChannel(wardId: string, known: ShutReason | null): Promise<'open' | 'unknown' | ShutReason>;
  /** Adds to a post just sent what is good to have and not needed: pictures. Best effort, once; absent where there are none. */
  addPictures?(wardId: string, post: Post, sent: { place: string; id: string }): Promise<void>;
  /**
   * Looks for a post that may have been sent since `sinceMs` (ward ms) by its key; for a file by its name, which `view` says. Where
   * it stands more than once that is the newest, and `others` the rest.
   */
  find(
    wardId: string,
    post: Post,
    sinceMs: number,
    view?: WardView,
  ): Promise<{ place: string; id: string; others?: readonly string[] } | null>;
  /** Takes a message of the bot away: a copy that stands beside another. */
  takeAway(wardId: string, place: string, id: string): Promise<void>;
}

/** What an operator needs to know of the app's work; ids and numbers only. */
export interface Watch {
  entryAccepted(kind: string): void;
  conflict(): void;
  notified(step: 'ward' | 'nurse' | 'lead' | 'clinician' | 'backup' | 'nobody', lateMs: number): void;
  posted(outcome: string): void;
  repaired(count: number): void;
  trouble(what: string, ids: Record<string, string | number>, cause?: unknown): void;
}
