import { z } from 'zod';

const id = z.string().min(1);
const user = z.looseObject({ id });
const view = z.looseObject({ id, callback_id: z.string(), private_metadata: z.string() });

/** What the framework and our listeners rely on before they look closer; everything else may be absent. */
const payloadSchema = z.union([
  z.looseObject({ command: id, team_id: id, channel_id: id, user_id: id, trigger_id: id }),
  z.looseObject({ type: z.literal('event_callback'), event: z.looseObject({ type: id }) }),
  z.looseObject({
    type: z.literal('block_actions'),
    user,
    trigger_id: id,
    actions: z.array(z.looseObject({ action_id: id, type: id, action_ts: id })).min(1),
    view: view.nullish(),
  }),
  z.looseObject({ type: z.enum(['view_submission', 'view_closed']), user, view }),
  z.looseObject({ type: z.literal('shortcut'), user, trigger_id: id, callback_id: id }),
  z.looseObject({
    type: z.literal('message_action'),
    user,
    trigger_id: id,
    callback_id: id,
    channel: z.looseObject({ id }),
    message: z.looseObject({}),
  }),
]);

/** What came in: something to handle, something that only tells us of itself, or nothing that can be read. */
export function kindOfPayload(payload: unknown): 'readable' | 'too many events' | 'unreadable' {
  if (payloadSchema.safeParse(payload).success) return 'readable';
  // It stands alone, without an inner event.
  const { type } = (payload ?? {}) as { type?: unknown };
  return type === 'app_rate_limited' ? 'too many events' : 'unreadable';
}
