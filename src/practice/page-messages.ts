import { z } from 'zod';
import type { Block } from './platform/block-limits.ts';
import type { RawValue } from './platform/element-values.ts';
import type { Notified } from './platform/mentions.ts';
import type { StoredMessage } from './platform/message.ts';
import type { OptionShown, PlainText } from './platform/text-limits.ts';
import type { PracticeWorld, WorldUser } from './platform/world.ts';

// What the page asks for and what it is given. The page takes the types only.

const raw: z.ZodType<RawValue> = z.union([z.string(), z.number(), z.array(z.string()), z.null()]);
const user = z.string().min(1);
const values = z.record(z.string(), raw).optional();

/** One thing a person did on the page. */
export const actSchema = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('slash'),
    user,
    where: z.enum(['ward', 'direct']),
    text: z.string().max(8_000),
  }),
  z.strictObject({
    kind: z.literal('press'),
    user,
    messageTs: z.string().optional(),
    channel: z.string().optional(),
    viewId: z.string().optional(),
    actionId: z.string(),
    blockId: z.string(),
    selected: raw.optional(),
    values,
  }),
  z.strictObject({ kind: z.literal('submit'), user, viewId: z.string(), values }),
  z.strictObject({ kind: z.literal('close'), user, viewId: z.string(), all: z.boolean().optional() }),
  z.strictObject({
    kind: z.literal('messageShortcut'),
    user,
    channel: z.string(),
    messageTs: z.string(),
    callbackId: z.string(),
  }),
  z.strictObject({ kind: z.literal('openHome'), user }),
  z.strictObject({ kind: z.literal('invite') }),
  z.strictObject({ kind: z.literal('shortcut'), user, callbackId: z.string() }),
  z.strictObject({ kind: z.literal('shareExample'), user, name: z.string() }),
  z.strictObject({
    kind: z.literal('upload'),
    user,
    name: z.string().min(1).max(200),
    bytesBase64: z.base64(),
  }),
]);

/** Another pace of the ward clock, or a jump to the next event. */
export const clockSchema = z.union([
  z.strictObject({ rate: z.union([z.literal(1), z.literal(60), z.literal(600)]) }),
  z.strictObject({ jump: z.literal(true) }),
]);

/** A scene to play, or the ward emptied. */
export const sceneSchema = z.union([
  z.strictObject({ play: z.string().max(40) }),
  z.strictObject({ reset: z.literal(true) }),
]);

export type PageAct = z.infer<typeof actSchema>;
/** An act as the reader that does it says it: who acts is added there. */
export type PersonAct = PageAct extends infer Act
  ? Act extends { user: string }
    ? Omit<Act, 'user'>
    : never
  : never;
export type ClockChange = z.infer<typeof clockSchema>;
export type SceneChange = z.infer<typeof sceneSchema>;

/** Why something could not be done, as a sentence. */
export interface Problem {
  problem: string;
}

/** What came of an act. */
export interface ActAnswer extends Partial<Problem> {
  /** Whether the bot acknowledged it in time. */
  acked?: boolean;
  /** Of a form that was sent: false while it still stands. */
  accepted?: boolean;
  /** Sentences beside inputs, by block id. */
  errors?: Record<string, string>;
  /** Of an upload: the file. */
  id?: string;
}

/** The ward clock after a change. */
export interface ClockAnswer {
  nowMs: number;
  rate: number;
}

/** A file of a message. */
export interface PageFile {
  id: string;
  name: string;
  title: string;
  mimetype: string;
  size: number;
  alt_txt: string;
}

/** A message as the page draws it. */
export interface PageMessage extends Pick<StoredMessage, 'ts' | 'user' | 'text'> {
  thread_ts: string | undefined;
  edited: StoredMessage['edited'] | undefined;
  blocks: Block[] | undefined;
  files: PageFile[] | undefined;
  /** Of a message only one person sees: who. */
  reader?: string;
  /** True for a line the platform itself says. */
  fromPlatform?: boolean;
}

/** A message only one person sees. */
export interface PrivateMessage extends PageMessage {
  channel: string;
  reader: string;
}

/** What an element holds; which key depends on its kind. */
export interface HeldValue {
  value?: string | null | undefined;
  selected_option?: OptionShown | null | undefined;
  selected_options?: OptionShown[] | undefined;
  selected_user?: string | null | undefined;
  selected_users?: string[] | undefined;
  selected_date?: string | null | undefined;
  selected_time?: string | null | undefined;
  /** Seconds since the epoch. */
  selected_date_time?: number | null | undefined;
  files?: { id: string; name: string }[];
}

/** A form or the app's own page, as it stands for one person. */
export interface PageView {
  id: string;
  blocks: Block[];
  title?: PlainText;
  close?: PlainText;
  submit?: PlainText;
  /** By block id and action id. */
  values: Record<string, Record<string, HeldValue>>;
  /** Sentences beside inputs, by block id, from the last refusal. */
  errors: Record<string, string>;
  /** How many forms lie on top of each other, this one the topmost. */
  depth: number;
}

/** A prepared ward, as it is offered. */
export interface OfferedScene {
  id: string;
  title: string;
  says: string;
}

/** Everything the page draws. */
export interface PageState
  extends Pick<PracticeWorld, 'command' | 'wardZone' | 'shortcuts' | 'globalShortcuts'> {
  hospital: string;
  botName: string;
  ward: { id: string; name: string };
  channels: { id: string; name: string }[];
  people: Pick<WorldUser, 'id' | 'name' | 'part'>[];
  mostSharedMegabytes: number;
  /** Names of the invented strips on offer. */
  exampleStrips: string[];
  clock: ClockAnswer & { canHurry: boolean; canJump: boolean };
  scenes: OfferedScene[];
  canReset: boolean;
  connected: boolean;
  /** By conversation, oldest first. */
  messages: Record<string, PageMessage[]>;
  hasEarlier: Record<string, boolean>;
  ephemerals: PrivateMessage[];
  /** By person: the form on top, the app's own page, the line on the lock screen. */
  views: Record<string, PageView>;
  homes: Record<string, PageView>;
  lines: Record<string, Pick<Notified, 'line' | 'ts' | 'why'>>;
}
