import { Redis } from 'ioredis';
import type { EmbeddedConnection } from '../../src/redis/embedded-redis-conf.ts';
import { askShared } from './ask-shared.ts';
import type { TestRedis } from './redis-for-tests.ts';

/** A server that a worker keeps from file to file. */
export type SharedRedis = Pick<TestRedis, 'connection' | 'client' | 'stop'>;

/**
 * This worker's server, empty: for files that neither end it nor set anything on it. `stop` throws if a connection of this
 * file outlives it, which could write into the next one's record.
 */
export async function sharedRedis(): Promise<SharedRedis> {
  const connection = JSON.parse(await askShared(`redis-${process.pid}`)) as EmbeddedConnection;
  const clients = new Set<Redis>();
  const connect = () => {
    const client = new Redis({ ...connection, retryStrategy: () => 20 });
    client.on('error', () => {});
    clients.add(client);
    return client;
  };
  const own = connect();
  await own.flushall();
  return {
    connection,
    client: connect,
    async stop() {
      for (const client of clients) if (client !== own) client.disconnect();
      const open = async () =>
        String(await own.client('LIST'))
          .trim()
          .split('\n');
      try {
        const giveUpAt = Date.now() + 5_000;
        for (let list = await open(); list.length > 1; list = await open()) {
          if (Date.now() > giveUpAt)
            throw new Error(`Connections to the shared Redis outlive their file:\n${list.join('\n')}`);
          await new Promise((resolve) => setTimeout(resolve, 5));
        }
      } finally {
        own.disconnect();
      }
    },
  };
}
