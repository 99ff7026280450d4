import { z } from 'zod';
import { dutyKinds } from '../domain/duty-kind.ts';
import { faultSigns } from '../domain/fault/fault-questions.ts';
import { bodySchema, type EntryDraft } from '../domain/record/entry.ts';
import { room } from './room.ts';

/** Kinds of entry that are asked about before they are recorded. */
export const askableKinds = ['flushed', 'sourceChanged', 'flushModeChanged'] as const;

/** A draft entry that waits for a yes, and when it happened, ms. */
export const draftSchema = z.object({
  kind: z.enum(askableKinds),
  body: z.record(z.string(), z.unknown()),
  at: z.number().int(),
});

/** The draft that a button or a form carries; null where it is none of this version. */
export function draftCarried({ kind, body }: z.infer<typeof draftSchema>): EntryDraft | null {
  const read = bodySchema(kind).safeParse(body);
  return read.success ? ({ kind, body: read.data } as EntryDraft) : null;
}

/**
 * What a button carries: ids only. `w` ward, `l` line, `d` duties of that line as [kind, due ms], `a` flushes of several
 * lines as [line, due ms], `e` duties of several lines as [line, kind, due ms], `f` the handover's or the cover's number, `s` an audit's time, `v` verb to open, `q` a fault's sign, then its step
 * and answer, `p` an uploaded strip, `t` what somebody recorded and must say yes to, `k` entries to take
 * back as [line, first number, how many], `n` the number of one entry to put right,
 * `x` words as they were typed, without the verb (`v`) and the name.
 */
export const actionValueSchema = z.object({
  w: z.string().min(3).max(60),
  l: z.string().max(20).optional(),
  d: z
    .array(z.tuple([z.enum(dutyKinds), z.number().int()]))
    .max(60)
    .optional(),
  a: z
    .array(z.tuple([z.string().max(20), z.number().int()]))
    .max(60)
    .optional(),
  e: z
    .array(z.tuple([z.string().max(20), z.enum(dutyKinds), z.number().int()]))
    .max(room.doneTogether)
    .optional(),
  f: z.number().int().optional(),
  k: z
    .array(z.tuple([z.string().max(20), z.number().int().positive(), z.number().int().min(1).max(20)]))
    .max(room.takenBack)
    .optional(),
  n: z.number().int().positive().optional(),
  /** An audit's time, from and to, ms. */
  s: z.tuple([z.number().int(), z.number().int()]).optional(),
  v: z.string().max(20).optional(),
  x: z.string().max(room.typedAgain).optional(),
  /** What is recorded once it is said yes to, and when it happened, ms. */
  t: draftSchema.optional(),
  /** An uploaded strip: its files, when it was shared (ms), and which channel of it. */
  p: z
    .object({
      files: z.array(z.string().max(30)).min(1).max(4),
      at: z.number().int(),
      channel: z.string().max(60).optional(),
    })
    .optional(),
  q: z
    .union([
      z.tuple([z.enum(faultSigns)]),
      z.tuple([z.enum(faultSigns), z.string().max(60), z.string().max(30)]),
    ])
    .optional(),
});
export type ActionValue = z.infer<typeof actionValueSchema>;

export function actionValue(value: ActionValue): string {
  return JSON.stringify(value);
}

/** Reads a button's value; null for one that is not ours. */
export function readActionValue(text: string | undefined): ActionValue | null {
  try {
    return actionValueSchema.parse(JSON.parse(text ?? ''));
  } catch {
    return null;
  }
}
