import { reach } from './reach.ts';
import type { RecordClient } from './script.ts';

/**
 * Takes everything of one ward off the record, and everybody's Home with it. For the practice ward, where nothing is real: no
 * code of a real ward calls it. The ward stays on the list of wards, since processes remember that it is.
 */
export async function emptyWard(client: RecordClient, wardId: string): Promise<void> {
  for (const pattern of [`{${wardId}}:*`, '{home}:*']) {
    let cursor = '0';
    do {
      const [next, keys] = await reach('reads', () => client.scan(cursor, 'MATCH', pattern, 'COUNT', 500));
      cursor = next;
      if (keys.length > 0) await reach('writes', () => client.unlink(...keys));
    } while (cursor !== '0');
  }
}
