import type { Redis } from 'ioredis';
import { z } from 'zod';
import type { Heartbeat } from '../app/notice-downtime.ts';
import { reach } from './reach.ts';

const key = '{timer}:heartbeat';
/** Apart from the beat, which comes at any time: it must not take back what is still to be told. */
const untoldKey = '{timer}:heartbeat:untold';
const untoldSchema = z.object({
  wardId: z.string(),
  from: z.number(),
  to: z.number(),
  sinceMs: z.number(),
});
const beatSchema = z.object({
  realMs: z.number(),
  wardMs: z.number(),
  /** As older programs wrote it. */
  untold: z.array(untoldSchema).default([]),
});
const untoldsSchema = z.array(untoldSchema);

/** The jobs' last sign of life, beside the record and as durable. */
export function redisHeartbeat(client: Redis): Heartbeat {
  const stored = async () => {
    const text = await reach('reads', () => client.get(key));
    const parsed = text === null ? null : beatSchema.safeParse(JSON.parse(text));
    return parsed?.success ? parsed.data : null;
  };
  return {
    beat: (now, untold) =>
      reach('writes', async () => {
        const parts = untold
          ? [key, JSON.stringify(now), untoldKey, JSON.stringify(untold)]
          : [key, JSON.stringify(now)];
        await client.mset(...parts);
      }),
    async last() {
      const beat = await stored();
      return beat && { realMs: beat.realMs, wardMs: beat.wardMs };
    },
    async untold() {
      const text = await reach('reads', () => client.get(untoldKey));
      if (text === null) return (await stored())?.untold ?? [];
      const parsed = untoldsSchema.safeParse(JSON.parse(text));
      return parsed.success ? parsed.data : [];
    },
  };
}
