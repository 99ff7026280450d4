import { z } from 'zod';
import { type InventedKind, inventedKinds } from '../../app/rehearsal/invented-line.ts';
import { type Entry, entrySchema } from '../../domain/record/entry.ts';
import { formMeta, readMeta, wardIdSchema } from './form-meta.ts';

/**
 * Every view of a practice is called `practise:` and then what the real one is called. By this alone it is told from a real
 * view, whatever else it carries.
 */
const prefix = 'practise:';

/** What a practice carries from view to view: it has no record to keep it in. */
export interface PractiseMeta {
  /** The ward of whoever practises. */
  wardId: string;
  verb: string;
  kind: InventedKind;
  /** When the practice began, ms: the invented line stands as of then. */
  at: number;
  /** What was recorded since, as far as a fault's path needs it: ids and numbers only. */
  entries: readonly Entry[];
  /** The metadata of the real view. */
  meta: string;
}

const metaSchema = z.object({
  practise: z.object({
    w: wardIdSchema,
    v: z.string().max(20),
    k: z.enum(inventedKinds),
    at: z.number().int().nonnegative(),
    /** Kind, body, when (ms). */
    t: z.array(z.tuple([z.string(), z.unknown(), z.number().int()])).max(60),
  }),
  m: z.string(),
});

/** Entries whose bodies hold nothing that somebody typed. */
const carried: ReadonlySet<string> = new Set([
  'faultOpened',
  'faultStep',
  'faultClosed',
  'zeroed',
  'levelled',
]);

export function isPractise(id: string): boolean {
  return id.startsWith(prefix);
}

/** What a practice's view is called; `id`: the real one's. */
export function practiseCallback(id: string): string {
  return `${prefix}${id}`;
}

/** What the real view of a practice's view would be called. */
export function realCallback(id: string): string {
  return id.slice(prefix.length);
}

/** Throws a RangeError where a path has grown beyond what a view carries. */
export function practiseMeta({
  wardId,
  verb,
  kind,
  at,
  entries: carriedEntries,
  meta,
}: PractiseMeta): string {
  return formMeta({
    practise: {
      w: wardId,
      v: verb,
      k: kind,
      at,
      t: carriedEntries.flatMap((entry) =>
        carried.has(entry.kind) ? [[entry.kind, entry.body, entry.at]] : [],
      ),
    },
    m: meta,
  });
}

/** Reads what a practice carried, recorded by `user`; null when it is from another version. */
export function readPractiseMeta(text: string, user: string): PractiseMeta | null {
  const read = readMeta(metaSchema, text);
  if (!read) return null;
  const { w, v, k, at, t } = read.practise;
  const carriedEntries = t.map(([kind, body, happened]) =>
    entrySchema.safeParse({ kind, body, at: happened, told: happened, by: user, via: 'button' }),
  );
  const entries = carriedEntries.flatMap((one) => (one.success ? [one.data] : []));
  return entries.length === carriedEntries.length
    ? { wardId: w, verb: v, kind: k, at, entries: entries, meta: read.m }
    : null;
}
