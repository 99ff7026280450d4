import { z } from 'zod';
import type { HomeReaders } from '../app/home-readers.ts';
import { reach } from './reach.ts';
import type { RecordClient } from './script.ts';

const readersKey = '{home}:readers';
const shownKey = (user: string) => `{home}:shown:${user}`;
const keptMs = 12 * 3_600_000;

const shownSchema = z.object({
  hash: z.string(),
  said: z.object({ text: z.string(), blocks: z.array(z.unknown()), untilMs: z.number() }).optional(),
});

/** Who opened Home lately, beside the record; nothing of it is needed to remind anybody. */
export function redisHomeReaders(client: RecordClient): HomeReaders {
  return {
    opened: (user, realNow) =>
      reach('writes', async () => {
        await client.zadd(readersKey, realNow + keptMs, user);
        await client.zremrangebyscore(readersKey, '-inf', realNow);
      }),
    lately: (realNow) => reach('reads', () => client.zrangebyscore(readersKey, `(${realNow}`, '+inf')),
    async shown(user) {
      const text = await reach('reads', () => client.get(shownKey(user)));
      const read = text === null ? null : shownSchema.safeParse(JSON.parse(text));
      if (!read?.success) return null;
      const { hash, said } = read.data;
      return { hash, ...(said ? { said } : {}) };
    },
    keep: (user, shown) =>
      reach('writes', async () => {
        await client.set(shownKey(user), JSON.stringify(shown), 'PX', keptMs);
      }),
  };
}
