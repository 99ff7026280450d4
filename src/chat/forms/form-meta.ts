import { z } from 'zod';
import { dutyKinds } from '../../domain/duty-kind.ts';
import { room } from '../room.ts';

/** Ids as they stand in a form's private metadata. */
export const wardIdSchema = z.string().min(3).max(60);
export const lineIdSchema = z.string().min(1).max(20);
/** A duty that a form speaks of: line, kind, when it was due (ms). */
export const askedSchema = z.tuple([lineIdSchema, z.enum(dutyKinds), z.number().int()]);

/** What a form carries to its own submission; never shown. Throws when it is longer than the platform takes. */
export function formMeta(meta: object): string {
  const text = JSON.stringify(meta);
  if (text.length > room.formMeta) {
    throw new RangeError(
      `A form would carry ${text.length} characters; the platform takes ${room.formMeta}.`,
    );
  }
  return text;
}

/** What a form carried; null when it is not ours or from another version. */
export function readMeta<T>(schema: z.ZodType<T>, text: string): T | null {
  try {
    return schema.parse(JSON.parse(text));
  } catch {
    return null;
  }
}
