import type { Redis } from 'ioredis';
import { z } from 'zod';
import type { Heartbeat } from '../app/notice-downtime.ts';
import { reach } from './reach.ts';

const key = '{timer}:heartbeat';
const beatSchema = z.object({ realMs: z.number(), wardMs: z.number() });

/** The jobs' last sign of life, beside the record and as durable. */
export function redisHeartbeat(client: Redis): Heartbeat {
  return {
    async beat(now) {
      const before = await reach('writes', () => client.set(key, JSON.stringify(now), 'GET'));
      if (before === null) return null;
      const parsed = beatSchema.safeParse(JSON.parse(before));
      return parsed.success ? parsed.data : null;
    },
  };
}
