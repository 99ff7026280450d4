import { z } from 'zod';
import type { ChatSign } from '../app/notice-commands-lost.ts';
import type { Heartbeat } from '../app/notice-downtime.ts';
import { reach } from './reach.ts';
import type { RecordClient } from './script.ts';

const key = '{timer}:heartbeat';
const chatKey = '{timer}:chat-heartbeat';
/** There while some ward believes that buttons do not work. */
const lostKey = '{timer}:commands-lost';
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

/** The chat's last sign of life, from whichever process that takes commands left one last. */
export function redisChatSign(client: RecordClient): ChatSign {
  return {
    beat: (now) => reach('writes', async () => void (await client.set(chatKey, JSON.stringify(now)))),
    async last() {
      const text = await reach('reads', () => client.get(chatKey));
      const parsed = text === null ? null : beatSchema.safeParse(JSON.parse(text));
      return parsed?.success ? { realMs: parsed.data.realMs, wardMs: parsed.data.wardMs } : null;
    },
    wardsTold: () => reach('reads', async () => (await client.exists(lostKey)) === 1),
    setWardsTold: (told) =>
      reach('writes', async () => void (await (told ? client.set(lostKey, '1') : client.del(lostKey)))),
  };
}
