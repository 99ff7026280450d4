import { z } from 'zod';
import { blockProblems } from './block-limits.ts';
import type { Json } from './message.ts';
import { identifier, plainText } from './text-limits.ts';

const shared = {
  blocks: z.array(z.unknown()),
  private_metadata: z.string().max(3000, { error: 'must be less than 3001 characters' }).optional(),
  callback_id: identifier.optional(),
  external_id: identifier.optional(),
};

const viewSchema = z.discriminatedUnion('type', [
  z.strictObject({
    type: z.literal('modal'),
    title: plainText(24),
    submit: plainText(24).optional(),
    close: plainText(24).optional(),
    clear_on_close: z.boolean().optional(),
    notify_on_close: z.boolean().optional(),
    submit_disabled: z.boolean().optional(),
    ...shared,
  }),
  z.strictObject({ type: z.literal('home'), ...shared }),
]);

/** The most bytes of JSON one view may take (views.open). */
export const mostViewBytes = 250_000;

/** Why a view is refused: the platform's error name and its detail lines. */
export interface ViewRefusal {
  error: 'view_too_large' | 'invalid_arguments';
  messages: string[];
}

/** Checks a view against the platform's limits; null when it may be shown. */
export function viewRefusal(view: unknown): ViewRefusal | null {
  if (Buffer.byteLength(JSON.stringify(view) ?? '') > mostViewBytes)
    return { error: 'view_too_large', messages: [] };
  const parsed = viewSchema.safeParse(view);
  if (!parsed.success) {
    const messages = parsed.error.issues.map(
      (issue) => `[ERROR] ${issue.message} [json-pointer:/view/${issue.path.map(String).join('/')}]`,
    );
    return { error: 'invalid_arguments', messages };
  }
  const shown = parsed.data;
  const messages = blockProblems(shown.type, shown.blocks);
  const asks = (shown.blocks as Json[]).some((block) => block.type === 'input');
  if (shown.type === 'modal' && asks && shown.submit === undefined)
    messages.push('[ERROR] missing required field: submit [json-pointer:/view]');
  return messages.length > 0 ? { error: 'invalid_arguments', messages } : null;
}
