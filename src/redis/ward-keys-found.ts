import { mastersOf } from './masters.ts';
import { reach } from './reach.ts';
import type { RecordClient } from './script.ts';

/** The lines of a ward, closed ones too. */
export async function lineIdsOf(client: RecordClient, wardId: string): Promise<string[]> {
  const before = `{${wardId}}:line:`;
  return (await keysOf(client, wardId))
    .filter((key) => key.startsWith(before) && key.endsWith(':log'))
    .map((key) => key.slice(before.length, -':log'.length));
}

/** Every key of one ward. */
export async function keysOf(client: RecordClient, wardId: string): Promise<string[]> {
  // A ward's keys lie in one slot, but which node has it is for the cluster to know.
  return keysLike(client, `{${wardId.replaceAll(/[\\*?[\]]/g, String.raw`\$&`)}}:*`);
}

/** Every key that a pattern fits, whichever server has it. */
export async function keysLike(client: RecordClient, pattern: string): Promise<string[]> {
  const found = new Set<string>();
  for (const node of mastersOf(client)) {
    let cursor = '0';
    do {
      const [next, keys] = await reach('reads', () => node.scan(cursor, 'MATCH', pattern, 'COUNT', 1_000));
      for (const key of keys) found.add(key);
      cursor = next;
    } while (cursor !== '0');
  }
  return [...found].toSorted();
}
