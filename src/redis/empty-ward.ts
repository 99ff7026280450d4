import { wardsKey } from './keys.ts';
import { reach } from './reach.ts';
import type { RecordClient } from './script.ts';
import { keysLike, keysOf } from './ward-keys-found.ts';

/** Keys taken off in one command. */
const keysAtOnce = 500;

/**
 * Takes everything of one ward off the record, and everybody's Home with it. For the practice ward, where nothing is real: no
 * code of a real ward calls it. The ward stays on the list of wards, since processes remember that it is.
 */
export async function emptyWard(client: RecordClient, wardId: string): Promise<void> {
  await takeOff(client, await keysOf(client, wardId));
  await takeOff(client, await keysLike(client, '{home}:*'));
}

/**
 * Takes everything of one ward off a store, closed lines too, and the ward off the list of wards, and what every Home last showed,
 * which may be of it; it is drawn anew. There is no way back. Another id that its channel has since stays: a copy that is put back needs it.
 */
export async function eraseWard(client: RecordClient, wardId: string): Promise<void> {
  const keys = await keysOf(client, wardId);
  // The list first: what's stopped half way is erased by a second try, and woken by nobody meanwhile.
  await reach('writes', () => client.srem(wardsKey, wardId));
  await takeOff(client, keys);
  await takeOff(client, await keysLike(client, '{home}:shown:*'));
}

/** Keys of one slot. */
async function takeOff(client: RecordClient, keys: readonly string[]): Promise<void> {
  for (let from = 0; from < keys.length; from += keysAtOnce)
    await reach('writes', () => client.unlink(...keys.slice(from, from + keysAtOnce)));
}
