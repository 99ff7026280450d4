import { wardKeys, wardsKey } from './keys.ts';
import { reach } from './reach.ts';
import type { RecordClient } from './script.ts';

/** How many messages wait to be sent or updated, on all wards. */
export async function waitingPosts(client: RecordClient): Promise<number> {
  const wardIds = await reach('reads', () => client.smembers(wardsKey));
  const counts = await Promise.all(
    wardIds.map((wardId) => reach('reads', () => client.zcard(wardKeys(wardId).todo))),
  );
  return counts.reduce((sum, count) => sum + count, 0);
}
