import { z } from 'zod';
import type { ChatSign } from '../app/notice-commands-lost.ts';
import type { Heartbeat } from '../app/notice-downtime.ts';
import { sharedKey } from './keys.ts';
import { reach } from './reach.ts';
import type { RecordClient } from './script.ts';

const key = sharedKey('heartbeat');
/** Apart from the beat, which comes at any time: it must not take back what is still to be told. */
const unnotifiedKey = sharedKey('heartbeat:untold');
const chatKey = sharedKey('chat-heartbeat');
/** There while some ward believes that buttons do not work. */
const lostKey = sharedKey('commands-lost');
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
export function redisHeartbeat(client: RecordClient): Heartbeat {
  const stored = async () => {
    const text = await reach('reads', () => client.get(key));
    const parsed = text === null ? null : beatSchema.safeParse(JSON.parse(text));
    return parsed?.success ? parsed.data : null;
  };
  return {
    beat: (now, untold) =>
      reach('writes', async () => {
        const parts = untold
          ? [key, JSON.stringify(now), unnotifiedKey, JSON.stringify(untold)]
          : [key, JSON.stringify(now)];
        await client.mset(...parts);
      }),
    async last() {
      const beat = await stored();
      return beat && { realMs: beat.realMs, wardMs: beat.wardMs };
    },
    async unnotified() {
      const text = await reach('reads', () => client.get(unnotifiedKey));
      if (text === null) return (await stored())?.untold ?? [];
      const parsed = untoldsSchema.safeParse(JSON.parse(text));
      return parsed.success ? parsed.data : [];
    },
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
    wardsNotified: () => reach('reads', async () => (await client.exists(lostKey)) === 1),
    setWardsNotified: (told) =>
      reach('writes', async () => void (await (told ? client.set(lostKey, '1') : client.del(lostKey)))),
  };
}
