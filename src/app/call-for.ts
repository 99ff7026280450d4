import type { Alarm } from './ports.ts';

/**
 * After a change was written: asks for the ward's earlier wake-up, where there is one, and for its messages. Both at
 * once, and best effort; whoever recorded something does not wait twice for an alarm clock.
 */
export async function callFor(alarm: Alarm, wardId: string, armed: number | null): Promise<void> {
  await Promise.all([armed === null ? undefined : alarm.wakeAt(wardId, armed), alarm.postsWaiting(wardId)]);
}
