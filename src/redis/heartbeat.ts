import { z } from 'zod';
import type { Heartbeat } from '../app/notice-downtime.ts';
import { reach } from './reach.ts';
import type { RecordClient } from './script.ts';

const key = '{timer}:heartbeat';
const untoldSchema = z.object({
  wardId: z.string(),
  from: z.number(),
  to: z.number(),
  sinceMs: z.number(),
});
const beatSchema = z.object({
  realMs: z.number(),
  wardMs: z.number(),
  untold: z.array(untoldSchema).default([]),
});

/** The jobs' last sign of life, beside the record and as durable. */
export function redisHeartbeat(client: RecordClient): Heartbeat {
  const stored = async () => {
    const text = await reach('reads', () => client.get(key));
    const parsed = text === null ? null : beatSchema.safeParse(JSON.parse(text));
    return parsed?.success ? parsed.data : null;
  };
  return {
    beat: (now, untold) =>
      reach('writes', async () => void (await client.set(key, JSON.stringify({ ...now, untold })))),
    async last() {
      const beat = await stored();
      return beat && { realMs: beat.realMs, wardMs: beat.wardMs };
    },
    untold: async () => (await stored())?.untold ?? [],
  };
}
