import type { ChannelIdShelf } from '../app/channel-ids.ts';
import { within } from '../app/clock.ts';
import type { Copies } from './copies.ts';
import { channelIdsKey } from './keys.ts';
import { reach } from './reach.ts';
import type { RecordClient } from './script.ts';

/** How long a look may take, real ms. */
const patienceMs = 300;

/** Changed ids in one hash, beside the record: one command writes a change, so there is no half of one. */
export function redisChannelIds(client: RecordClient, copies?: Copies): ChannelIdShelf {
  return {
    async all() {
      const kept = await reach('reads', () => soon(client.hgetall(channelIdsKey)));
      return Object.entries(kept).map(([field, now]) => {
        const [team = '', old = ''] = field.split('.');
        return { team, old, now };
      });
    },
    async put({ team, old, now }) {
      await reach('writes', () => client.hset(channelIdsKey, `${team}.${old}`, now));
      await copies?.made('channels:ids');
    },
  };
}

async function soon<T>(answer: Promise<T>): Promise<T> {
  const given = await within(patienceMs, answer);
  if (given === null) throw new Error('Redis does not answer in time');
  return given;
}
