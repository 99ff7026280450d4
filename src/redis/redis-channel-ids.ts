import type { ChannelIdShelf } from '../app/channel-ids.ts';
import type { Copies } from './copies.ts';
import { channelIdsKey } from './keys.ts';
import { reach } from './reach.ts';
import type { RecordClient } from './script.ts';

/** Changed ids in one hash, beside the record: one command writes a change, so there is no half of one. */
export function redisChannelIds(client: RecordClient, copies?: Copies): ChannelIdShelf {
  return {
    async all() {
      const kept = await reach('reads', () => client.hgetall(channelIdsKey));
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
