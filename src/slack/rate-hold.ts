import { handoverFileOf } from '../app/handover-posts.ts';
import type { Delivery, Messenger, Post } from '../app/ports.ts';

type Method = 'send' | 'update' | 'file';

/**
 * The same messenger, which keeps to what the platform asked of it: it counts by method and workspace, so where one call is
 * told to wait, every call of that method waits as long. `realNow`: real time, ms.
 */
export function heldBack(messenger: Messenger, realNow: () => number): Messenger {
  const until = new Map<Method, number>();
  const heldMs = (method: Method) => Math.max(0, (until.get(method) ?? 0) - realNow());
  const heard = async (method: Method, call: () => Promise<Delivery>): Promise<Delivery> => {
    const left = heldMs(method);
    if (left > 0) return { is: 'wait', ms: left };
    const delivery = await call();
    if (delivery.is === 'wait') until.set(method, Math.max(until.get(method) ?? 0, realNow() + delivery.ms));
    return delivery;
  };
  const methodOf = (post: Post): Method => (handoverFileOf(post) ? 'file' : 'send');
  return {
    ...messenger,
    heldMs: (_wardId, post, stands) => heldMs(stands ? 'update' : methodOf(post)),
    send: (wardId, post, composed) => heard(methodOf(post), () => messenger.send(wardId, post, composed)),
    update: (wardId, post, sent, composed) =>
      heard('update', () => messenger.update(wardId, post, sent, composed)),
  };
}
