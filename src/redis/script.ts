import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import type { Cluster, Redis } from 'ioredis';

/** A connection to one Redis, or to a cluster of them. */
export type RecordClient = Redis | Cluster;

/** A script that Redis runs as one step. */
export type Script = (
  client: RecordClient,
  keys: readonly string[],
  args: readonly string[],
) => Promise<unknown>;

/** The script in `scripts/<name>.lua`; its text is sent once to each Redis, then named by its hash. */
export function readScript(name: string): Script {
  const text = readFileSync(path.join(import.meta.dirname, 'scripts', `${name}.lua`), 'utf8');
  const sha = createHash('sha1').update(text).digest('hex');
  return async (client, keys, args) => {
    try {
      return await client.evalsha(sha, keys.length, ...keys, ...args);
    } catch (error) {
      if (!(error instanceof Error) || !error.message.startsWith('NOSCRIPT')) throw error;
      return client.eval(text, keys.length, ...keys, ...args);
    }
  };
}
