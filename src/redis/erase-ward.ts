import { wardsKey } from './keys.ts';
import { reach } from './reach.ts';
import type { RecordClient } from './script.ts';
import { keysOf } from './ward-keys-found.ts';

/** Keys taken off in one command. */
const keysAtOnce = 500;

/** Takes everything of one ward off a store, closed lines too, and the ward off the list of wards. There is no way back. */
export async function eraseWard(client: RecordClient, wardId: string): Promise<void> {
  const keys = await keysOf(client, wardId);
  // The list first: what's stopped half way is erased by a second try, and woken by nobody meanwhile.
  await reach('writes', () => client.srem(wardsKey, wardId));
  for (let from = 0; from < keys.length; from += keysAtOnce)
    await reach('writes', () => client.unlink(...keys.slice(from, from + keysAtOnce)));
}
