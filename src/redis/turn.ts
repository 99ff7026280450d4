import { sharedKey } from './keys.ts';
import { reach } from './reach.ts';
import type { RecordClient } from './script.ts';

const keyOf = (what: string) => sharedKey(`${what}-turn`);

/** Gives the turn at `what` back, where it is `own`. */
export async function giveTurnBack(client: RecordClient, own: string, what = 'last-word'): Promise<void> {
  const key = keyOf(what);
  await reach('writes', async () => {
    if ((await client.get(key)) === own) await client.del(key);
  });
}

/**
 * Whether this process (`own`) may do now what several must not do at once; the turn is its own for `forMs`. When it
 * dies the turn runs out and another process takes it.
 */
export async function takeTurn(
  client: RecordClient,
  own: string,
  forMs: number,
  what = 'last-word',
): Promise<boolean> {
  const key = keyOf(what);
  return reach('writes', async () => {
    if ((await client.set(key, own, 'PX', forMs, 'NX')) === 'OK') return true;
    if ((await client.get(key)) !== own) return false;
    await client.pexpire(key, forMs);
    return true;
  });
}
