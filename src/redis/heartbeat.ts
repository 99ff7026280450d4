import type { Redis } from 'ioredis';
import { z } from 'zod';
import type { Heartbeat } from '../app/notice-downtime.ts';
import { reach } from './reach.ts';

const key = '{timer}:heartbeat';
const beatSchema = z.object({ realMs: z.number(), wardMs: z.number() });

/** The jobs' last sign of life, beside the record and as durable. */
export function redisHeartbeat(client: Redis): Heartbeat {
  return {
    beat: (now) => reach('writes', async () => void (await client.set(key, JSON.stringify(now)))),
    async last() {
      const before = await reach('reads', () => client.get(key));
      if (before === null) return null;
      const parsed = beatSchema.safeParse(JSON.parse(before));
      return parsed.success ? parsed.data : null;
    },
  };
}
