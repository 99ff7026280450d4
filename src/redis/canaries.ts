import { z } from 'zod';
import type { CanaryRun } from '../observe/canary.ts';
import { sharedKey } from './keys.ts';
import { reach } from './reach.ts';
import type { RecordClient } from './script.ts';

/** Hash: a prefix of the job queue to the last canary that ran under it. */
const key = sharedKey('canaries');
const runSchema = z.object({ dueMs: z.number(), ranAtMs: z.number() });

/** The last canary of each part of the job queue, whichever process it ran in. */
export function redisCanaries(
  client: RecordClient,
  prefixes: readonly string[],
): { ran(prefix: string, run: CanaryRun): Promise<void>; last(): Promise<(CanaryRun | null)[]> } {
  return {
    ran: (prefix, run) =>
      reach('writes', async () => void (await client.hset(key, prefix, JSON.stringify(run)))),
    async last() {
      const texts = await reach('reads', () => client.hmget(key, ...prefixes));
      return texts.map((text) => (text === null ? null : runSchema.parse(JSON.parse(text))));
    },
  };
}
