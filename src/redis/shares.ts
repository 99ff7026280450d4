import type { Share } from '../app/deep-rota.ts';
import { sharedKey } from './keys.ts';
import { reach } from './reach.ts';
import type { RecordClient } from './script.ts';

/** Sorted set: processes that sweep, each with the real ms until which it counts. */
const key = sharedKey('sweepers');

/** Says that this process (`own`) sweeps, for `forMs`, and which share of the wards falls to it. */
export async function takeShare(
  client: RecordClient,
  own: string,
  { nowMs, forMs }: { nowMs: number; forMs: number },
): Promise<Share> {
  const [, , ids] = await reach('writes', async () => {
    const replies = await client
      .multi()
      .zadd(key, nowMs + forMs, own)
      .zremrangebyscore(key, '-inf', nowMs)
      .zrange(key, 0, '-1')
      .exec();
    return (replies ?? []).map(([error, reply]) => {
      if (error) throw error;
      return reply;
    });
  });
  const sweepers = (ids as string[]).toSorted();
  return { index: Math.max(0, sweepers.indexOf(own)), of: Math.max(1, sweepers.length) };
}

/** Leaves the share to the others. */
export async function giveShareBack(client: RecordClient, own: string): Promise<void> {
  await reach('writes', () => client.zrem(key, own));
}
